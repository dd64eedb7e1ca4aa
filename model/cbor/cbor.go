// Package cbor reads and writes what the logbook and the links between replicas
// are made of: plain deterministic CBOR (RFC 8949, section 4.2.1) of integers,
// texts, byte strings, arrays, maps and true, which any language can read.
//
// It is written by hand because a reflecting library takes five times as long
// over an entry.
package cbor

import (
	"encoding/binary"
	"errors"
	"fmt"
	"unicode/utf8"
)

// A Codec walks the fields of a map in ascending key order, in one of two
// directions, so a type states its layout once. Zero values are left out, which
// keeps the encoding of a value unique. The first error stays in Err and makes
// all that follows do nothing.
type Codec struct {
	Enc   bool   // writing to Out; else reading from In
	Out   []byte // written so far
	In    string
	Pos   int    // next byte of In
	Pairs int    // writing: pairs written; reading: pairs not yet read
	last  int    // highest key seen
	key   uint64 // reading: key that has been read but not yet taken
	have  bool
	Err   error
}

// Major types, as the first byte of a head has them (RFC 8949, section 3.1), and
// the simple value true.
const (
	Uint  = 0 << 5
	Nint  = 1 << 5
	Bytes = 2 << 5
	Text  = 3 << 5
	Array = 4 << 5
	Map   = 5 << 5
	True  = 0xf5
)

// Limits of what is accepted.
const (
	MaxText  = 8 << 10 // bytes in one text
	MaxItems = 4096    // Items in one array
	MaxPairs = 23      // pairs in one map: its header stays one byte
	MaxDepth = 8       // of nesting
)

// ErrShort says that the input ends inside a value.
var ErrShort = errors.New("cbor: input ends inside a value")

// AppendHead appends the head of a data item in its shortest form.
func AppendHead(b []byte, major byte, n uint64) []byte {
	switch {
	case n < 24:
		return append(b, major|byte(n))
	case n <= 0xff:
		return append(b, major|24, byte(n))
	case n <= 0xffff:
		return binary.BigEndian.AppendUint16(append(b, major|25), uint16(n))
	case n <= 0xffffffff:
		return binary.BigEndian.AppendUint32(append(b, major|26), uint32(n))
	}
	return binary.BigEndian.AppendUint64(append(b, major|27), n)
}

// AppendText appends a text.
func AppendText(b []byte, s string) []byte {
	return append(AppendHead(b, Text, uint64(len(s))), s...)
}

// AppendInt appends an integer in its shortest form.
func AppendInt(b []byte, v int64) []byte {
	if v < 0 {
		return AppendHead(b, Nint, uint64(-(v + 1)))
	}
	return AppendHead(b, Uint, uint64(v))
}

// Head reads the head of a data item and refuses any but the shortest form.
func (c *Codec) Head() (major byte, n uint64) {
	if c.Err != nil {
		return 0, 0
	}
	if c.Pos >= len(c.In) {
		c.Err = ErrShort
		return 0, 0
	}
	b := c.In[c.Pos]
	c.Pos++
	major, low := b&0xe0, b&0x1f
	if low < 24 {
		return major, uint64(low)
	}
	size := 0
	switch low {
	case 24:
		size = 1
	case 25:
		size = 2
	case 26:
		size = 4
	case 27:
		size = 8
	default:
		c.Fail("byte 0x%02x at %d: indefinite lengths and reserved heads are not accepted", b, c.Pos-1)
		return 0, 0
	}
	if len(c.In)-c.Pos < size {
		c.Err = ErrShort
		return 0, 0
	}
	for i := 0; i < size; i++ {
		n = n<<8 | uint64(c.In[c.Pos+i])
	}
	c.Pos += size
	if n < 24 || (size > 1 && n>>(4*uint(size)) == 0) {
		c.Fail("number %d at %d is not in its shortest form", n, c.Pos)
	}
	return major, n
}

// Fail notes what is wrong, if nothing was before.
func (c *Codec) Fail(format string, args ...any) {
	if c.Err == nil {
		c.Err = fmt.Errorf("cbor: "+format, args...)
	}
}

// Want reads a head of the given major type.
func (c *Codec) Want(major byte, what string) uint64 {
	got, n := c.Head()
	if c.Err == nil && got != major {
		c.Fail("major type %d at %d where %s is wanted", got>>5, c.Pos, what)
	}
	return n
}

