package model

import (
	"fmt"
	"strings"

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
	c.num(2, &r.first)
	c.entryID(3, &r.prev)
	c.entryID(4, &r.last)
	c.ids(5, &r.builds)
	c.num(6, &r.count)
	c.blob(7, &r.packed)
}

// blob is bytes without the copy: when decoding, v shares memory with the input.
func (c *codec) blob(k int, v *string) {
	if !c.at(k, *v != "") {
		return
	}
	if c.enc {
		c.out = append(appendHead(c.out, majorBytes, uint64(len(*v))), *v...)
		return
	}
	*v = c.take(c.want(majorBytes, "a byte string"))
	c.zero(k, *v == "")
}

const maxSeq = 1 << 31

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
	c := codec{in: string(run)}
	c.openMap()
	r.fields(&c)
	c.closeMap(0)
	switch {
	case c.err != nil:
		return r, fmt.Errorf("read run: %w", c.err)
	case c.pos != len(run):
		return r, fmt.Errorf("read run: %d bytes after the end", len(run)-c.pos)
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
	if len(raws) == 0 {
		return nil, fmt.Errorf("pack run: no entries")
	}
	var r runHead
	size := 0
	for _, raw := range raws {
		size += len(raw)
	}
	packed := make([]byte, 0, size)
	for i, raw := range raws {
		var h header
		if err := parseHeader(string(raw), &h); err != nil {
			return nil, fmt.Errorf("pack run: entry %d of %d: %w", i+1, len(raws), err)
		}
		if i == 0 {
			r.replica, r.first, r.prev = h.Replica, int64(h.Seq), h.Prev
		} else if h.Replica != r.replica || int64(h.Seq) != r.first+int64(i) || h.Prev != r.last {
			return nil, fmt.Errorf("pack run: entry %d of replica %s does not follow entry %d", h.Seq, h.Replica, r.first+int64(i)-1)
		}
		r.last = IDOf(raw)
		build := uint64(0)
		if h.Build != uuid.Nil {
			for int(build) < len(r.builds) && r.builds[build] != ID(h.Build) {
				build++
			}
			if int(build) == len(r.builds) {
				r.builds = append(r.builds, ID(h.Build))
			}
			build++
		}
		tail := raw[prefixLen(h.Seq, h.Seq == 1, h.Build != uuid.Nil):]
		packed = append(packed, raw[0])
		packed = appendHead(packed, majorUint, build)
		packed = append(appendHead(packed, majorBytes, uint64(len(tail))), tail...)
	}
	r.count, r.packed = int64(len(raws)), string(packed)
	c := codec{enc: true, out: make([]byte, 0, 128+18*len(r.builds)+len(packed))}
	h := c.openMap()
	r.fields(&c)
	c.closeMap(h)
	return c.out, c.err
}

// prefixLen is the length of an entry's bytes before key 5.
func prefixLen(seq uint64, first, build bool) int {
	n := 1 + 18 + 1 + len(appendHead(nil, majorUint, seq))
	if !first {
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
	all.Grow(len(r.packed) + int(r.count)*prefixLen(uint64(r.first+r.count), false, len(r.builds) > 0))
	ids := make([]ID, 0, r.count)
	ends := make([]int, 0, r.count)
	c := codec{in: r.packed}
	id := r.prev
	var raw []byte
	for i := int64(0); i < r.count; i++ {
		head := c.take(1)
		build := c.want(majorUint, "a build")
		tail := c.take(c.want(majorBytes, "an entry"))
		if c.err == nil && build > uint64(len(r.builds)) {
			c.fail("build %d of %d", build, len(r.builds))
		}
		if c.err != nil {
			return fmt.Errorf("read run: entry %d of replica %s: %w", r.first+i, r.replica, c.err)
		}
		seq := uint64(r.first + i)
		raw = append(raw[:0], head...)
		raw = append(raw, keyReplica, majorBytes|16)
		raw = append(raw, r.replica[:]...)
		raw = appendHead(append(raw, keySeq), majorUint, seq)
		if seq > 1 {
			raw = append(raw, keyPrev, majorBytes|16)
			raw = append(raw, id[:]...)
		}
		if build > 0 {
			raw = append(raw, keyBuild, majorBytes|16)
			raw = append(raw, r.builds[build-1][:]...)
		}
		raw = append(raw, tail...)
		all.Write(raw)
		id = IDOf(raw)
		ids = append(ids, id)
		ends = append(ends, all.Len())
	}
	if c.pos != len(c.in) || id != r.last {
		return fmt.Errorf("read run: entries %d to %d of replica %s do not end in %s: damaged", r.first, r.first+r.count-1, r.replica, r.last)
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
