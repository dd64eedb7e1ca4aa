package wire

import (
	"encoding/binary"
	"fmt"
	"maps"
	"slices"
	"time"

	"ampwright/model"
	"ampwright/model/cbor"

	"github.com/google/uuid"
)

// Kinds of frames, key 0.
const (
	kindHello = 1 + iota
	kindWelcome
	kindProve
	kindHave
	kindEntries
	kindKept
	kindHeld
	kindLadder
	kindBlobHave
	kindBlobWant
	kindBlobPart
	kindCredit
	kindBeat
	kindBeatOK
	kindBye
)

func newMessage(kind int64) Message {
	switch kind {
	case kindHello:
		return new(Hello)
	case kindWelcome:
		return new(Welcome)
	case kindProve:
		return new(Prove)
	case kindHave:
		return new(Have)
	case kindEntries:
		return new(Entries)
	case kindKept:
		return new(Kept)
	case kindHeld:
		return new(Held)
	case kindLadder:
		return new(Ladder)
	case kindBlobHave:
		return new(BlobHave)
	case kindBlobWant:
		return new(BlobWant)
	case kindBlobPart:
		return new(BlobPart)
	case kindCredit:
		return new(Credit)
	case kindBeat:
		return new(Beat)
	case kindBeatOK:
		return new(BeatOK)
	case kindBye:
		return new(Bye)
	}
	return nil
}

// Encode returns the frame of a message. It fails on what no frame may hold.
func Encode(m Message) ([]byte, error) {
	c := codec{cbor.Codec{Enc: true, Out: make([]byte, 0, 256)}}
	h := c.OpenMap()
	kind := m.kind()
	c.Num(0, &kind)
	m.fields(&c)
	c.CloseMap(h)
	if c.Err == nil && len(c.Out) > m.limit() {
		return nil, &SizeError{len(c.Out), m.limit()}
	}
	if c.Err != nil {
		return nil, fmt.Errorf("encode frame of kind %d: %w", kind, c.Err)
	}
	return c.Out, nil
}

// A SizeError says that a frame is too large.
type SizeError struct{ Size, Limit int }

func (e *SizeError) Error() string {
	return fmt.Sprintf("frame of %d bytes, at most %d are accepted", e.Size, e.Limit)
}

// Decode reads a frame. A frame of an even kind above those known is an
// [*Unknown]; an odd one is an error, as is all that is not in this format.
func Decode(frame []byte) (Message, error) {
	if len(frame) > MaxFrame {
		return nil, &SizeError{len(frame), MaxFrame}
	}
	c := codec{cbor.Codec{In: string(frame)}}
	c.OpenMap()
	var kind int64
	c.Num(0, &kind)
	m := newMessage(kind)
	switch {
	case c.Err != nil:
		return nil, fmt.Errorf("decode frame: %w", c.Err)
	case m == nil && kind > kindBye && kind%2 == 0:
		return &Unknown{kind}, nil
	case m == nil:
		return nil, fmt.Errorf("decode frame: kind %d is not known and may not be passed over", kind)
	case len(frame) > m.limit():
		return nil, fmt.Errorf("decode frame of kind %d: %w", kind, &SizeError{len(frame), m.limit()})
	}
	m.fields(&c)
	c.CloseMap(0)
	if c.Err == nil && c.Pos != len(c.In) {
		c.Fail("%d bytes after the end", len(c.In)-c.Pos)
	}
	if c.Err != nil {
		return nil, fmt.Errorf("decode frame of kind %d: %w", kind, c.Err)
	}
	return m, nil
}

func (*Hello) kind() int64     { return kindHello }
func (*Welcome) kind() int64   { return kindWelcome }
func (*Prove) kind() int64     { return kindProve }
func (*Have) kind() int64      { return kindHave }
func (*Entries) kind() int64   { return kindEntries }
func (*Kept) kind() int64      { return kindKept }
func (*Held) kind() int64      { return kindHeld }
func (*Ladder) kind() int64    { return kindLadder }
func (*BlobHave) kind() int64  { return kindBlobHave }
func (*BlobWant) kind() int64  { return kindBlobWant }
func (*BlobPart) kind() int64  { return kindBlobPart }
func (*Credit) kind() int64    { return kindCredit }
func (*Beat) kind() int64      { return kindBeat }
func (*BeatOK) kind() int64    { return kindBeatOK }
func (*Bye) kind() int64       { return kindBye }
func (u *Unknown) kind() int64 { return u.Kind }