// Take reads n bytes; the result shares memory with the input.
func (c *Codec) Take(n uint64) string {
	if c.Err != nil {
		return ""
	}
	if n > uint64(len(c.In)-c.Pos) {
		c.Err = ErrShort
		return ""
	}
	s := c.In[c.Pos : c.Pos+int(n)]
	c.Pos += int(n)
	return s
}

// ReadText reads a text.
func (c *Codec) ReadText() string { return c.TextOf(c.Want(Text, "a text")) }

// TextOf reads the n bytes of a text whose head has been read.
func (c *Codec) TextOf(n uint64) string {
	if n > MaxText {
		c.Fail("text of %d bytes: at most %d are accepted", n, MaxText)
	}
	s := c.Take(n)
	if c.Err == nil && !utf8.ValidString(s) {
		c.Fail("text at %d is not UTF-8", c.Pos)
	}
	return s
}

// ReadInt reads an integer of 64 bits.
func (c *Codec) ReadInt() int64 {
	major, n := c.Head()
	if c.Err != nil {
		return 0
	}
	if n > 1<<63-1 || major > Nint {
		c.Fail("value at %d is not an integer of 64 bits", c.Pos)
		return 0
	}
	if major == Nint {
		return -int64(n) - 1
	}
	return int64(n)
}

// ReadID reads a byte string of 16 bytes.
func (c *Codec) ReadID() (id [16]byte) {
	if n := c.Want(Bytes, "a byte string"); c.Err == nil && n != 16 {
		c.Fail("byte string of %d bytes at %d where 16 are wanted", n, c.Pos)
	}
	copy(id[:], c.Take(16))
	return id
}

// Skip passes over one data item of any kind this format may hold.
func (c *Codec) Skip(depth int) {
	major, n := c.Head()
	if c.Err != nil {
		return
	}
	if depth > MaxDepth {
		c.Fail("nested deeper than %d", MaxDepth)
		return
	}
	switch major {
	case Uint, Nint:
	case Bytes:
		c.Take(n)
	case Text:
		c.TextOf(n)
	case Array:
		if n > MaxItems {
			c.Fail("array of %d items: at most %d are accepted", n, MaxItems)
		}
		for ; n > 0 && c.Err == nil; n-- {
			c.Skip(depth + 1)
		}
	case Map:
		if n > 64 {
			c.Fail("map of %d pairs: at most 64 are accepted", n)
		}
		prev := ""
		for i := uint64(0); i < n && c.Err == nil; i++ {
			start := c.Pos
			c.Skip(depth + 1)
			if c.Err != nil {
				return
			}
			key := c.In[start:c.Pos]
			if i > 0 && key <= prev {
				c.Fail("map keys at %d are not in ascending order", start)
			}
			prev = key
			c.Skip(depth + 1)
		}
	default:
		if n != 20 && n != 21 || major != 0xe0 {
			c.Fail("major type %d at %d: tags and floats are not accepted", major>>5, c.Pos)
		}
	}
}

// OpenMap starts a map whose pairs are then walked with the field methods.
func (c *Codec) OpenMap() (header int) {
	if c.Enc {
		c.Out = append(c.Out, 0)
		return len(c.Out) - 1
	}
	n := c.Want(Map, "a map")
	if n > MaxPairs {
		c.Fail("map of %d pairs: at most %d are accepted", n, MaxPairs)
	}
	c.Pairs = int(n)
	c.last, c.have = -1, false
	return 0
}

// CloseMap ends the map that openMap began.
func (c *Codec) CloseMap(header int) {
	if c.Enc {
		if c.Pairs > MaxPairs {
			c.Fail("map of %d pairs: at most %d are possible", c.Pairs, MaxPairs)
			return
		}
		c.Out[header] = Map | byte(c.Pairs)
		return
	}
	if c.Err == nil && (c.have || c.Pairs > 0) {
		if !c.have {
			c.key = c.Want(Uint, "a key")
		}
		c.Fail("key %d is not known here", c.key)
	}
}

// SkipRest passes over the pairs of a map that have not been walked: what a
// newer version has to say.
func (c *Codec) SkipRest() {
	for !c.Enc && c.Err == nil && (c.have || c.Pairs > 0) {
		if !c.have {
			c.Skip(1)
		}
		c.Skip(1)
		c.have = false
		c.Pairs--
	}
}

