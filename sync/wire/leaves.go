package wire

import (
	"ampwright/model/cbor"
)

// A leaf is a value in an entry that differs from entry to entry of a shape: an
// integer, a text or a byte string.
type leaf struct {
	at, end int // where its head begins and its bytes end
	major   byte
	n       uint64 // of the head
	moment  bool   // the body's first value, of key 1, and not negative: seconds since 1970
}

// maxLeaves is how many leaves are looked for in one entry.
const maxLeaves = 64

const (
	keyKind = 6 // keys of an entry's map, see package model
	keyBody = 10
)

// A walker finds the leaves of entries. It is used again to save memory.
type walker struct {
	c      cbor.Codec
	leaves []leaf
	over   bool // more than maxLeaves
}

// walk finds the leaves in the bytes of an entry from key 5 on. The kind is none:
// it stays in the shape. It reports false for what is no entry, or has too many
// leaves.
func (w *walker) walk(tail string) bool {
	w.c = cbor.Codec{In: tail}
	w.leaves, w.over = w.leaves[:0], false
	c := &w.c
	for c.Pos < len(tail) && c.Err == nil {
		switch key := c.Want(cbor.Uint, "a key"); key {
		case keyKind:
			c.ReadText()
		case keyBody:
			n := c.Want(cbor.Map, "a map")
			for i := uint64(0); i < n && c.Err == nil && !w.over; i++ {
				start, had := c.Pos, len(w.leaves)
				w.key()
				first := i == 0 && tail[start:c.Pos] == "\x01"
				w.value(0)
				if first && len(w.leaves) == had+1 && w.leaves[had].major == cbor.Uint {
					w.leaves[had].moment = true
				}
			}
		default:
			w.value(0)
		}
		if w.over {
			return false
		}
	}
	return c.Err == nil
}

// value walks one data item.
func (w *walker) value(depth int) {
	c := &w.c
	at := c.Pos
	major, n := c.Head()
	if c.Err != nil || w.over {
		return
	}
	switch major {
	case cbor.Uint, cbor.Nint:
		if n >= 1<<62 {
			return // stays in the shape
		}
	case cbor.Bytes, cbor.Text:
		c.Take(n)
	case cbor.Array, cbor.Map:
		if n > cbor.MaxItems || depth >= cbor.MaxDepth {
			w.over = true
			return
		}
		for ; n > 0 && c.Err == nil && !w.over; n-- {
			if major == cbor.Map {
				w.key()
			}
			w.value(depth + 1)
		}
		return
	default:
		return // true and false
	}
	if len(w.leaves) == maxLeaves {
		w.over = true
		return
	}
	w.leaves = append(w.leaves, leaf{at: at, end: c.Pos, major: major, n: n})
}

// key passes over the key of a pair.
func (w *walker) key() {
	if c := &w.c; c.Err == nil && c.Pos < len(c.In) && c.In[c.Pos] < 24 {
		c.Pos++ // a small number, as nearly always
		return
	}
	w.c.Skip(0)
}
