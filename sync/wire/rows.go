package wire

import (
	"encoding/binary"
	"fmt"
	"slices"

	"ampwright/model"
	"ampwright/model/cbor"

	"github.com/google/uuid"
)

// rows turns columns back into entries.
type rows struct {
	builds                       []uuid.UUID
	shapes                       []openShape
	shape, build, stamp, literal column
	texts                        []string
	ids                          []model.ID // entries so far

	out []byte // all entries; never grows past its capacity
	err error
}

// An openShape is a shape that is being filled in.
type openShape struct {
	blank  string
	leaves []leaf // places in blank after its first byte
	cols   []column
}

// A column is what is left to read of one.
type column struct{ left []byte }

func (r *rows) uvarint(c *column) uint64 {
	v, n := binary.Uvarint(c.left)
	if n <= 0 || n > 1 && c.left[n-1] == 0 { // cut, or not in its shortest form
		r.fail("a column ends early")
		return 0
	}
	c.left = c.left[n:]
	return v
}

func (r *rows) varint(c *column) int64 {
	z := r.uvarint(c)
	return int64(z>>1) ^ -int64(z&1)
}

func (r *rows) take(c *column, n uint64) []byte {
	if n > uint64(len(c.left)) {
		r.fail("a column ends early")
		return nil
	}
	b := c.left[:n:n]
	c.left = c.left[n:]
	return b
}

func (r *rows) fail(format string, args ...any) {
	if r.err == nil {
		r.err = fmt.Errorf("columns: "+format, args...)
	}
}

// openRows reads the heads of columns. size is how many bytes of entries they
// make.
func openRows(block []byte, size int) (*rows, error) {
	if len(block) > maxBlock || size > MaxRaw {
		return nil, fmt.Errorf("columns: %d bytes that make %d, at most %d and %d are accepted", len(block), size, maxBlock, MaxRaw)
	}
	r := &rows{out: make([]byte, 0, size)}
	all := column{block}
	for n := r.count(&all, 16); n > 0; n-- {
		r.builds = append(r.builds, uuid.UUID(r.take(&all, 16)))
	}
	holes := 0
	var w walker
	for n := r.count(&all, 1); n > 0 && r.err == nil; n-- {
		sh := openShape{blank: string(r.take(&all, r.uvarint(&all)))}
		if sh.blank == "" || !w.walk(sh.blank[1:]) || len(w.leaves) == 0 || w.leaves[0].at != 1 || w.leaves[0].major != cbor.Uint {
			r.fail("shape %x is no entry", sh.blank)
			break
		}
		for _, l := range w.leaves {
			if l.n != 0 || l.end != l.at+1 {
				r.fail("shape %x has a value", sh.blank)
			}
		}
		if holes += len(w.leaves); holes > maxHoles {
			r.fail("more than %d values in all shapes", maxHoles)
		}
		sh.leaves = slices.Clone(w.leaves)
		r.shapes = append(r.shapes, sh)
	}
	for _, c := range []*column{&r.shape, &r.build, &r.stamp, &r.literal} {
		c.left = r.take(&all, r.uvarint(&all))
	}
	for i := range r.shapes {
		sh := &r.shapes[i]
		sh.cols = make([]column, len(sh.leaves))
		for j := range sh.cols[1:] {
			sh.cols[j+1].left = r.take(&all, r.uvarint(&all))
		}
	}
	if len(all.left) > 0 {
		r.fail("%d bytes after the end", len(all.left))
	}
	return r, r.err
}

// count reads how many things of at least size bytes follow.
func (r *rows) count(c *column, size int) uint64 {
	n := r.uvarint(c)
	if n > uint64(len(c.left)/size) {
		r.fail("%d things in %d bytes", n, len(c.left))
		return 0
	}
	return n
}

