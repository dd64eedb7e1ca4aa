package model

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"ampwright/model/cbor"

	"github.com/google/uuid"
)

// An ID names one entry for ever: the first 16 bytes of the SHA-256 of its
// encoding. The zero ID names nothing.
type ID [16]byte

func (id ID) String() string { return hex.EncodeToString(id[:]) }

// Short is enough of an ID for a person to tell entries apart on a page.
func (id ID) Short() string { return hex.EncodeToString(id[:4]) }

// ParseID reads what ID.String writes.
func ParseID(s string) (id ID, err error) {
	b, err := hex.DecodeString(s)
	if err != nil || len(b) != len(id) {
		return id, fmt.Errorf("entry name %q: want 32 hexadecimal digits", s)
	}
	return ID(b), nil
}

// IDOf returns the name of the entry with these bytes.
func IDOf(raw []byte) ID {
	sum := sha256.Sum256(raw)
	return ID(sum[:16])
}

// A Stamp is a hybrid logical clock: milliseconds since 1970 UTC in the upper
// 48 bits, a counter in the lower 16. It orders entries for display; what
// replaces what is said by Entry.Over and never by a clock.
type Stamp uint64

// StampAt returns the stamp of t with counter zero.
func StampAt(t time.Time) Stamp { return Stamp(uint64(t.UnixMilli()) << 16) }

// Time returns the wall time in s, UTC.
func (s Stamp) Time() time.Time { return time.UnixMilli(int64(s >> 16)).UTC() }

// Next returns the stamp for an entry written at wall time now by a replica
// whose highest known stamp is s: later than s, and no earlier than now. A
// stamp seen from a clock far ahead pulls this one along by at most
// MaxLead.
func (s Stamp) Next(now time.Time) Stamp {
	at := StampAt(now)
	if lead := StampAt(now.Add(MaxLead)); s > lead {
		s = lead
	}
	if at > s {
		return at
	}
	return s + 1
}

// MaxLead is how far a foreign clock may run ahead before it is flagged and no
// longer followed.
const MaxLead = 5 * time.Minute

// A When is a moment as a person gave it: seconds since 1970 UTC and the offset
// of their clock face in minutes. The zero When is "not given".
type When struct {
	Unix   int64
	Offset int16
}

// WhenOf returns t to the second with its zone's offset.
func WhenOf(t time.Time) When {
	_, off := t.Zone()
	return When{Unix: t.Unix(), Offset: int16(off / 60)}
}

// Time returns the moment in a zone of its own offset.
func (w When) Time() time.Time {
	if w.Offset == 0 {
		return time.Unix(w.Unix, 0).UTC()
	}
	return time.Unix(w.Unix, 0).In(time.FixedZone("", int(w.Offset)*60))
}

// IsZero reports whether no moment was given.
func (w When) IsZero() bool { return w.Unix == 0 }

// Add returns w moved by d, to the second.
func (w When) Add(d time.Duration) When {
	w.Unix += int64(d / time.Second)
	return w
}

// An Entry is one immutable line of the logbook. (Replica, Seq) is its name
// within a replica, ID its name among all entries that could ever be.
type Entry struct {
	Replica uuid.UUID // who wrote it: a laptop, a phone, a command-line copy
	Seq     uint64    // 1, 2, 3, ... without holes
	Prev    ID        // the same replica's entry before it; zero at 1
	Build   uuid.UUID // zero for what concerns the whole garage
	Stamp   Stamp
	Author  string // the person, where it is not the replica's own
	Over    []ID   // what this entry replaces or strikes out
	Must    bool   // a reader that does not know Kind must not sign off on the build
	Body    Body

	ID ID // computed, never encoded
}

// Kind returns the kind of the entry's body.
func (e *Entry) Kind() string { return e.Body.Kind() }

// The keys of an entry's map. The body comes last so that the head of an entry
// can be read without it.
const (
	keyReplica = 1 + iota
	keySeq
	keyPrev
	keyBuild
	keyStamp
	keyKind
	keyAuthor
	keyOver
	keyMust
	keyBody
)

const (
	maxEntry = 16 << 10 // bytes in one entry
	maxOver  = 16
	maxKind  = 40 // bytes
)

