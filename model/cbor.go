package model

import (
	"encoding/binary"
	"errors"
	"fmt"
	"unicode/utf8"

	"github.com/google/uuid"
)

// The codec of entries is written by hand: the bytes are plain deterministic
// CBOR (RFC 8949, section 4.2.1) that any language can read, but a reflecting
// library takes five times as long over them. A codec walks the fields of a map
// in ascending key order, in one of two directions, so a type states its layout
// once (see fields in bodies.go). Zero values are left out, which keeps the
// encoding of a value unique.
type codec struct {
	enc   bool
	out   []byte
	in    string
	pos   int
	pairs int    // encoding: pairs written; decoding: pairs not yet read
	last  int    // highest key seen
	key   uint64 // decoding: key that has been read but not yet taken
	have  bool
	err   error
}

const (
	majorUint  = 0 << 5
	majorNint  = 1 << 5
	majorBytes = 2 << 5
	majorText  = 3 << 5
	majorArray = 4 << 5
	majorMap   = 5 << 5
	simpleTrue = 0xf5

	maxEntry = 16 << 10 // bytes in one entry
	maxText  = 8 << 10  // bytes in one text
	maxItems = 4096     // items in one array
	maxPairs = 23       // pairs in one map: its header stays one byte
	maxDepth = 8
)

var errShort = errors.New("cbor: input ends inside a value")

// appendHead appends the head of a data item in its shortest form.
func appendHead(b []byte, major byte, n uint64) []byte {
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

func appendText(b []byte, s string) []byte {
	return append(appendHead(b, majorText, uint64(len(s))), s...)
}

func appendInt(b []byte, v int64) []byte {
	if v < 0 {
		return appendHead(b, majorNint, uint64(-(v + 1)))
	}
	return appendHead(b, majorUint, uint64(v))
}

// head reads the head of a data item and refuses any but the shortest form.
func (c *codec) head() (major byte, n uint64) {
	if c.err != nil {
		return 0, 0
	}
	if c.pos >= len(c.in) {
		c.err = errShort
		return 0, 0
	}
	b := c.in[c.pos]
	c.pos++
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
		c.fail("byte 0x%02x at %d: indefinite lengths and reserved heads are not accepted", b, c.pos-1)
		return 0, 0
	}
	if len(c.in)-c.pos < size {
		c.err = errShort
		return 0, 0
	}
	for i := 0; i < size; i++ {
		n = n<<8 | uint64(c.in[c.pos+i])
	}
	c.pos += size
	if n < 24 || (size > 1 && n>>(4*uint(size)) == 0) {
		c.fail("number %d at %d is not in its shortest form", n, c.pos)
	}
	return major, n
}

func (c *codec) fail(format string, args ...any) {
	if c.err == nil {
		c.err = fmt.Errorf("cbor: "+format, args...)
	}
}

// want reads a head of the given major type.
func (c *codec) want(major byte, what string) uint64 {
	got, n := c.head()
	if c.err == nil && got != major {
		c.fail("major type %d at %d where %s is wanted", got>>5, c.pos, what)
	}
	return n
}

// take reads n bytes; the result shares memory with the input.
func (c *codec) take(n uint64) string {
	if c.err != nil {
		return ""
	}
	if n > uint64(len(c.in)-c.pos) {
		c.err = errShort
		return ""
	}
	s := c.in[c.pos : c.pos+int(n)]
	c.pos += int(n)
	return s
}

func (c *codec) readText() string { return c.textOf(c.want(majorText, "a text")) }

// textOf reads the n bytes of a text whose head has been read.
func (c *codec) textOf(n uint64) string {
	if n > maxText {
		c.fail("text of %d bytes: at most %d are accepted", n, maxText)
	}
	s := c.take(n)
	if c.err == nil && !utf8.ValidString(s) {
		c.fail("text at %d is not UTF-8", c.pos)
	}
	return s
}

func (c *codec) readInt() int64 {
	major, n := c.head()
	if c.err != nil {
		return 0
	}
	if n > 1<<63-1 || major > majorNint {
		c.fail("value at %d is not an integer of 64 bits", c.pos)
		return 0
	}
	if major == majorNint {
		return -int64(n) - 1
	}
	return int64(n)
}

