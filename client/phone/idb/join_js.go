package idb

import (
	"fmt"
	"slices"
	"syscall/js"

	"ampwright/model"
	"ampwright/sync/keep"
)

// join puts one record in the place of several whose runs follow one another,
// and one in the place of all that hold seals.
func (s *Store) join() error {
	defer func() { s.joined = s.records() }()
	var groups [][]keep.Span
	var out []int
	for _, group := range s.chains.Joins() {
		if len(group) > 1 {
			groups = append(groups, group)
			for _, span := range group {
				out = append(out, s.at[span.Key()])
			}
		}
	}
	records, err := s.get(out)
	if err != nil {
		return err
	}
	var in []js.Value
	var spans []keep.Span
	seals := s.allSeals()
	for _, group := range groups {
		runs := make([][]byte, len(group))
		for i := range group {
			if runs[i] = records[0]; runs[i] == nil {
				return nil // another tab has joined them
			}
			records = records[1:]
		}
		key := group[0].Key()
		run, span, err := joinRuns(group, runs)
		if err != nil {
			return err
		}
		forget, err := keep.Thin(run, seals)
		if err != nil {
			return err
		}
		seals = slices.DeleteFunc(seals, func(s model.Seal) bool { return slices.Contains(forget, s) })
		in, spans = append(in, arrayOf(key[:], run)), append(spans, span)
	}
	runs := len(out)
	if len(s.seals) > 1 {
		in = append(in, sealsRecord(seals))
		for n := range s.seals {
			out = append(out, n)
		}
	}
	if len(in) == 0 {
		return nil
	}
	keys, err := s.write(out, in)
	if err != nil || keys == nil {
		return err
	}
	for i, n := range out {
		if i < runs {
			s.forget(n, s.runs[n])
		} else {
			s.forgetSeals(n)
		}
	}
	for i, span := range spans {
		s.know(keys[i], span)
	}
	if len(keys) > len(spans) {
		s.knowSeals(keys[len(spans)], seals)
	}
	return nil
}

// joinRuns makes one run of some that follow one another.
func joinRuns(group []keep.Span, runs [][]byte) ([]byte, keep.Span, error) {
	run, err := model.JoinRuns(runs)
	if err != nil {
		return nil, keep.Span{}, err
	}
	key := group[0].Key()
	span, err := keep.SpanOf(key[:], run)
	if last := group[len(group)-1]; err == nil && (span.End() != last.End() || span.Last != last.Last) {
		err = fmt.Errorf("runs of replica %s from %d on end with entry %d, want %d", span.Replica, span.First, span.End(), last.End())
	}
	return run, span, err
}

// get returns the runs of some records; nil in place of one that is not there.
func (s *Store) get(keys []int) ([][]byte, error) {
	requests := make([]js.Value, len(keys))
	if len(keys) == 0 {
		return nil, nil
	}
	err := s.db.transact("read the logbook", "readonly", func(store js.Value) {
		for i, n := range keys {
			requests[i] = store.Call("get", n)
		}
	})
	if err != nil {
		return nil, err
	}
	runs := make([][]byte, len(keys))
	for i, r := range requests {
		if value := r.Get("result"); value.Truthy() {
			runs[i] = bytesOf(value)[len(keep.Key{}):]
		}
	}
	return runs, nil
}
