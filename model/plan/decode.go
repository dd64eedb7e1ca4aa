package plan

import (
	"reflect"
	"slices"
	"strconv"
	"strings"

	"ampwright/model/jsontext"
)

// decode reads JSON into v, a pointer to a struct. Unlike encoding/json it
// refuses what it does not know, a field given twice, null and a field in
// another case, and says where. A field whose tag lacks omitempty must be
// there.
func decode(data []byte, v any, r *report) {
	d := &decoder{tokens: jsontext.NewReader(data), types: map[reflect.Type][]fieldTag{}, report: r}
	defer func() {
		switch fault := recover().(type) {
		case nil:
		case *jsontext.Fault: // of the text itself: what else was found may follow from it
			r.faults = nil
			place{report: r}.errorf("line %d: %v", fault.Line, fault)
		default:
			panic(fault)
		}
	}()
	d.value(d.next(), reflect.ValueOf(v).Elem())
	d.next() // the end
}

// A decoder walks over data. Where that is no JSON it panics with the
// [jsontext.Fault].
type decoder struct {
	tokens *jsontext.Reader
	types  map[reflect.Type][]fieldTag // of structs, in the order of their fields
	report *report
	in     []place // from the outermost value to the one that is read, with names and numbers alone
}

func (d *decoder) next() jsontext.Token {
	t, err := d.tokens.Next()
	if err != nil {
		panic(err)
	}
	return t
}

func (d *decoder) skip(t jsontext.Token) {
	if err := d.tokens.Skip(t); err != nil {
		panic(err)
	}
}

func (d *decoder) errorf(format string, args ...any) {
	at := place{report: d.report}
	for _, in := range d.in {
		within := at
		at = place{d.report, &within, in.name, in.nth}
	}
	at.errorf(format, args...)
}

// A fieldTag is what the tag of a field says.
type fieldTag struct {
	name string
	must bool // it must be there
}

func (d *decoder) fields(t reflect.Type) []fieldTag {
	list, ok := d.types[t]
	if !ok {
		for i := range t.NumField() {
			name, option, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
			list = append(list, fieldTag{name, option == ""})
		}
		d.types[t] = list
	}
	return list
}

// value reads what begins with t.
func (d *decoder) value(t jsontext.Token, v reflect.Value) {
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	kind := v.Kind()
	switch {
	case t.Kind == '{' && kind == reflect.Struct:
		d.object(v)
	case t.Kind == '{' && kind == reflect.Map:
		d.names(v)
	case t.Kind == '[' && kind == reflect.Slice:
		d.list(v)
	case t.Kind == jsontext.Text && kind == reflect.String:
		v.SetString(t.Text)
	case (t.Kind == jsontext.True || t.Kind == jsontext.False) && kind == reflect.Bool:
		v.SetBool(t.Kind == jsontext.True)
	case t.Kind == jsontext.Number && kind == reflect.Float64:
		f, err := strconv.ParseFloat(t.Text, 64)
		if err != nil {
			d.errorf("%s is out of range", t.Text)
		}
		v.SetFloat(f)
	case t.Kind == jsontext.Number && (kind == reflect.Int || kind == reflect.Int64):
		i, err := strconv.ParseInt(t.Text, 10, 64)
		if err != nil || v.OverflowInt(i) {
			d.errorf("%s is not a whole number", t.Text)
		}
		v.SetInt(i)
	default:
		d.errorf("%s where %s is wanted", describe(t), wanted(kind))
		d.skip(t)
	}
}

func (d *decoder) object(v reflect.Value) {
	fields := d.fields(v.Type())
	seen := make([]bool, len(fields))
	for name := d.next(); name.Kind != '}'; name = d.next() {
		key := name.Text
		d.in = append(d.in, place{name: key, nth: -1})
		i := slices.IndexFunc(fields, func(f fieldTag) bool { return f.name == key })
		switch {
		case i < 0:
			d.errorf("not a field of the format")
			d.skip(d.next())
		case seen[i]:
			d.errorf("given twice")
			d.skip(d.next())
		default:
			seen[i] = true
			d.value(d.next(), v.Field(i))
		}
		d.in = d.in[:len(d.in)-1]
	}
	for i, f := range fields {
		if f.must && !seen[i] {
			d.in = append(d.in, place{name: f.name, nth: -1})
			d.errorf("missing")
			d.in = d.in[:len(d.in)-1]
		}
	}
}

// names reads an object of texts, whatever its fields are called.
func (d *decoder) names(v reflect.Value) {
	v.Set(reflect.MakeMap(v.Type()))
	for name := d.next(); name.Kind != '}'; name = d.next() {
		key := name.Text
		d.in = append(d.in, place{name: key, nth: -1})
		if v.MapIndex(reflect.ValueOf(key)).IsValid() {
			d.errorf("given twice")
		}
		text := reflect.New(v.Type().Elem()).Elem()
		d.value(d.next(), text)
		v.SetMapIndex(reflect.ValueOf(key), text)
		d.in = d.in[:len(d.in)-1]
	}
}

func (d *decoder) list(v reflect.Value) {
	for i, t := 0, d.next(); t.Kind != ']'; i, t = i+1, d.next() {
		item := reflect.New(v.Type().Elem()).Elem()
		d.in = append(d.in, place{nth: i})
		d.value(t, item)
		d.in = d.in[:len(d.in)-1]
		v.Set(reflect.Append(v, item))
	}
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
