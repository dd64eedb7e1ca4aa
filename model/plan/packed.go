package plan

import (
	"encoding/binary"
	"fmt"
	"math"
	"reflect"

	"ampwright/calc/catalogue"
	"ampwright/calc/desk"
	"ampwright/model"
)

// The packed form of a plan is what [Load] made of its file, field by field as
// model.Plan has them, without names: whole numbers as varints (encoding/binary), others
// as a varint of hundredths after a 1, or 8 bytes after a 0; a list after its length; a
// pointer after a 1 or as a 0; a calculation by its name and its output's; of a text its
// length and, if it is not empty, how far it is in the file from the end of the one
// before, or a 0 and the text. TestPacked compares it with the file, and with -update makes
// it.

var figureType = reflect.TypeFor[*desk.Figure]()

// unpack returns the plan of a packed form and its file. It panics on anything else.
func unpack(packed, file string) *model.Plan {
	p := new(model.Plan)
	u := unpacker{packed, file, 0}
	u.value(reflect.ValueOf(p).Elem())
	if u.left != "" {
		panic(fmt.Sprintf("%d bytes more than a plan", len(u.left)))
	}
	return p
}

type unpacker struct {
	left string // that is not read yet
	file string
	at   int // the end of the last text in it
}

func (u *unpacker) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(u.text())
	case reflect.Int, reflect.Int64:
		v.SetInt(u.signed())
	case reflect.Float64:
		v.SetFloat(u.float())
	case reflect.Bool:
		v.SetBool(u.number() == 1)
	case reflect.Slice:
		u.list(v)
	case reflect.Pointer:
		u.pointer(v)
	case reflect.Struct:
		u.fields(v)
	default:
		panic(fmt.Sprintf("%s in a plan", v.Type()))
	}
}

func (u *unpacker) list(v reflect.Value) {
	n := int(u.number())
	if n == 0 {
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), n, n))
	for i := range n {
		u.value(v.Index(i))
	}
}

func (u *unpacker) pointer(v reflect.Value) {
	switch {
	case u.number() == 0:
	case v.Type() == figureType:
		v.Set(reflect.ValueOf(u.figure()))
	default:
		v.Set(reflect.New(v.Type().Elem()))
		u.value(v.Elem())
	}
}

func (u *unpacker) fields(v reflect.Value) {
	for i := range v.NumField() {
		if f := v.Field(i); f.CanSet() {
			u.value(f)
		}
	}
}

func (u *unpacker) figure() *desk.Figure {
	c, err := catalogue.Find(u.text())
	if err != nil {
		panic(err)
	}
	f, err := c.Figure(u.text())
	if err != nil {
		panic(err)
	}
	return f
}

func (u *unpacker) text() string {
	n := int(u.number())
	if n == 0 {
		return ""
	}
	by := int(u.signed())
	if by == 0 {
		return u.bytes(n)
	}
	from := u.at + by
	u.at = from + n
	return u.file[from:u.at]
}

func (u *unpacker) bytes(n int) string {
	s := u.left[:n]
	u.left = u.left[n:]
	return s
}

func (u *unpacker) float() float64 {
	if u.number() == 1 {
		return float64(u.signed()) / 100
	}
	var b [8]byte
	copy(b[:], u.bytes(8))
	return math.Float64frombits(binary.LittleEndian.Uint64(b[:]))
}

func (u *unpacker) signed() int64 {
	n := u.number()
	return int64(n>>1) ^ -int64(n&1)
}

func (u *unpacker) number() (n uint64) {
	for i := 0; ; i++ {
		b := u.left[i]
		n |= uint64(b&0x7f) << (7 * i)
		if b < 0x80 {
			u.left = u.left[i+1:]
			return n
		}
	}
}
