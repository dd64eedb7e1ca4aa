package jsontext

import (
	"encoding"
	"encoding/base64"
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

var textMarshaler = reflect.TypeFor[encoding.TextMarshaler]()

// Append appends v as encoding/json writes it when it is told to leave <, > and &
// alone. It knows structs with tags "name" and "name,omitempty", structs in them
// without a name, whose fields are theirs, texts, numbers,
// true and false, lists, bytes, maps by texts, pointers, and what writes itself as
// text; for others, and what is no finite number, it panics.
func Append(out []byte, v any) []byte { return appendValue(out, reflect.ValueOf(v)) }

func appendValue(out []byte, v reflect.Value) []byte {
	if v.IsValid() && v.Type().Implements(textMarshaler) && v.Kind() != reflect.Pointer {
		text, err := v.Interface().(encoding.TextMarshaler).MarshalText()
		if err != nil {
			panic(err)
		}
		return appendText(out, string(text))
	}
	switch v.Kind() {
	case reflect.Struct:
		return appendStruct(out, v)
	case reflect.String:
		return appendText(out, v.String())
	case reflect.Bool:
		return strconv.AppendBool(out, v.Bool())
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return strconv.AppendInt(out, v.Int(), 10)
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return strconv.AppendUint(out, v.Uint(), 10)
	case reflect.Float32, reflect.Float64:
		return appendFloat(out, v.Float(), v.Type().Bits())
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return append(out, "null"...)
		}
		return appendValue(out, v.Elem())
	case reflect.Map:
		if v.IsNil() {
			return append(out, "null"...)
		}
		return appendMap(out, v)
	case reflect.Slice:
		if v.IsNil() {
			return append(out, "null"...)
		}
		if v.Type().Elem().Kind() == reflect.Uint8 {
			return append(base64.StdEncoding.AppendEncode(append(out, '"'), v.Bytes()), '"')
		}
		return appendList(out, v)
	case reflect.Array:
		return appendList(out, v)
	case reflect.Invalid:
		return append(out, "null"...)
	}
	panic(fmt.Sprintf("jsontext: %v is not written", v.Type()))
}

func appendList(out []byte, v reflect.Value) []byte {
	out = append(out, '[')
	for i := range v.Len() {
		if i > 0 {
			out = append(out, ',')
		}
		out = appendValue(out, v.Index(i))
	}
	return append(out, ']')
}

// appendFloat writes the least digits that are read back as f; very small and very
// large ones with an exponent, as ECMAScript does.
func appendFloat(out []byte, f float64, bits int) []byte {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		panic(fmt.Sprintf("jsontext: %g is not written", f))
	}
	small, large := math.Abs(f) < 1e-6, math.Abs(f) >= 1e21
	if bits == 32 {
		small, large = float32(math.Abs(f)) < 1e-6, float32(math.Abs(f)) >= 1e21
	}
	if f == 0 || !small && !large {
		return strconv.AppendFloat(out, f, 'f', -1, bits)
	}
	out = strconv.AppendFloat(out, f, 'e', -1, bits)
	if n := len(out); out[n-3] == '-' && out[n-2] == '0' { // e-09 as e-9
		out[n-2] = out[n-1]
		out = out[:n-1]
	}
	return out
}

// appendMap writes the fields of a map in the order of their names.
func appendMap(out []byte, v reflect.Value) []byte {
	fields := map[string]reflect.Value{}
	for _, key := range v.MapKeys() {
		name := key.String()
		if text, ok := key.Interface().(encoding.TextMarshaler); ok {
			data, err := text.MarshalText()
			if err != nil {
				panic(err)
			}
			name = string(data)
		} else if key.Kind() != reflect.String {
			panic(fmt.Sprintf("jsontext: %v is not written", v.Type()))
		}
		fields[name] = v.MapIndex(key)
	}
	out = append(out, '{')
	for i, name := range slices.Sorted(maps.Keys(fields)) {
		if i > 0 {
			out = append(out, ',')
		}
		out = appendValue(append(appendText(out, name), ':'), fields[name])
	}
	return append(out, '}')
}

func appendStruct(out []byte, v reflect.Value) []byte {
	out = append(out, '{')
	n := len(out)
	out = appendFields(out, v)
	if len(out) > n {
		out = out[:len(out)-1] // the last comma
	}
	return append(out, '}')
}

// appendFields writes a comma behind each.
func appendFields(out []byte, v reflect.Value) []byte {
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if f.Anonymous && f.Tag.Get("json") == "" && f.Type.Kind() == reflect.Struct {
			out = appendFields(out, v.Field(i))
			continue
		}
		if !f.IsExported() {
			continue
		}
		name := nameOf(f)
		if _, option, _ := strings.Cut(f.Tag.Get("json"), ","); option == "omitempty" && empty(v.Field(i)) {
			continue
		}
		out = append(appendValue(append(appendText(out, name), ':'), v.Field(i)), ',')
	}
	return out
}

func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Array, reflect.String, reflect.Map:
		return v.Len() == 0
	case reflect.Struct:
		return false
	}
	return v.IsZero()
}

func appendText(out []byte, s string) []byte {
	out = append(out, '"')
	for i := 0; i < len(s); {
		char, size := utf8.DecodeRuneInString(s[i:])
		short := strings.IndexRune("\"\\\b\f\n\r\t", char)
		switch {
		case char == utf8.RuneError && size == 1:
			out = append(out, `\ufffd`...)
		case short >= 0:
			out = append(out, '\\', `"\bfnrt`[short])
		case char < ' ' || char == '\u2028' || char == '\u2029':
			out = append(out, `\u`...)
			for shift := 12; shift >= 0; shift -= 4 {
				out = append(out, "0123456789abcdef"[char>>shift&15])
			}
		default:
			out = append(out, s[i:i+size]...)
		}
		i += size
	}
	return append(out, '"')
}
