package model

import (
	"bytes"
	"cmp"
	"fmt"

	"ampwright/model/cbor"

	"github.com/google/uuid"
)

// A Link is an entry's place in its chain.
type Link struct {
	Replica uuid.UUID
	Seq     uint64
	Prev    ID // zero if Seq is 1
	ID      ID
	Build   uuid.UUID // zero for the garage
}

// LinkOf returns the place of the entry with these bytes. It refuses what
// [Decode] refuses, in a third of the time.
func LinkOf(raw []byte) (Link, error) {
	if len(raw) > maxEntry {
		return Link{}, fmt.Errorf("read entry: %d bytes, at most %d are accepted", len(raw), maxEntry)
	}
	var h header
	if err := checkEntry(string(raw), &h); err != nil {
		return Link{}, fmt.Errorf("read entry: %w", err)
	}
	return Link{Replica: h.Replica, Seq: h.Seq, Prev: h.Prev, ID: IDOf(raw), Build: h.Build}, nil
}

// checkEntry reads the header of an entry and checks the form of its body.
func checkEntry(in string, h *header) error {
	if err := parseHeader(in, h); err != nil {
		return err
	}
	return skipBody(in, h.body)
}

// skipBody checks the form of the body, which starts at byte at and ends in.
func skipBody(in string, at int) error {
	c := codec{cbor.Codec{In: in, Pos: at}}
	c.Skip(0)
	if c.Err == nil && c.Pos != len(in) {
		c.Fail("%d bytes after the end", len(in)-c.Pos)
	}
	if c.Err == nil && in[at]&0xe0 != cbor.Map {
		c.Fail("the body is not a map")
	}
	return c.Err
}

// Compare orders heads by number, then name.
func (h Head) Compare(o Head) int {
	return cmp.Or(cmp.Compare(h.Seq, o.Seq), bytes.Compare(h.ID[:], o.ID[:]))
}
