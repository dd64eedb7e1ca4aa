package model

import (
	"fmt"
	"slices"
	"strings"

	"ampwright/model/cbor"

	"github.com/google/uuid"
)

// A run is how a store keeps consecutive entries of one replica: what every
// entry of the run repeats (replica, number, the name of the entry before it,
// build) is left out and put back on reading. The entries come back byte for
// byte: the run ends with the name of its last entry, and since each name
// covers the one before it, a run that reads without an error is whole.
//
// A run is a CBOR map: 1 replica, 2 number of the first entry, 3 name of the
// entry before it (left out at 1), 4 name of the last entry, 5 the builds that
// occur, 6 how many entries, 7 a byte string with, for each entry, its map
// header (1 byte), the index of its build in 5 counted from 1 or 0 for none
// (unsigned integer), and the rest of its bytes from key 5 on (byte string).
type runHead struct {
	replica    uuid.UUID
	first      int64
	prev, last ID
	builds     []ID
	count      int64
	packed     string
}

func (r *runHead) fields(c *codec) {
	c.replicaID(1, &r.replica)
	c.Num(2, &r.first)
	c.entryID(3, &r.prev)
	c.entryID(4, &r.last)
	c.ids(5, &r.builds)
	c.Num(6, &r.count)
	c.blob(7, &r.packed)
}

// blob is bytes without the copy: when decoding, v shares memory with the input.
func (c *codec) blob(k int, v *string) {
	if !c.At(k, *v != "") {
		return
	}
	if c.Enc {
		c.Out = append(cbor.AppendHead(c.Out, cbor.Bytes, uint64(len(*v))), *v...)
		return
	}
	*v = c.Take(c.Want(cbor.Bytes, "a byte string"))
	c.Zero(k, *v == "")
}

const maxSeq int64 = 1 << 31

// A Span says which entries a run holds: Count of them from number First on.
type Span struct {
	Replica uuid.UUID
	First   uint64
	Count   int
	Prev    ID // the entry before the first; zero if First is 1
	Last    ID // the last entry
}

// End returns the number of the last entry.
func (s Span) End() uint64 { return s.First + uint64(s.Count) - 1 }

// SpanOf reads what a run says it holds. That the entries are there and whole
// only [UnpackRun] can tell.
func SpanOf(run []byte) (Span, error) {
	r, err := readRunHead(run)
	if err != nil {
		return Span{}, err
	}
	return Span{Replica: r.replica, First: uint64(r.first), Count: int(r.count), Prev: r.prev, Last: r.last}, nil
}

func readRunHead(run []byte) (r runHead, err error) {
	c := codec{cbor.Codec{In: string(run)}}
	c.OpenMap()
	r.fields(&c)
	c.CloseMap(0)
	switch {
	case c.Err != nil:
		return r, fmt.Errorf("read run: %w", c.Err)
	case c.Pos != len(run):
		return r, fmt.Errorf("read run: %d bytes after the end", len(run)-c.Pos)
	case r.count <= 0 || r.count > int64(len(r.packed)) || r.first <= 0 || r.first > maxSeq-r.count:
		return r, fmt.Errorf("read run: %d entries from number %d in %d bytes", r.count, r.first, len(r.packed))
	case r.replica == uuid.Nil || r.last == ID{} || (r.first == 1) != (r.prev == ID{}):
		return r, fmt.Errorf("read run: no replica, or no entry where the run joins the chain")
	}
	return r, nil
}

// PackRun packs the bytes of consecutive entries of one replica. It fails when
// they are not consecutive: another replica, a hole, a wrong predecessor.
func PackRun(raws [][]byte) ([]byte, error) {
	links := make([]Link, len(raws))
	for i, raw := range raws {
		var err error
		if links[i], err = LinkOf(raw); err != nil {
			return nil, fmt.Errorf("pack run: entry %d of %d: %w", i+1, len(raws), err)
		}
	}
	return PackLinks(raws, links)
}

// PackLinks is PackRun for entries whose links are already known.
func PackLinks(raws [][]byte, links []Link) ([]byte, error) {
	size := 0
	for _, raw := range raws {
		size += len(raw)
	}
	var p packer
	p.out.Grow(size)
	for i, raw := range raws {
		l := links[i]
		if err := p.follow(l.Replica, l.Seq, l.Prev); err != nil {
			return nil, err
		}
		tail := raw[prefixLen(l.Seq, l.Build != uuid.Nil):]
		p.add(raw[0], ID(l.Build), len(tail), l.ID)
		p.out.Write(tail)
	}
	return p.finish()
}

// JoinRuns makes one run of several that follow one another. Every entry is read
// by its hash on the way, so damage is not carried on.
func JoinRuns(runs [][]byte) ([]byte, error) {
	size := 0
	for _, run := range runs {
		size += len(run)
	}
	var p packer
	p.out.Grow(size)
	for _, run := range runs {
		r, err := readRunHead(run)
		if err != nil {
			return nil, err
		}
		if err := p.follow(r.replica, uint64(r.first), r.prev); err != nil {
			return nil, err
		}
		err = r.each(func(e packedEntry) {
			var build ID
			if e.build > 0 {
				build = r.builds[e.build-1]
			}
			p.add(e.head, build, len(e.tail), e.id)
			p.out.WriteString(e.tail)
		})
		if err != nil {
			return nil, err
		}
	}
	return p.finish()
}

// A packer writes a run.
type packer struct {
	r   runHead
	out strings.Builder // becomes r.packed
}