// readID reads a byte string of 16 bytes.
func (c *codec) readID() (id [16]byte) {
	if n := c.want(majorBytes, "a byte string"); c.err == nil && n != 16 {
		c.fail("byte string of %d bytes at %d where 16 are wanted", n, c.pos)
	}
	copy(id[:], c.take(16))
	return id
}

// skip passes over one data item of any kind this format may hold.
func (c *codec) skip(depth int) {
	major, n := c.head()
	if c.err != nil {
		return
	}
	if depth > maxDepth {
		c.fail("nested deeper than %d", maxDepth)
		return
	}
	switch major {
	case majorUint, majorNint:
	case majorBytes:
		c.take(n)
	case majorText:
		c.textOf(n)
	case majorArray:
		if n > maxItems {
			c.fail("array of %d items: at most %d are accepted", n, maxItems)
		}
		for ; n > 0 && c.err == nil; n-- {
			c.skip(depth + 1)
		}
	case majorMap:
		if n > 64 {
			c.fail("map of %d pairs: at most 64 are accepted", n)
		}
		prev := ""
		for i := uint64(0); i < n && c.err == nil; i++ {
			start := c.pos
			c.skip(depth + 1)
			if c.err != nil {
				return
			}
			key := c.in[start:c.pos]
			if i > 0 && key <= prev {
				c.fail("map keys at %d are not in ascending order", start)
			}
			prev = key
			c.skip(depth + 1)
		}
	default:
		if n != 20 && n != 21 || major != 0xe0 {
			c.fail("major type %d at %d: tags and floats are not accepted", major>>5, c.pos)
		}
	}
}

// openMap starts a map whose pairs are then walked with the field methods.
func (c *codec) openMap() (header int) {
	if c.enc {
		c.out = append(c.out, 0)
		return len(c.out) - 1
	}
	n := c.want(majorMap, "a map")
	if n > maxPairs {
		c.fail("map of %d pairs: at most %d are accepted", n, maxPairs)
	}
	c.pairs = int(n)
	c.last, c.have = -1, false
	return 0
}

// closeMap ends the map that openMap began.
func (c *codec) closeMap(header int) {
	if c.enc {
		if c.pairs > maxPairs {
			c.fail("map of %d pairs: at most %d are possible", c.pairs, maxPairs)
			return
		}
		c.out[header] = majorMap | byte(c.pairs)
		return
	}
	if c.err == nil && (c.have || c.pairs > 0) {
		if !c.have {
			c.key = c.want(majorUint, "a key")
		}
		c.fail("key %d is not known here", c.key)
	}
}

// at reports whether the value of key k comes next; when encoding it writes the
// key. present says whether an encoder has anything to write.
func (c *codec) at(k int, present bool) bool {
	if c.enc {
		if present {
			c.pairs++
			c.out = appendHead(c.out, majorUint, uint64(k))
		}
		return present
	}
	if c.err != nil {
		return false
	}
	if !c.have {
		if c.pairs == 0 {
			return false
		}
		c.key = c.want(majorUint, "a key")
		if c.err != nil {
			return false
		}
		if int64(c.key) <= int64(c.last) || c.key > 1<<20 {
			c.fail("key %d after key %d: keys must ascend", c.key, c.last)
			return false
		}
		c.last, c.have = int(c.key), true
	}
	if c.key != uint64(k) {
		return false
	}
	c.have = false
	c.pairs--
	return true
}

// zero refuses a zero value that should have been left out.
func (c *codec) zero(k int, is bool) {
	if is {
		c.fail("key %d holds its zero value: it is left out in this format", k)
	}
}

func (c *codec) text(k int, v *string) {
	if !c.at(k, *v != "") {
		return
	}
	if c.enc {
		if len(*v) > maxText {
			c.fail("text of %d bytes: at most %d are possible", len(*v), maxText)
		}
		if !utf8.ValidString(*v) {
			c.fail("text %q is not UTF-8", *v)
		}
		c.out = appendText(c.out, *v)
		return
	}
	*v = c.readText()
	c.zero(k, *v == "")
}