// next returns the entry that follows p.
func (r *rows) next(p *place) ([]byte, error) {
	start := len(r.out)
	seq := p.head.Seq + 1
	nth, build := r.uvarint(&r.shape), r.uvarint(&r.build)
	if build > uint64(len(r.builds)) || nth > uint64(len(r.shapes)) {
		r.fail("shape %d of %d, build %d of %d", nth, len(r.shapes), build, len(r.builds))
	}
	var sh *openShape
	var verbatim []byte
	switch {
	case r.err != nil:
		return nil, r.err
	case nth > 0:
		sh = &r.shapes[nth-1]
		r.put(sh.blank[0])
	default:
		if verbatim = r.take(&r.literal, r.uvarint(&r.literal)); len(verbatim) == 0 {
			r.fail("an entry of no bytes")
			return nil, r.err
		}
		r.put(verbatim[0])
	}
	r.putID(1, p.replica[:])
	r.put(2)
	r.putHead(cbor.Uint, seq)
	if seq > 1 {
		r.putID(3, p.head.ID[:])
	}
	if build > 0 {
		r.putID(4, r.builds[build-1][:])
	}
	if sh != nil {
		r.fill(sh, p)
	} else {
		r.put(verbatim[1:]...)
	}
	if r.err != nil {
		return nil, r.err
	}
	raw := r.out[start:len(r.out):len(r.out)]
	link, err := model.LinkOf(raw)
	if err != nil {
		return nil, err
	}
	if link.Replica != p.replica || link.Seq != seq || link.Prev != p.head.ID {
		return nil, fmt.Errorf("columns: entry %d of replica %s reads as another", seq, p.replica)
	}
	r.ids = append(r.ids, link.ID)
	p.head = model.Head{Seq: seq, ID: link.ID}
	return raw, nil
}

// fill puts an entry from key 5 on.
func (r *rows) fill(sh *openShape, p *place) {
	rest := sh.blank[1:]
	stamp := r.nextStamp(p.stamp)
	p.stamp = stamp
	minute := stamp >> 16 / 60_000 * 60
	from := 0
	for i := range sh.leaves {
		l, col := &sh.leaves[i], &sh.cols[i]
		r.putText(rest[from:l.at])
		from = l.end
		switch {
		case i == 0:
			r.putHead(cbor.Uint, stamp)
		case l.moment:
			r.putHead(cbor.Uint, uint64(r.varint(col))+minute)
		case l.major == cbor.Text:
			s := r.text(r.uvarint(col))
			r.putHead(cbor.Text, uint64(len(s)))
			r.putText(s)
		case l.major == cbor.Bytes:
			b := r.bytes(r.uvarint(col))
			r.putHead(cbor.Bytes, uint64(len(b)))
			r.put(b...)
		default:
			r.putHead(l.major, r.uvarint(col))
		}
	}
	r.putText(rest[from:])
}

// nextStamp reads what appendStamp writes.
func (r *rows) nextStamp(before uint64) uint64 {
	z := r.uvarint(&r.stamp)
	odd := z & 1
	z >>= 1
	ms := before>>16 + uint64(int64(z>>1)^-int64(z&1))
	if odd == 0 {
		return ms << 16
	}
	return ms<<16 | r.uvarint(&r.stamp)&0xffff
}

func (r *rows) text(n uint64) string {
	if n > 0 && n <= uint64(len(r.texts)) {
		return r.texts[n-1]
	}
	if n > maxTexts || n > uint64(len(r.texts))+1 {
		r.fail("text %d of %d", n, len(r.texts))
		return ""
	}
	s := string(r.take(&r.literal, r.uvarint(&r.literal)))
	if n > 0 {
		r.texts = append(r.texts, s)
	}
	return s
}

func (r *rows) bytes(back uint64) []byte {
	switch {
	case back == 0:
		return r.take(&r.literal, r.uvarint(&r.literal))
	case back > uint64(len(r.ids)):
		r.fail("entry %d back of %d", back, len(r.ids))
		return nil
	}
	return r.ids[uint64(len(r.ids))-back][:]
}

// end reports what was left over.
func (r *rows) end() error {
	left := len(r.shape.left) + len(r.build.left) + len(r.stamp.left) + len(r.literal.left) + cap(r.out) - len(r.out)
	for i := range r.shapes {
		for _, c := range r.shapes[i].cols {
			left += len(c.left)
		}
	}
	if left > 0 {
		r.fail("%d bytes more than the entries take", left)
	}
	return r.err
}

func (r *rows) room(n int) bool {
	if r.err == nil && n > cap(r.out)-len(r.out) {
		r.fail("entries take more than the %d bytes announced", cap(r.out))
	}
	return r.err == nil
}

func (r *rows) put(b ...byte) {
	if r.room(len(b)) {
		r.out = append(r.out, b...)
	}
}

func (r *rows) putText(s string) {
	if r.room(len(s)) {
		r.out = append(r.out, s...)
	}
}

func (r *rows) putID(key byte, id []byte) {
	if r.room(18) {
		r.out = append(append(r.out, key, cbor.Bytes|16), id...)
	}
}

func (r *rows) putHead(major byte, n uint64) {
	var b [9]byte
	r.put(cbor.AppendHead(b[:0], major, n)...)
}