func (*Hello) limit() int    { return 4 << 10 }
func (*Welcome) limit() int  { return 4 << 10 }
func (*Prove) limit() int    { return 512 }
func (*Have) limit() int     { return 64 << 10 }
func (*Entries) limit() int  { return maxBlock + 4<<10 }
func (*Kept) limit() int     { return 8 << 10 }
func (*Held) limit() int     { return 64 }
func (*Ladder) limit() int   { return 16 << 10 }
func (*BlobHave) limit() int { return 64 }
func (*BlobWant) limit() int { return 64 }
func (*BlobPart) limit() int { return MaxPart + 64 }
func (*Credit) limit() int   { return 64 }
func (*Beat) limit() int     { return 64 }
func (*BeatOK) limit() int   { return 64 }
func (*Bye) limit() int      { return 1 << 10 }
func (*Unknown) limit() int  { return MaxFrame }

// A codec walks the fields of a message; see [cbor.Codec].
type codec struct{ cbor.Codec }

func (g *Greeting) fields(c *codec) {
	c.Nums(1, &g.Versions)
	c.ID(2, (*[16]byte)(&g.Replica))
	c.fixed(3, 32, &g.Key)
	c.fixed(4, 32, &g.Nonce)
	c.Num(5, &g.Wall)
	c.Num(6, &g.Credit)
	c.Text(7, &g.Program)
	c.line(8, &g.Line)
	c.SkipRest()
	if len(g.Versions) == 0 || len(g.Versions) > 16 || g.Replica == uuid.Nil || g.Key == nil || g.Nonce == nil || len(g.Program) > MaxProgram {
		c.Fail("a greeting needs 1 to 16 versions, a replica, its key, a nonce and at most %d bytes of program", MaxProgram)
	}
}

func (p *Prove) fields(c *codec) {
	c.fixed(1, 64, &p.Sig)
	c.fixed(2, 32, &p.Mac)
}

func (h *Have) fields(c *codec) {
	c.count(1, &h.Schema)
	c.word(2, &h.Digest)
	c.vector(3, &h.Vector, MaxNames)
}

func (k *Kept) fields(c *codec) {
	c.number(1, &k.Batch)
	c.vector(2, &k.Heads, MaxNames)
}

func (h *Held) fields(c *codec) {
	c.number(1, &h.Batch)
	c.ID(2, (*[16]byte)(&h.Replica))
	c.number(3, &h.Seq)
	c.count(4, (*int64)(&h.Reason))
}

func (l *Ladder) fields(c *codec) {
	c.ID(1, (*[16]byte)(&l.Replica))
	if c.At(2, len(l.Rungs) > 0) {
		c.heads(&l.Rungs, MaxRungs)
	}
}

func (b *BlobHave) fields(c *codec) { c.hash(1, &b.Hash) }

func (b *BlobWant) fields(c *codec) {
	c.hash(1, &b.Hash)
	c.count(2, &b.Offset)
	c.count(3, &b.Max)
}

func (b *BlobPart) fields(c *codec) {
	c.hash(1, &b.Hash)
	c.count(2, &b.Offset)
	c.count(3, &b.Size)
	c.Bytes(4, &b.Bytes)
}

func (m *Credit) fields(c *codec) { c.count(1, &m.Bytes) }

func (b *Beat) fields(c *codec) {
	c.count(1, &b.Number)
	c.Num(2, &b.Wall)
}

func (b *BeatOK) fields(c *codec) { (*Beat)(b).fields(c) }

func (b *Bye) fields(c *codec) {
	ms := b.Retry.Milliseconds()
	c.count(1, (*int64)(&b.Code))
	c.Text(2, &b.Text)
	c.count(3, &ms)
	c.SkipRest()
	if len(b.Text) > MaxText || ms > MaxRetry.Milliseconds() {
		c.Fail("%d bytes of text and %d ms: at most %d and %d are possible", len(b.Text), ms, MaxText, MaxRetry.Milliseconds())
		return
	}
	b.Retry = time.Duration(ms) * time.Millisecond
}

func (*Unknown) fields(*codec) {}

// count walks an integer that is not negative.
func (c *codec) count(k int, v *int64) {
	if c.Num(k, v); *v < 0 {
		c.Fail("key %d holds %d: it is not negative", k, *v)
	}
}

// number walks the number of a batch or an entry.
func (c *codec) number(k int, v *uint64) {
	n := int64(*v)
	c.count(k, &n)
	*v = uint64(n)
}

// fixed walks a byte string of n bytes, or none.
func (c *codec) fixed(k, n int, v *[]byte) {
	if c.Bytes(k, v); len(*v) != 0 && len(*v) != n {
		c.Fail("key %d holds %d bytes, want %d", k, len(*v), n)
	}
}