// Encode returns the entry's bytes and sets e.ID. It fails on what no entry may
// hold: an over-long text, more than 16 replaced entries, a body too large.
func (e *Entry) Encode() ([]byte, error) {
	if e.Replica == uuid.Nil || e.Seq == 0 || e.Seq > uint64(maxSeq) || e.Stamp == 0 || e.Stamp >= 1<<63 || e.Body == nil {
		return nil, fmt.Errorf("encode entry: replica, number (1 to %d), stamp (below 2^63) and body are all needed", maxSeq)
	}
	if kind := e.Body.Kind(); kind == "" || len(kind) > maxKind {
		return nil, fmt.Errorf("encode entry: kind of %d bytes, 1 to %d are possible", len(kind), maxKind)
	}
	if (e.Seq == 1) != (e.Prev == ID{}) {
		return nil, fmt.Errorf("encode entry %d: an entry before it is named exactly when it is not the first", e.Seq)
	}
	if len(e.Over) > maxOver {
		return nil, fmt.Errorf("encode entry: it replaces %d entries, at most %d are possible", len(e.Over), maxOver)
	}
	c := codec{cbor.Codec{Enc: true, Out: make([]byte, 0, 192)}}
	h := c.OpenMap()
	seq, stamp, kind := int64(e.Seq), int64(e.Stamp), e.Body.Kind()
	c.replicaID(keyReplica, &e.Replica)
	c.Num(keySeq, &seq)
	c.entryID(keyPrev, &e.Prev)
	c.replicaID(keyBuild, &e.Build)
	c.Num(keyStamp, &stamp)
	c.Text(keyKind, &kind)
	c.Text(keyAuthor, &e.Author)
	c.ids(keyOver, &e.Over)
	c.Flag(keyMust, &e.Must)
	c.Out = cbor.AppendHead(c.Out, cbor.Uint, keyBody)
	c.Pairs++
	c.CloseMap(h)
	if u, ok := e.Body.(*Unknown); ok {
		if err := skipBody(u.CBOR, 0); err != nil {
			return nil, fmt.Errorf("encode %s: %w", kind, err)
		}
		c.Out = append(c.Out, u.CBOR...)
	} else {
		body := codec{cbor.Codec{Enc: true, Out: c.Out, Err: c.Err}}
		h = body.OpenMap()
		e.Body.fields(&body)
		body.CloseMap(h)
		c.Out, c.Err = body.Out, body.Err
	}
	if c.Err != nil {
		return nil, fmt.Errorf("encode %s: %w", kind, c.Err)
	}
	if len(c.Out) > maxEntry {
		return nil, fmt.Errorf("encode %s: %d bytes, at most %d are possible", kind, len(c.Out), maxEntry)
	}
	e.ID = IDOf(c.Out)
	return c.Out, nil
}

// A header is the part of an entry before its body.
type header struct {
	Entry        // all but Body and ID
	kind  string // shares memory with the input
	body  int    // where the body starts
}

func parseHeader(in string, h *header) error {
	c := codec{cbor.Codec{In: in}}
	c.OpenMap()
	var seq, stamp int64
	c.replicaID(keyReplica, &h.Replica)
	c.Num(keySeq, &seq)
	c.entryID(keyPrev, &h.Prev)
	c.replicaID(keyBuild, &h.Build)
	c.Num(keyStamp, &stamp)
	c.Text(keyKind, &h.kind)
	c.Text(keyAuthor, &h.Author)
	c.ids(keyOver, &h.Over)
	c.Flag(keyMust, &h.Must)
	if !c.At(keyBody, false) && c.Err == nil {
		c.Fail("no body")
	}
	c.CloseMap(0)
	h.Seq, h.Stamp, h.body = uint64(seq), Stamp(stamp), c.Pos
	switch {
	case c.Err != nil:
		return c.Err
	case h.Replica == uuid.Nil || seq <= 0 || seq > maxSeq || stamp <= 0 || h.kind == "":
		return fmt.Errorf("entry without replica, number, stamp or kind")
	case (seq == 1) != (h.Prev == ID{}):
		return fmt.Errorf("entry %d: an entry before it is named exactly when it is not the first", seq)
	case len(h.Over) > maxOver:
		return fmt.Errorf("entry replaces %d entries, at most %d are accepted", len(h.Over), maxOver)
	case len(h.kind) > maxKind:
		return fmt.Errorf("kind of %d bytes, at most %d are accepted", len(h.kind), maxKind)
	}
	return nil
}

// Decode reads the bytes of one entry. A kind this program does not know, or
// one it knows with fields it does not, becomes an [Unknown] body that keeps the
// bytes. Anything that is not in this format's one encoding is an error.
func Decode(raw []byte) (Entry, error) {
	if len(raw) > maxEntry {
		return Entry{}, fmt.Errorf("decode entry: %d bytes, at most %d are accepted", len(raw), maxEntry)
	}
	return decode(string(raw), IDOf(raw))
}

func decode(in string, id ID) (Entry, error) {
	var h header
	if err := checkEntry(in, &h); err != nil {
		return Entry{}, fmt.Errorf("decode entry: %w", err)
	}
	e := h.Entry
	e.ID = id
	e.Body = decodeBody(h.kind, in[h.body:])
	return e, nil
}

// decodeBody returns the body in its type, or an Unknown.
func decodeBody(kind, in string) Body {
	if b := newBody(kind); b != nil {
		if err := readBody(in, b); err == nil {
			return b
		}
	}
	return &Unknown{Name: kind, CBOR: in}
}

func readBody(in string, b Body) error { return new(codec).readBody(in, b) }

// readBody reads a body whole. A codec may be used again for the next.
func (c *codec) readBody(in string, b Body) error {
	*c = codec{cbor.Codec{In: in}}
	c.OpenMap()
	b.fields(c)
	c.CloseMap(0)
	if c.Err == nil && c.Pos != len(in) {
		c.Fail("%d bytes after the end", len(in)-c.Pos)
	}
	return c.Err
}

// An Unknown is a body written by a newer version of the program. It is kept
// byte for byte, counted and passed on.
type Unknown struct {
	Name string
	CBOR string // the encoded body
}

// Kind returns the kind as it was written.
func (u *Unknown) Kind() string    { return u.Name }
func (u *Unknown) fields(c *codec) {}
