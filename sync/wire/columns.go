package wire

import (
	"encoding/binary"
	"fmt"
	"slices"

	"ampwright/model"
	"ampwright/model/cbor"

	"github.com/google/uuid"
)

// Limits of a batch of entries.
const (
	MaxEntries = 5000      // entries
	MaxRaw     = 256 << 10 // bytes of all entries as a store holds them
	maxBlock   = 192 << 10 // bytes of the columns before they are deflated
	maxTexts   = 4096      // texts that are named by a number
	maxHoles   = 2048      // columns of all shapes
)

// columns takes entries apart into columns; see the package comment.
type columns struct {
	w       walker
	builds  []uuid.UUID
	shapes  []*shape
	byBlank map[string]*shape
	holes   int              // leaves of all shapes
	texts   map[string]int   // their numbers, from 1
	names   map[model.ID]int // which entry of the batch has the name
	count   int              // entries so far

	shape, build, stamp, literal []byte // columns

	scratch []byte
}

// A shape is an entry with its values blanked out, and a column for each.
type shape struct {
	n     int // from 1
	blank string
	cols  [][]byte
}

func newColumns() *columns {
	return &columns{byBlank: map[string]*shape{}, texts: map[string]int{}, names: map[model.ID]int{}}
}

// A place is where a chain stands.
type place struct {
	replica uuid.UUID
	head    model.Head
	stamp   uint64
}

// add takes the entry that follows p. id is its name.
func (c *columns) add(p *place, raw []byte, id model.ID) error {
	at, build := prefix(p.head.Seq+1, raw)
	if at >= len(raw) {
		return fmt.Errorf("entry %d of replica %s: %d bytes are no entry", p.head.Seq+1, p.replica, len(raw))
	}
	c.build = binary.AppendUvarint(c.build, uint64(c.buildNumber(build)))
	c.values(p, raw[0], string(raw[at:]))
	c.names[id] = c.count
	c.count++
	p.head = model.Head{Seq: p.head.Seq + 1, ID: id}
	return nil
}

// prefix returns where key 5 stands in the bytes of an entry with this number,
// and the build before it.
func prefix(seq uint64, raw []byte) (at int, build uuid.UUID) {
	at = 1 + 1 + 17 + 1 + len(cbor.AppendHead(make([]byte, 0, 9), cbor.Uint, seq))
	if seq > 1 {
		at += 18
	}
	if len(raw) > at+18 && raw[at] == 4 {
		copy(build[:], raw[at+2:])
		at += 18
	}
	return at, build
}

func (c *columns) buildNumber(build uuid.UUID) int {
	if build == uuid.Nil {
		return 0
	}
	n := slices.Index(c.builds, build)
	if n < 0 {
		n = len(c.builds)
		c.builds = append(c.builds, build)
	}
	return n + 1
}

// values puts the values of an entry into the columns of its shape.
func (c *columns) values(p *place, head byte, tail string) {
	var sh *shape
	if c.w.walk(tail) && len(c.w.leaves) > 0 && c.w.leaves[0].at == 1 {
		sh = c.shapeOf(head, tail)
	}
	if sh == nil {
		c.shape = append(c.shape, 0)
		c.literal = binary.AppendUvarint(c.literal, uint64(len(tail)+1))
		c.literal = append(append(c.literal, head), tail...)
		return
	}
	c.shape = binary.AppendUvarint(c.shape, uint64(sh.n))
	stamp := c.w.leaves[0].n
	c.stamp = appendStamp(c.stamp, p.stamp, stamp)
	p.stamp = stamp
	minute := stamp >> 16 / 60_000 * 60
	for i, l := range c.w.leaves[1:] {
		col := sh.cols[i+1]
		switch {
		case l.moment:
			col = binary.AppendVarint(col, int64(l.n-minute))
		case l.major == cbor.Text:
			col = c.appendText(col, tail[l.end-int(l.n):l.end])
		case l.major == cbor.Bytes:
			col = c.appendBytes(col, tail[l.end-int(l.n):l.end])
		default:
			col = binary.AppendUvarint(col, l.n)
		}
		sh.cols[i+1] = col
	}
}

// appendStamp writes a stamp by its distance in milliseconds from the one
// before in its chain, doubled; odd if a counter follows.
func appendStamp(col []byte, before, stamp uint64) []byte {
	d := int64(stamp>>16) - int64(before>>16)
	z := uint64(d<<1) ^ uint64(d>>63)
	if count := stamp & 0xffff; count != 0 {
		return binary.AppendUvarint(binary.AppendUvarint(col, z<<1|1), count)
	}
	return binary.AppendUvarint(col, z<<1)
}

// appendText writes a text by its number among those of this batch, 0 for one
// that gets none.
func (c *columns) appendText(col []byte, s string) []byte {
	n, ok := c.texts[s]
	if ok {
		return binary.AppendUvarint(col, uint64(n))
	}
	c.literal = append(binary.AppendUvarint(c.literal, uint64(len(s))), s...)
	if len(c.texts) == maxTexts {
		return append(col, 0)
	}
	n = len(c.texts) + 1
	c.texts[s] = n
	return binary.AppendUvarint(col, uint64(n))
}

// appendBytes writes a byte string: the name of an entry of this batch by how
// far back that is, 0 for any other.
func (c *columns) appendBytes(col []byte, s string) []byte {
	if len(s) == len(model.ID{}) {
		if n, ok := c.names[model.ID([]byte(s))]; ok {
			return binary.AppendUvarint(col, uint64(c.count-n))
		}
	}
	c.literal = append(binary.AppendUvarint(c.literal, uint64(len(s))), s...)
	return append(col, 0)
}

// shapeOf returns the shape of the entry that was walked, or nil if there are too
// many.
func (c *columns) shapeOf(head byte, tail string) *shape {
	b := append(c.scratch[:0], head)
	from := 0
	for _, l := range c.w.leaves {
		b = append(append(b, tail[from:l.at]...), l.major)
		from = l.end
	}
	b = append(b, tail[from:]...)
	c.scratch = b
	if sh, ok := c.byBlank[string(b)]; ok {
		return sh
	}
	if c.holes+len(c.w.leaves) > maxHoles {
		return nil
	}
	c.holes += len(c.w.leaves)
	sh := &shape{n: len(c.shapes) + 1, blank: string(b), cols: make([][]byte, len(c.w.leaves))}
	c.byBlank[sh.blank] = sh
	c.shapes = append(c.shapes, sh)
	return sh
}

// block puts the columns one after another.
func (c *columns) block() []byte {
	size := len(c.shape) + len(c.build) + len(c.stamp) + len(c.literal) + 16*len(c.builds) + 64
	for _, sh := range c.shapes {
		size += len(sh.blank) + 3*len(sh.cols)
		for _, col := range sh.cols {
			size += len(col)
		}
	}
	b := binary.AppendUvarint(make([]byte, 0, size), uint64(len(c.builds)))
	for _, build := range c.builds {
		b = append(b, build[:]...)
	}
	b = binary.AppendUvarint(b, uint64(len(c.shapes)))
	for _, sh := range c.shapes {
		b = appendColumn(b, []byte(sh.blank))
	}
	for _, col := range [][]byte{c.shape, c.build, c.stamp, c.literal} {
		b = appendColumn(b, col)
	}
	for _, sh := range c.shapes {
		for _, col := range sh.cols[1:] { // the stamp has a column of its own
			b = appendColumn(b, col)
		}
	}
	return b
}

func appendColumn(b, col []byte) []byte {
	return append(binary.AppendUvarint(b, uint64(len(col))), col...)
}