// At reports whether the value of key k comes next; when encoding it writes the
// key. present says whether an encoder has anything to write.
func (c *Codec) At(k int, present bool) bool {
	if c.Enc {
		if present {
			c.Pairs++
			c.Out = AppendHead(c.Out, Uint, uint64(k))
		}
		return present
	}
	if c.Err != nil {
		return false
	}
	if !c.have {
		if c.Pairs == 0 {
			return false
		}
		c.key = c.Want(Uint, "a key")
		if c.Err != nil {
			return false
		}
		if int64(c.key) <= int64(c.last) || c.key > 1<<20 {
			c.Fail("key %d after key %d: keys must ascend", c.key, c.last)
			return false
		}
		c.last, c.have = int(c.key), true
	}
	if c.key != uint64(k) {
		return false
	}
	c.have = false
	c.Pairs--
	return true
}

// Zero refuses a zero value that should have been left out.
func (c *Codec) Zero(k int, is bool) {
	if is {
		c.Fail("key %d holds its zero value: it is left out in this format", k)
	}
}

// Text walks a text of at most MaxText bytes.
func (c *Codec) Text(k int, v *string) {
	if !c.At(k, *v != "") {
		return
	}
	if c.Enc {
		if len(*v) > MaxText {
			c.Fail("text of %d bytes: at most %d are possible", len(*v), MaxText)
		}
		if !utf8.ValidString(*v) {
			c.Fail("text %q is not UTF-8", *v)
		}
		c.Out = AppendText(c.Out, *v)
		return
	}
	*v = c.ReadText()
	c.Zero(k, *v == "")
}

// Num walks an integer.
func (c *Codec) Num(k int, v *int64) {
	if !c.At(k, *v != 0) {
		return
	}
	if c.Enc {
		c.Out = AppendInt(c.Out, *v)
		return
	}
	*v = c.ReadInt()
	c.Zero(k, *v == 0)
}

// Flag walks a truth.
func (c *Codec) Flag(k int, v *bool) {
	if !c.At(k, *v) {
		return
	}
	if c.Enc {
		c.Out = append(c.Out, True)
		return
	}
	if c.Take(1) != "\xf5" {
		c.Fail("key %d is not true: false is left out in this format", k)
	}
	*v = true
}

// ID walks a name of 16 bytes.
func (c *Codec) ID(k int, v *[16]byte) {
	if !c.At(k, *v != [16]byte{}) {
		return
	}
	if c.Enc {
		c.Out = append(AppendHead(c.Out, Bytes, 16), v[:]...)
		return
	}
	*v = c.ReadID()
	c.Zero(k, *v == [16]byte{})
}

// Items reads the head of an array that may not be empty.
func (c *Codec) Items(k int) int {
	n := c.Want(Array, "an array")
	if n > MaxItems {
		c.Fail("array of %d items: at most %d are accepted", n, MaxItems)
	}
	c.Zero(k, n == 0)
	if c.Err != nil || n > uint64(len(c.In)-c.Pos) {
		if c.Err == nil {
			c.Err = ErrShort
		}
		return 0
	}
	return int(n)
}

// Bytes walks a byte string; what is read shares no memory with In.
func (c *Codec) Bytes(k int, v *[]byte) {
	if !c.At(k, len(*v) > 0) {
		return
	}
	if c.Enc {
		c.Out = append(AppendHead(c.Out, Bytes, uint64(len(*v))), *v...)
		return
	}
	*v = []byte(c.Take(c.Want(Bytes, "a byte string")))
	c.Zero(k, len(*v) == 0)
}

// Texts walks an array of texts.
func (c *Codec) Texts(k int, v *[]string) {
	if !c.At(k, len(*v) > 0) {
		return
	}
	if c.Enc {
		c.Out = AppendHead(c.Out, Array, uint64(len(*v)))
		for _, s := range *v {
			c.Out = AppendText(c.Out, s)
		}
		return
	}
	n := c.Items(k)
	*v = make([]string, 0, n)
	for i := 0; i < n && c.Err == nil; i++ {
		*v = append(*v, c.ReadText())
	}
}

// Nums walks an array of integers.
func (c *Codec) Nums(k int, v *[]int64) {
	if !c.At(k, len(*v) > 0) {
		return
	}
	if c.Enc {
		c.Out = AppendHead(c.Out, Array, uint64(len(*v)))
		for _, n := range *v {
			c.Out = AppendInt(c.Out, n)
		}
		return
	}
	n := c.Items(k)
	*v = make([]int64, 0, n)
	for i := 0; i < n && c.Err == nil; i++ {
		*v = append(*v, c.ReadInt())
	}
}
