package plan

import (
	"errors"
	"reflect"
	"strconv"
	"strings"

	"ampwright/model/jsontext"
)

// decode reads JSON into v, a pointer to a struct. Unlike encoding/json it
// refuses what it does not know, a field given twice, null and a field in
// another case, and says where. A field whose tag lacks omitempty must be
// there.
func decode(data []byte, v any, r *report) {
	root := place{report: r}
	if fault, ok := errors.AsType[*jsontext.Fault](jsontext.Check(data)); ok {
		root.errorf("line %d: %v", fault.Line, fault)
		return
	}
	d := decoder{jsontext.NewReader(data)}
	d.value(d.next(), reflect.ValueOf(v).Elem(), root)
}

// A decoder walks over data known to be valid JSON.
type decoder struct{ tokens *jsontext.Reader }

func (d decoder) next() jsontext.Token {
	t, err := d.tokens.Next()
	if err != nil {
		panic(err) // it has been read once
	}
	return t
}

// value reads what begins with t.
func (d decoder) value(t jsontext.Token, v reflect.Value, at place) {
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	kind := v.Kind()
	switch {
	case t.Kind == '{' && kind == reflect.Struct:
		d.object(v, at)
	case t.Kind == '{' && kind == reflect.Map:
		d.names(v, at)
	case t.Kind == '[' && kind == reflect.Slice:
		d.list(v, at)
	case t.Kind == jsontext.Text && kind == reflect.String:
		v.SetString(t.Text)
	case (t.Kind == jsontext.True || t.Kind == jsontext.False) && kind == reflect.Bool:
		v.SetBool(t.Kind == jsontext.True)
	case t.Kind == jsontext.Number && kind == reflect.Float64:
		f, err := strconv.ParseFloat(t.Text, 64)
		if err != nil {
			at.errorf("%s is out of range", t.Text)
		}
		v.SetFloat(f)
	case t.Kind == jsontext.Number && (kind == reflect.Int || kind == reflect.Int64):
		i, err := strconv.ParseInt(t.Text, 10, 64)
		if err != nil || v.OverflowInt(i) {
			at.errorf("%s is not a whole number", t.Text)
		}
		v.SetInt(i)
	default:
		at.errorf("%s where %s is wanted", describe(t), wanted(kind))
		d.tokens.Skip(t)
	}
}

func (d decoder) object(v reflect.Value, at place) {
	seen := map[string]bool{}
	for name := d.next(); name.Kind != '}'; name = d.next() {
		key := name.Text
		to := at.field(key)
		i, ok := fieldNamed(v.Type(), key)
		switch {
		case seen[key]:
			to.errorf("given twice")
		case !ok:
			to.errorf("not a field of the format")
		default:
			seen[key] = true
			d.value(d.next(), v.Field(i), to)
			continue
		}
		d.tokens.Skip(d.next())
	}
	for i := range v.NumField() {
		name, option, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		if option == "" && !seen[name] {
			at.field(name).errorf("missing")
		}
	}
}

// names reads an object of texts, whatever its fields are called.
func (d decoder) names(v reflect.Value, at place) {
	v.Set(reflect.MakeMap(v.Type()))
	for name := d.next(); name.Kind != '}'; name = d.next() {
		key := name.Text
		to := at.field(key)
		if v.MapIndex(reflect.ValueOf(key)).IsValid() {
			to.errorf("given twice")
		}
		text := reflect.New(v.Type().Elem()).Elem()
		d.value(d.next(), text, to)
		v.SetMapIndex(reflect.ValueOf(key), text)
	}
}

func (d decoder) list(v reflect.Value, at place) {
	for i, t := 0, d.next(); t.Kind != ']'; i, t = i+1, d.next() {
		item := reflect.New(v.Type().Elem()).Elem()
		d.value(t, item, at.index(i))
		v.Set(reflect.Append(v, item))
	}
}

func fieldNamed(t reflect.Type, name string) (int, bool) {
	for i := range t.NumField() {
		if n, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ","); n == name {
			return i, true
		}
	}
	return 0, false
}

func describe(t jsontext.Token) string {
	switch t.Kind {
	case '[':
		return "a list"
	case '{':
		return "an object"
	case jsontext.Text:
		return strconv.Quote(t.Text)
	case jsontext.True:
		return "true"
	case jsontext.False:
		return "false"
	case jsontext.Number:
		return t.Text
	}
	return "null"
}

func wanted(k reflect.Kind) string {
	switch k {
	case reflect.Struct, reflect.Map:
		return "an object"
	case reflect.Slice:
		return "a list"
	case reflect.String:
		return "text"
	case reflect.Bool:
		return "true or false"
	case reflect.Float64:
		return "a number"
	}
	return "a whole number"
}
