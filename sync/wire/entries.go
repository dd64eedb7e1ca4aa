package wire

import (
	"bytes"
	"compress/flate"
	"io"
	"strings"
	"sync"

	"ampwright/model"
	"ampwright/model/cbor"

	"github.com/google/uuid"
)

// fields walks 1 batch, 2 chains, 3 bytes of all entries, 4 bytes of the
// columns before they were deflated or nothing if they were not, 5 columns.
func (e *Entries) fields(c *codec) {
	c.number(1, &e.Batch)
	if c.Enc {
		e.encode(c)
	} else {
		e.decode(c)
	}
}

func (e *Entries) encode(c *codec) {
	cols := newColumns()
	c.At(2, true)
	c.Out = cbor.AppendHead(c.Out, cbor.Array, uint64(5*len(e.Portions)))
	size, entries := int64(0), 0
	for _, p := range e.Portions {
		at := place{replica: p.Seal.Replica, head: p.From}
		for i, raw := range p.Raws {
			id := p.Seal.Head.ID
			if i+1 < len(p.Raws) {
				id = idBefore(at.head.Seq+2, p.Raws[i+1])
			}
			if err := cols.add(&at, raw, id); err != nil {
				c.Fail("%w", err)
				return
			}
			size += int64(len(raw))
		}
		if entries += len(p.Raws); len(p.Raws) == 0 || at.head.Seq != p.Seal.Head.Seq {
			c.Fail("%d entries after number %d are sealed as up to %d", len(p.Raws), p.From.Seq, p.Seal.Head.Seq)
			return
		}
		c.Out = append(cbor.AppendHead(c.Out, cbor.Bytes, 16), p.Seal.Replica[:]...)
		c.Out = cbor.AppendHead(c.Out, cbor.Uint, p.From.Seq)
		c.Out = append(cbor.AppendHead(c.Out, cbor.Bytes, 16), p.From.ID[:]...)
		c.Out = cbor.AppendHead(c.Out, cbor.Uint, uint64(len(p.Raws)))
		c.Out = append(cbor.AppendHead(c.Out, cbor.Bytes, uint64(len(p.Seal.Sig))), p.Seal.Sig[:]...)
	}
	block := cols.block()
	plain := int64(len(block))
	if size > MaxRaw || plain > maxBlock || entries > MaxEntries || entries == 0 {
		if c.Err == nil {
			c.Err = &SizeError{max(int(size), int(plain)), maxBlock}
		}
		return
	}
	c.Num(3, &size)
	if plain >= minDeflate {
		if short := deflate(block); len(short) < len(block) {
			c.Num(4, &plain)
			block = short
		}
	}
	c.Bytes(5, &block)
}

// idBefore returns the name of the entry before the one with this number, as its
// bytes say it.
func idBefore(seq uint64, raw []byte) (id model.ID) {
	at, build := prefix(seq, raw)
	if build != uuid.Nil {
		at -= 18
	}
	if at <= len(raw) {
		copy(id[:], raw[at-16:at])
	}
	return id
}

func (e *Entries) decode(c *codec) {
	if !c.At(2, false) {
		c.Fail("entries without a chain")
		return
	}
	n := c.Items(2)
	if n%5 != 0 {
		c.Fail("chains of %d items, want a multiple of 5", n)
	}
	entries := uint64(0)
	counts := make([]uint64, 0, n/5)
	for ; n > 0 && c.Err == nil; n -= 5 {
		var p model.Portion
		p.Seal.Replica = uuid.UUID(c.ReadID())
		p.From.Seq = c.Want(cbor.Uint, "a number")
		p.From.ID = c.ReadID()
		count := c.Want(cbor.Uint, "a count")
		sig := c.Take(c.Want(cbor.Bytes, "a seal"))
		if c.Err == nil && (len(sig) != len(p.Seal.Sig) || count == 0 || count > MaxEntries || p.From.Seq > 1<<31) {
			c.Fail("%d entries from %d on, sealed with %d bytes", count, p.From.Seq, len(sig))
		}
		copy(p.Seal.Sig[:], sig)
		if entries += count; entries > MaxEntries {
			c.Fail("more than %d entries", MaxEntries)
		}
		counts = append(counts, count)
		e.Portions = append(e.Portions, p)
	}
	var size, plain int64
	c.count(3, &size)
	c.count(4, &plain)
	if !c.At(5, false) {
		c.Fail("entries without columns")
		return
	}
	block := c.Take(c.Want(cbor.Bytes, "columns"))
	if c.Err != nil {
		return
	}
	if err := e.unpack(counts, block, int(size), plain); err != nil {
		c.Fail("%w", err)
	}
}

func (e *Entries) unpack(counts []uint64, block string, size int, plain int64) error {
	cols, err := inflate(block, plain)
	if err != nil {
		return err
	}
	r, err := openRows(cols, size)
	if err != nil {
		return err
	}
	all := uint64(0) // at most MaxEntries
	for _, n := range counts {
		all += n
	}
	r.ids = make([]model.ID, 0, all)
	for i := range e.Portions {
		p := &e.Portions[i]
		at := place{replica: p.Seal.Replica, head: p.From}
		p.Raws = make([][]byte, counts[i])
		for j := range p.Raws {
			if p.Raws[j], err = r.next(&at); err != nil {
				return err
			}
		}
		p.Seal.Head = at.head
	}
	return r.end()
}

// minDeflate is the size of columns from which deflating them is worth its time.
const minDeflate = 512

// writers and readers keep what deflating needs: some hundred KiB each.
var (
	writers = sync.Pool{New: func() any { w, _ := flate.NewWriter(nil, flate.HuffmanOnly); return w }}
	readers = sync.Pool{New: func() any { return flate.NewReader(strings.NewReader("")) }}
)

// deflate packs columns (RFC 1951). Shapes and numbers have left no repeats, so
// Huffman codes alone come within a tenth of a full search, in a quarter of the
// time.
func deflate(block []byte) []byte {
	var out bytes.Buffer
	out.Grow(len(block))
	w := writers.Get().(*flate.Writer)
	defer writers.Put(w)
	w.Reset(&out)
	w.Write(block) // a Buffer takes all
	w.Close()
	return out.Bytes()
}

// inflate undoes deflate; size is what comes out, or 0 if block was not deflated.
func inflate(block string, size int64) ([]byte, error) {
	if size == 0 {
		return []byte(block), nil
	}
	if size > maxBlock {
		return nil, &SizeError{int(size), maxBlock}
	}
	r := readers.Get().(io.ReadCloser)
	defer readers.Put(r)
	if err := r.(flate.Resetter).Reset(strings.NewReader(block), nil); err != nil {
		return nil, err
	}
	out := make([]byte, size)
	if _, err := io.ReadFull(r, out); err != nil {
		return nil, err
	}
	var more [1]byte
	if n, err := r.Read(more[:]); n > 0 || err != io.EOF {
		return nil, &SizeError{int(size) + 1, int(size)}
	}
	return out, nil
}
