package plan

import (
	"bytes"
	"encoding/json"
	"errors"
	"reflect"
	"strconv"
	"strings"
)

// decode reads JSON into v, a pointer to a struct. Unlike encoding/json it
// refuses what it does not know, a field given twice, null and a field in
// another case, and says where. A field whose tag lacks omitempty must be
// there.
func decode(data []byte, v any, r *report) {
	root := place{report: r}
	var whole json.RawMessage
	if err := json.Unmarshal(data, &whole); err != nil {
		line := 1
		if e, ok := errors.AsType[*json.SyntaxError](err); ok {
			line += bytes.Count(data[:min(int(e.Offset), len(data))], []byte("\n"))
		}
		root.errorf("line %d: %v", line, err)
		return
	}
	d := decoder{json.NewDecoder(bytes.NewReader(data))}
	d.tokens.UseNumber()
	d.value(reflect.ValueOf(v).Elem(), root)
}

// A decoder walks over data known to be valid JSON.
type decoder struct{ tokens *json.Decoder }

// next returns nil at the end of data, as for null.
func (d decoder) next() json.Token {
	t, err := d.tokens.Token()
	if err != nil {
		return nil
	}
	return t
}

func (d decoder) value(v reflect.Value, at place) {
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	t := d.next()
	switch got := t.(type) {
	case json.Delim:
		switch {
		case got == '{' && v.Kind() == reflect.Struct:
			d.object(v, at)
			return
		case got == '{' && v.Kind() == reflect.Map:
			d.names(v, at)
			return
		case got == '[' && v.Kind() == reflect.Slice:
			d.list(v, at)
			return
		}
	case string:
		if v.Kind() == reflect.String {
			v.SetString(got)
			return
		}
	case bool:
		if v.Kind() == reflect.Bool {
			v.SetBool(got)
			return
		}
	case json.Number:
		switch v.Kind() {
		case reflect.Float64:
			f, err := strconv.ParseFloat(got.String(), 64)
			if err != nil {
				at.errorf("%s is out of range", got)
			}
			v.SetFloat(f)
			return
		case reflect.Int, reflect.Int64:
			i, err := strconv.ParseInt(got.String(), 10, 64)
			if err != nil || v.OverflowInt(i) {
				at.errorf("%s is not a whole number", got)
			}
			v.SetInt(i)
			return
		}
	}
	at.errorf("%s where %s is wanted", describe(t), wanted(v.Kind()))
	if delim, ok := t.(json.Delim); ok {
		d.skip(delim)
	}
}

func (d decoder) object(v reflect.Value, at place) {
	seen := map[string]bool{}
	for d.tokens.More() {
		key, _ := d.next().(string)
		to := at.field(key)
		i, ok := fieldNamed(v.Type(), key)
		switch {
		case seen[key]:
			to.errorf("given twice")
		case !ok:
			to.errorf("not a field of the format")
		default:
			seen[key] = true
			d.value(v.Field(i), to)
			continue
		}
		if delim, ok := d.next().(json.Delim); ok {
			d.skip(delim)
		}
	}
	d.next() // the closing brace
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
	for d.tokens.More() {
		key, _ := d.next().(string)
		to := at.field(key)
		if v.MapIndex(reflect.ValueOf(key)).IsValid() {
			to.errorf("given twice")
		}
		text := reflect.New(v.Type().Elem()).Elem()
		d.value(text, to)
		v.SetMapIndex(reflect.ValueOf(key), text)
	}
	d.next() // the closing brace
}

func (d decoder) list(v reflect.Value, at place) {
	for i := 0; d.tokens.More(); i++ {
		item := reflect.New(v.Type().Elem()).Elem()
		d.value(item, at.index(i))
		v.Set(reflect.Append(v, item))
	}
	d.next() // the closing bracket
}

// skip passes over the rest of the list or object that open has begun.
func (d decoder) skip(open json.Delim) {
	for depth := 1; depth > 0 && (open == '{' || open == '['); {
		switch t, err := d.tokens.Token(); {
		case err != nil:
			return
		case t == json.Delim('{') || t == json.Delim('['):
			depth++
		case t == json.Delim('}') || t == json.Delim(']'):
			depth--
		}
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

func describe(t json.Token) string {
	switch t := t.(type) {
	case json.Delim:
		if t == '[' {
			return "a list"
		}
		return "an object"
	case string:
		return strconv.Quote(t)
	case bool:
		return strconv.FormatBool(t)
	case json.Number:
		return t.String()
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