func (c *codec) hash(k int, v *Hash) {
	b := v[:]
	if !c.Enc {
		b = nil
	}
	c.fixed(k, len(v), &b)
	copy(v[:], b)
}

// word walks a hash of 64 bits, as 8 bytes.
func (c *codec) word(k int, v *uint64) {
	var b []byte
	if *v != 0 {
		b = binary.BigEndian.AppendUint64(nil, *v)
	}
	if c.fixed(k, 8, &b); len(b) == 8 {
		*v = binary.BigEndian.Uint64(b)
		c.Zero(k, *v == 0)
	}
}

// vector walks a map of replicas to heads, as an array that is in the order of
// names: replica, array of heads.
func (c *codec) vector(k int, v *model.Vector, names int) {
	if !c.At(k, len(*v) > 0) {
		return
	}
	if c.Enc {
		c.Out = cbor.AppendHead(c.Out, cbor.Array, uint64(2*len(*v)))
		for _, r := range slices.SortedFunc(maps.Keys(*v), compareNames) {
			c.Out = append(cbor.AppendHead(c.Out, cbor.Bytes, 16), r[:]...)
			heads := (*v)[r]
			c.heads(&heads, MaxHeads)
		}
		if len(*v) > names {
			c.Fail("%d replicas, at most %d are possible", len(*v), names)
		}
		return
	}
	n := c.Items(k)
	if n%2 != 0 || n > 2*names {
		c.Fail("vector of %d items: pairs, at most %d of them, are accepted", n, names)
	}
	*v = make(model.Vector, min(n/2, names))
	var last uuid.UUID
	for ; n > 0 && c.Err == nil; n -= 2 {
		r := uuid.UUID(c.ReadID())
		if compareNames(last, r) >= 0 {
			c.Fail("replica %s after %s: names must ascend", r, last)
		}
		var heads []model.Head
		c.heads(&heads, MaxHeads)
		(*v)[r], last = heads, r
	}
}

func compareNames(a, b uuid.UUID) int { return slices.Compare(a[:], b[:]) }

// line walks an array of replicas and what they say of the one before, in turn.
func (c *codec) line(k int, v *[]model.Voucher) {
	if !c.At(k, len(*v) > 0) {
		return
	}
	if c.Enc {
		c.Out = cbor.AppendHead(c.Out, cbor.Array, uint64(2*len(*v)))
		for _, w := range *v {
			c.Out = append(cbor.AppendHead(c.Out, cbor.Bytes, 16), w.Replica[:]...)
			c.Out = append(cbor.AppendHead(c.Out, cbor.Bytes, uint64(len(w.Vouch))), w.Vouch...)
		}
		return
	}
	n := c.Items(k)
	if n%2 != 0 || n > 2*model.MaxLine {
		c.Fail("line of %d items: pairs, at most %d of them, are accepted", n, model.MaxLine)
	}
	for ; n > 0 && c.Err == nil; n -= 2 {
		w := model.Voucher{Replica: uuid.UUID(c.ReadID())}
		if size := c.Want(cbor.Bytes, "a byte string"); c.Err == nil && size != model.VouchSize {
			c.Fail("a vouch of %d bytes, want %d", size, model.VouchSize)
		}
		w.Vouch = []byte(c.Take(model.VouchSize))
		*v = append(*v, w)
	}
}

// heads walks an array of numbers and names, in the order of heads.
func (c *codec) heads(v *[]model.Head, limit int) {
	if c.Enc {
		if len(*v) == 0 || len(*v) > limit {
			c.Fail("%d heads, 1 to %d are possible", len(*v), limit)
		}
		c.Out = cbor.AppendHead(c.Out, cbor.Array, uint64(2*len(*v)))
		for _, h := range *v {
			c.Out = cbor.AppendHead(c.Out, cbor.Uint, h.Seq)
			c.Out = append(cbor.AppendHead(c.Out, cbor.Bytes, 16), h.ID[:]...)
		}
		return
	}
	n := c.Want(cbor.Array, "an array")
	if c.Err == nil && (n == 0 || n%2 != 0 || n > uint64(2*limit)) {
		c.Fail("%d numbers and names: 1 to %d pairs are accepted", n, limit)
	}
	var last model.Head
	for ; n > 0 && c.Err == nil; n -= 2 {
		h := model.Head{Seq: c.Want(cbor.Uint, "a number"), ID: c.ReadID()}
		if last.Compare(h) >= 0 {
			c.Fail("head %d after %d: heads must ascend", h.Seq, last.Seq)
		}
		*v, last = append(*v, h), h
	}
}