func (c *codec) num(k int, v *int64) {
	if !c.at(k, *v != 0) {
		return
	}
	if c.enc {
		c.out = appendInt(c.out, *v)
		return
	}
	*v = c.readInt()
	c.zero(k, *v == 0)
}

func (c *codec) flag(k int, v *bool) {
	if !c.at(k, *v) {
		return
	}
	if c.enc {
		c.out = append(c.out, simpleTrue)
		return
	}
	if c.take(1) != "\xf5" {
		c.fail("key %d is not true: false is left out in this format", k)
	}
	*v = true
}

func (c *codec) id(k int, v *[16]byte) {
	if !c.at(k, *v != [16]byte{}) {
		return
	}
	if c.enc {
		c.out = append(appendHead(c.out, majorBytes, 16), v[:]...)
		return
	}
	*v = c.readID()
	c.zero(k, *v == [16]byte{})
}

func (c *codec) entryID(k int, v *ID)          { c.id(k, (*[16]byte)(v)) }
func (c *codec) replicaID(k int, v *uuid.UUID) { c.id(k, (*[16]byte)(v)) }

func (c *codec) ids(k int, v *[]ID) {
	if !c.at(k, len(*v) > 0) {
		return
	}
	if c.enc {
		c.out = appendHead(c.out, majorArray, uint64(len(*v)))
		for i := range *v {
			c.out = append(appendHead(c.out, majorBytes, 16), (*v)[i][:]...)
		}
		return
	}
	n := c.items(k)
	*v = make([]ID, 0, n)
	for i := 0; i < n && c.err == nil; i++ {
		*v = append(*v, ID(c.readID()))
	}
}

// items reads the head of an array that may not be empty.
func (c *codec) items(k int) int {
	n := c.want(majorArray, "an array")
	if n > maxItems {
		c.fail("array of %d items: at most %d are accepted", n, maxItems)
	}
	c.zero(k, n == 0)
	if c.err != nil || n > uint64(len(c.in)-c.pos) {
		if c.err == nil {
			c.err = errShort
		}
		return 0
	}
	return int(n)
}

func (c *codec) bytes(k int, v *[]byte) {
	if !c.at(k, len(*v) > 0) {
		return
	}
	if c.enc {
		c.out = append(appendHead(c.out, majorBytes, uint64(len(*v))), *v...)
		return
	}
	*v = []byte(c.take(c.want(majorBytes, "a byte string")))
	c.zero(k, len(*v) == 0)
}

func (c *codec) texts(k int, v *[]string) {
	if !c.at(k, len(*v) > 0) {
		return
	}
	if c.enc {
		c.out = appendHead(c.out, majorArray, uint64(len(*v)))
		for _, s := range *v {
			c.out = appendText(c.out, s)
		}
		return
	}
	n := c.items(k)
	*v = make([]string, 0, n)
	for i := 0; i < n && c.err == nil; i++ {
		*v = append(*v, c.readText())
	}
}

func (c *codec) nums(k int, v *[]int64) {
	if !c.at(k, len(*v) > 0) {
		return
	}
	if c.enc {
		c.out = appendHead(c.out, majorArray, uint64(len(*v)))
		for _, n := range *v {
			c.out = appendInt(c.out, n)
		}
		return
	}
	n := c.items(k)
	*v = make([]int64, 0, n)
	for i := 0; i < n && c.err == nil; i++ {
		*v = append(*v, c.readInt())
	}
}

// when walks two keys: seconds since 1970 and, at k+1, the offset of the
// writer's clock face from UTC in minutes.
func (c *codec) when(k int, v *When) {
	c.num(k, &v.Unix)
	off := int64(v.Offset)
	c.num(k+1, &off)
	if off < -18*60 || off > 18*60 {
		c.fail("offset of %d min from UTC: -1080 to 1080 is possible", off)
	}
	v.Offset = int16(off)
}
