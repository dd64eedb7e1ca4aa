package model_test

import (
	"bytes"
	"slices"
)

// holds returns which entries are held, by the definition in held.go: slow,
// without an index, on maps that an independent decoder read.
func (s *slow) holds() []bool {
	h := slowHolds{s, map[int]int{}, -1}
	for i := range s.ids {
		if s.readsAs(i, "replica.close", 5) {
			h.closes[i] = 1
		}
	}
	for {
		next := map[int]int{}
		changed, open := false, []int{}
		for c, was := range h.closes {
			if next[c] = was; was == 1 {
				h.view = c
				next[c] = h.inForce(c)
				open = append(open, c)
			}
			changed = changed || next[c] != was
		}
		h.view = -1
		h.closes = next
		if len(open) == 0 {
			break
		}
		if changed {
			continue
		}
		free := slices.DeleteFunc(slices.Clone(open), func(c int) bool {
			return slices.ContainsFunc(open, func(d int) bool { return d != c && h.past(d, c) })
		})
		if len(free) == 0 {
			free = open
		}
		for _, c := range free {
			h.closes[c] = 2
		}
	}
	held := make([]bool, len(s.ids))
	for i := range held {
		for c, v := range h.closes {
			held[i] = held[i] || v == 2 && h.past(c, i) && h.letIn(i) == 0
		}
	}
	return held
}

// slowHolds knows of each close whether it holds: 0 no, 1 not known yet, 2 yes.
// In view of a close nothing past its cut is there; -1 for no such view.
type slowHolds struct {
	*slow
	closes map[int]int
	view   int
}

func (h *slowHolds) absent(i int) bool { return h.view >= 0 && i != h.view && h.past(h.view, i) }

// readsAs reports whether an entry of the garage is of a kind whose keys end at
// last.
func (s *slow) readsAs(i int, kind string, last uint64) bool {
	if s.kind(i) != kind || s.maps[i][uint64(4)] != nil {
		return false
	}
	for k := range s.body(i) {
		if n, ok := k.(uint64); !ok || n < 1 || n > last {
			return false
		}
	}
	return true
}

func (s *slow) body(i int) map[any]any {
	m, _ := s.maps[i][uint64(10)].(map[any]any)
	return m
}

func (s *slow) replica(i int) []byte { return asBytes(s.maps[i][uint64(1)]) }

// past reports whether the close c, if it holds, holds entry i: one of its
// replica that is not on the way from the first entry to the cut.
func (h *slowHolds) past(c, i int) bool {
	if !bytes.Equal(h.replica(i), asBytes(h.body(c)[uint64(3)])) {
		return false
	}
	at := asBytes(h.body(c)[uint64(4)])
	for len(at) > 0 {
		next := []byte(nil)
		for j := range h.ids {
			if bytes.Equal(h.ids[j][:], at) && bytes.Equal(h.replica(j), h.replica(i)) {
				if j == i {
					return false
				}
				next = asBytes(h.maps[j][uint64(3)])
			}
		}
		at = next
	}
	return true
}

func (h *slowHolds) letIn(i int) int {
	v := 0
	for a := range h.ids {
		if !h.readsAs(a, "replica.admit", 4) {
			continue
		}
		list, _ := h.body(a)[uint64(3)].([]any)
		for _, id := range list {
			if bytes.Equal(id.([]byte), h.ids[i][:]) {
				v = max(v, h.inForce(a))
			}
		}
	}
	return v
}

func (h *slowHolds) inForce(i int) int {
	v := h.stands(i)
	for m := range h.ids {
		if h.kind(m) == h.kind(i) && h.maps[m][uint64(4)] == nil && h.names(m, h.ids[i]) {
			v = min(v, 2-h.stands(m))
		}
	}
	return v
}

func (h *slowHolds) stands(i int) int {
	if h.absent(i) {
		return 0
	}
	v := 2
	for c, holds := range h.closes {
		if c != i && h.past(c, i) && !h.absent(c) {
			v = min(v, 2-min(holds, 2-h.letIn(i)))
		}
	}
	for m := range h.ids {
		if h.kind(m) == "strike" && h.build(m) == h.build(i) && h.names(m, h.ids[i]) {
			v = min(v, 2-h.stands(m))
		}
	}
	return v
}