// follow makes sure that an entry comes next.
func (p *packer) follow(replica uuid.UUID, seq uint64, prev ID) error {
	r := &p.r
	if r.count == 0 {
		r.replica, r.first, r.prev = replica, int64(seq), prev
		return nil
	}
	if replica != r.replica || int64(seq) != r.first+r.count || prev != r.last {
		return fmt.Errorf("pack run: entry %d of replica %s does not follow entry %d of %s", seq, replica, r.first+r.count-1, r.replica)
	}
	return nil
}

// add writes what comes before the tail of an entry, its bytes from key 5 on.
func (p *packer) add(head byte, build ID, tail int, id ID) {
	n := 0 // counted from 1
	if build != (ID{}) {
		if n = slices.Index(p.r.builds, build) + 1; n == 0 {
			p.r.builds = append(p.r.builds, build)
			n = len(p.r.builds)
		}
	}
	var b [1 + 9 + 9]byte
	p.out.Write(cbor.AppendHead(cbor.AppendHead(append(b[:0], head), cbor.Uint, uint64(n)), cbor.Bytes, uint64(tail)))
	p.r.count++
	p.r.last = id
}

func (p *packer) finish() ([]byte, error) {
	if p.r.count == 0 {
		return nil, fmt.Errorf("pack run: no entries")
	}
	p.r.packed = p.out.String()
	c := codec{cbor.Codec{Enc: true, Out: make([]byte, 0, 128+18*len(p.r.builds)+len(p.r.packed))}}
	h := c.OpenMap()
	p.r.fields(&c)
	c.CloseMap(h)
	return c.Out, c.Err
}

// prefixLen is the length of an entry's bytes before key 5.
func prefixLen(seq uint64, build bool) int {
	n := 1 + 18 + 1 + 1
	switch { // as cbor.AppendHead
	case seq > 0xffff:
		n += 4
	case seq > 0xff:
		n += 2
	case seq > 23:
		n++
	}
	if seq > 1 {
		n += 18
	}
	if build {
		n += 18
	}
	return n
}

// UnpackRun calls f with each entry of a run, in order: its bytes, which f may
// keep, and its name. It fails when the run is damaged, before any call of f.
func UnpackRun(run []byte, f func(raw string, id ID) error) error {
	r, err := readRunHead(run)
	if err != nil {
		return err
	}
	var all strings.Builder
	all.Grow(len(r.packed) + int(r.count)*prefixLen(uint64(r.first+r.count), len(r.builds) > 0))
	ids := make([]ID, 0, r.count)
	ends := make([]int, 0, r.count)
	err = r.each(func(e packedEntry) {
		all.Write(e.raw)
		ids = append(ids, e.id)
		ends = append(ends, all.Len())
	})
	if err != nil {
		return err
	}
	text, start := all.String(), 0
	for i := range ids {
		if err := f(text[start:ends[i]], ids[i]); err != nil {
			return err
		}
		start = ends[i]
	}
	return nil
}

// SurveyRun calls f with the numbers of the entries of a run and the names that their
// bytes give, in order, damaged or not: from an entry that was changed on no name is
// what it was. It ends at the first entry that cannot be read.
func SurveyRun(run []byte, f func(Head)) {
	r, err := readRunHead(run)
	if err != nil {
		return
	}
	seq := uint64(r.first)
	_ = r.each(func(e packedEntry) { // its end is of no use here
		f(Head{seq, e.id})
		seq++
	})
}

// A packedEntry is an entry as it stands in a run, and with what was left out.
type packedEntry struct {
	head  byte
	build uint64 // index in runHead.builds from 1; 0 for none
	tail  string
	raw   []byte // valid until the next
	id    ID
}

// each calls f with the entries of the run. It fails when the run is damaged,
// after any number of calls.
func (r *runHead) each(f func(packedEntry)) error {
	c := codec{cbor.Codec{In: r.packed}}
	e := packedEntry{id: r.prev}
	for i := int64(0); i < r.count; i++ {
		head := c.Take(1)
		e.build = c.Want(cbor.Uint, "a build")
		e.tail = c.Take(c.Want(cbor.Bytes, "an entry"))
		if c.Err == nil && e.build > uint64(len(r.builds)) {
			c.Fail("build %d of %d", e.build, len(r.builds))
		}
		if c.Err != nil {
			return fmt.Errorf("read run: entry %d of replica %s: %w", r.first+i, r.replica, c.Err)
		}
		e.head = head[0]
		seq := uint64(r.first + i)
		e.raw = append(e.raw[:0], e.head, keyReplica, cbor.Bytes|16)
		e.raw = append(e.raw, r.replica[:]...)
		e.raw = cbor.AppendHead(append(e.raw, keySeq), cbor.Uint, seq)
		if seq > 1 {
			e.raw = append(e.raw, keyPrev, cbor.Bytes|16)
			e.raw = append(e.raw, e.id[:]...)
		}
		if e.build > 0 {
			e.raw = append(e.raw, keyBuild, cbor.Bytes|16)
			e.raw = append(e.raw, r.builds[e.build-1][:]...)
		}
		e.raw = append(e.raw, e.tail...)
		e.id = IDOf(e.raw)
		f(e)
	}
	if c.Pos != len(c.In) || e.id != r.last {
		return fmt.Errorf("read run: entries %d to %d of replica %s do not end in %s: damaged", r.first, r.first+r.count-1, r.replica, r.last)
	}
	return nil
}
