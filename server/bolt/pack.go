package bolt

import (
	"errors"
	"fmt"

	"ampwright/model"
	"ampwright/sync/keep"

	"go.etcd.io/bbolt"
)

// When loose runs are packed: while appending once many have gathered, at Open
// and Close already when a few have. Packing a few each time would write the last
// packed run, up to some hundred kilobytes, over and over.
const (
	fewRuns   = 16
	manyRuns  = 256
	manyBytes = 1 << 20
)

// Pack joins the loose runs into packed ones and thins their seals, in one
// transaction.
func (s *Store) Pack() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.pack()
}

func (s *Store) pack() error {
	if len(s.loose) == 0 {
		return nil
	}
	var joined []join
	err := s.update(func(tx *bbolt.Tx) error {
		packed := tx.Bucket(packedBucket)
		moved := 0
		for _, spans := range s.chains.Joins() {
			fresh := 0
			for _, span := range spans {
				fresh += s.loose[span.Key()]
			}
			if fresh == 0 {
				continue
			}
			j, err := joinRuns(tx, spans)
			if err != nil {
				return err
			}
			joined = append(joined, j)
			moved += fresh
		}
		if err := packSeals(tx); err != nil {
			return err
		}
		if err := tx.DeleteBucket(looseBucket); err != nil {
			return err
		}
		if _, err := tx.CreateBucket(looseBucket); err != nil {
			return err
		}
		for _, j := range joined {
			for _, span := range j.from[1:] {
				key := span.Key()
				if err := packed.Delete(key[:]); err != nil {
					return err
				}
			}
			key := j.to.Key()
			if err := packed.Put(key[:], j.run); err != nil {
				return err
			}
			if err := thin(tx, j.to, j.run); err != nil {
				return err
			}
		}
		return errors.Join(packed.SetSequence(packed.Sequence()+uint64(moved)), notePack(tx, looseBucket), notePack(tx, sealsBucket))
	})
	if err != nil {
		return err
	}
	for _, j := range joined {
		for _, span := range j.from[1:] {
			s.chains.Delete(span)
		}
		s.chains.Set(j.to)
	}
	clear(s.loose)
	s.bytes = 0
	return nil
}

// A join is runs that become one, under the key of the first.
type join struct {
	from []keep.Span
	to   keep.Span
	run  []byte
}

// joinRuns reads runs that follow one another and makes one of them.
func joinRuns(tx *bbolt.Tx, spans []keep.Span) (join, error) {
	j := join{from: spans, to: spans[0]}
	runs := make([][]byte, len(spans))
	for i, span := range spans {
		runs[i] = get(tx, span.Key())
	}
	var err error
	if j.run, err = model.JoinRuns(runs); err != nil {
		return j, err
	}
	head, err := model.SpanOf(j.run)
	if last := spans[len(spans)-1]; err == nil && (head.End() != last.End() || head.Last != last.Last) {
		err = fmt.Errorf("runs of replica %s from %d on end with entry %d, want %d", head.Replica, head.First, head.End(), last.End())
	}
	j.to.Span = head
	return j, err
}
