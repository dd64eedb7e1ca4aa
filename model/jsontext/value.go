package jsontext

import (
	"encoding"
	"encoding/base64"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"
)

// Read reads one JSON value into what v points to, as encoding/json does: fields
// that v has not are passed over, null leaves alone what cannot be without a
// value, and of a field given twice the second counts. It knows what [Append]
// writes, but for interfaces and arrays; bytes are base64 alone. After an error
// what v points to may be half read.
func Read(in []byte, v any) error {
	if err := Check(in); err != nil {
		if fault, ok := errors.AsType[*Fault](err); ok && fault.Line > 1 {
			return fmt.Errorf("line %d: %w", fault.Line, err)
		}
		return err
	}
	f := filler{NewReader(in)}
	return f.value(f.next(), reflect.ValueOf(v).Elem(), "")
}

// A filler walks over a text that Check has passed.
type filler struct{ tokens *Reader }

func (f filler) next() Token {
	t, err := f.tokens.Next()
	if err != nil {
		panic(err) // it has been read once
	}
	return t
}

// value reads what begins with t. at is where it stands: ".name[2]".
func (f filler) value(t Token, v reflect.Value, at string) error {
	kind := v.Kind()
	switch {
	case t.Kind == Null:
		if kind == reflect.Pointer || kind == reflect.Slice || kind == reflect.Map {
			v.SetZero()
		}
		return nil
	case kind == reflect.Pointer:
		if v.IsNil() {
			v.Set(reflect.New(v.Type().Elem()))
		}
		return f.value(t, v.Elem(), at)
	}
	if u, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok && t.Kind == Text {
		return where(at, u.UnmarshalText([]byte(t.Text)))
	} else if ok {
		return mismatch(t, at, "a text")
	}
	switch {
	case kind == reflect.Struct:
		return f.object(t, v, at)
	case kind == reflect.Map:
		return f.table(t, v, at)
	case kind == reflect.Slice && v.Type().Elem().Kind() == reflect.Uint8:
		if t.Kind != Text {
			return mismatch(t, at, "a text in base64")
		}
		data, err := base64.StdEncoding.DecodeString(t.Text)
		v.SetBytes(data)
		return where(at, err)
	case kind == reflect.Slice:
		return f.list(t, v, at)
	case kind == reflect.String:
		if t.Kind != Text {
			return mismatch(t, at, "a text")
		}
		v.SetString(t.Text)
	case kind == reflect.Bool:
		if t.Kind != True && t.Kind != False {
			return mismatch(t, at, "true or false")
		}
		v.SetBool(t.Kind == True)
	case v.CanInt():
		n, err := strconv.ParseInt(t.Text, 10, 64)
		if t.Kind != Number || err != nil || v.OverflowInt(n) {
			return mismatch(t, at, "a whole number")
		}
		v.SetInt(n)
	case v.CanUint():
		n, err := strconv.ParseUint(t.Text, 10, 64)
		if t.Kind != Number || err != nil || v.OverflowUint(n) {
			return mismatch(t, at, "a whole number from 0")
		}
		v.SetUint(n)
	case v.CanFloat():
		n, err := strconv.ParseFloat(t.Text, v.Type().Bits())
		if t.Kind != Number || err != nil {
			return mismatch(t, at, "a number")
		}
		v.SetFloat(n)
	default:
		panic(fmt.Sprintf("jsontext: %v is not read", v.Type()))
	}
	return nil
}

func (f filler) object(t Token, v reflect.Value, at string) error {
	if t.Kind != '{' {
		return mismatch(t, at, "an object")
	}
	for name := f.next(); name.Kind != '}'; name = f.next() {
		i, ok := fieldOf(v.Type(), name.Text)
		t := f.next()
		if !ok {
			f.tokens.Skip(t)
			continue
		}
		if err := f.value(t, v.Field(i), at+"."+name.Text); err != nil {
			return err
		}
	}
	return nil
}

// fieldOf finds a field by its name, else by its name in another case.
func fieldOf(t reflect.Type, name string) (int, bool) {
	other, ok := 0, false
	for i := range t.NumField() {
		field := t.Field(i)
		if !field.IsExported() {
			continue
		}
		switch own := nameOf(field); {
		case own == name:
			return i, true
		case !ok && strings.EqualFold(own, name):
			other, ok = i, true
		}
	}
	return other, ok
}

// nameOf is what a field is called in JSON.
func nameOf(f reflect.StructField) string {
	if f.Anonymous {
		panic(fmt.Sprintf("jsontext: %v, embedded, is neither read nor written", f.Type))
	}
	if name, _, _ := strings.Cut(f.Tag.Get("json"), ","); name != "" {
		return name
	}
	return f.Name
}

func (f filler) table(t Token, v reflect.Value, at string) error {
	if t.Kind != '{' {
		return mismatch(t, at, "an object")
	}
	if v.IsNil() {
		v.Set(reflect.MakeMap(v.Type()))
	}
	for name := f.next(); name.Kind != '}'; name = f.next() {
		key, item := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		err := f.value(name, key, at)
		if err == nil {
			err = f.value(f.next(), item, at+"."+name.Text)
		}
		if err != nil {
			return err
		}
		v.SetMapIndex(key, item)
	}
	return nil
}

func (f filler) list(t Token, v reflect.Value, at string) error {
	if t.Kind != '[' {
		return mismatch(t, at, "a list")
	}
	v.Set(reflect.MakeSlice(v.Type(), 0, 0))
	for t := f.next(); t.Kind != ']'; t = f.next() {
		item := reflect.New(v.Type().Elem()).Elem()
		if err := f.value(t, item, fmt.Sprintf("%s[%d]", at, v.Len())); err != nil {
			return err
		}
		v.Set(reflect.Append(v, item))
	}
	return nil
}

func mismatch(t Token, at, want string) error {
	return where(at, fmt.Errorf("%v where %s is wanted", t, want))
}

// where says at which field an error is.
func where(at string, err error) error {
	if at = strings.TrimPrefix(at, "."); err != nil && at != "" {
		return fmt.Errorf("%s: %w", at, err)
	}
	return err
}

// String is the token in words.
func (t Token) String() string {
	switch t.Kind {
	case '[':
		return "a list"
	case '{':
		return "an object"
	case Text:
		return strconv.Quote(t.Text)
	case Number:
		return t.Text
	case True:
		return "true"
	case False:
		return "false"
	case Null:
		return "null"
	}
	return "the end"
}
