package keep_test

import (
	"bytes"
	"maps"
	"slices"
	"sync"
	"testing"

	"ampwright/model"
	"ampwright/sync/keep"
	"ampwright/sync/keep/keeptest"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// mapLog is the least that a store on Chains takes: runs under keys.
type mapLog struct {
	mu     sync.Mutex
	chains keep.Chains
	runs   map[keep.Key][]byte
	seals  map[keep.Key][]byte
}

// openMapLog learns from the runs what it holds, as after a restart.
func openMapLog(t *testing.T, runs, seals map[keep.Key][]byte) *mapLog {
	l := &mapLog{runs: runs, seals: seals}
	for key, run := range runs {
		span, err := keep.SpanOf(key[:], run)
		require.NoError(t, err)
		l.chains.Set(span)
	}
	return l
}

func (l *mapLog) Append(raws [][]byte, seals ...model.Seal) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	links, err := keep.Links(raws)
	if err != nil {
		return err
	}
	runs, err := l.chains.Plan(raws, links, seals, func(s keep.Span) ([]byte, error) { return l.runs[s.Key()], nil })
	if err != nil {
		return err
	}
	for _, r := range runs {
		run, err := r.Pack()
		if err != nil {
			return err
		}
		l.runs[r.Key()] = run
		l.chains.Set(r.Span)
	}
	for _, s := range seals {
		if l.seals[keep.SealKey(s)] == nil {
			l.seals[keep.SealKey(s)] = s.Sig[:]
		}
	}
	return nil
}

// join makes one run of each group that follow one another, and thins the seals.
func (l *mapLog) join(t *testing.T) {
	for _, group := range l.chains.Joins() {
		var runs [][]byte
		for _, s := range group {
			runs = append(runs, l.runs[s.Key()])
			delete(l.runs, s.Key())
			l.chains.Delete(s)
		}
		run, err := model.JoinRuns(runs)
		require.NoError(t, err)
		key := group[0].Key()
		span, err := keep.SpanOf(key[:], run)
		require.NoError(t, err)
		require.LessOrEqual(t, span.Count, keep.MaxRun)
		l.runs[key] = run
		l.chains.Set(span)
		var seals []model.Seal
		require.NoError(t, l.Seals(func(s model.Seal) error { seals = append(seals, s); return nil }))
		forget, err := keep.Thin(run, seals)
		require.NoError(t, err)
		for _, s := range forget {
			delete(l.seals, keep.SealKey(s))
		}
	}
}

func sortedKeys(m map[keep.Key][]byte) []keep.Key {
	return slices.SortedFunc(maps.Keys(m), func(a, b keep.Key) int { return bytes.Compare(a[:], b[:]) })
}

func (l *mapLog) Runs(f func(run []byte) error) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, k := range sortedKeys(l.runs) {
		if err := f(bytes.Clone(l.runs[k])); err != nil {
			return err
		}
	}
	return nil
}

func (l *mapLog) Seals(f func(model.Seal) error) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, k := range sortedKeys(l.seals) {
		s, err := keep.SealOf(k[:], l.seals[k])
		if err == nil {
			err = f(s)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (l *mapLog) Heads() (map[uuid.UUID][]model.Head, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.chains.Heads(), nil
}

func (l *mapLog) Close() error { return nil }

func TestChains(t *testing.T) {
	keeptest.Run(t, func(t *testing.T) (keep.Log, func() keep.Log) {
		l := openMapLog(t, map[keep.Key][]byte{}, map[keep.Key][]byte{})
		return l, func() keep.Log {
			before := l.chains.Heads()
			l.join(t)
			require.Equal(t, before, l.chains.Heads())
			l = openMapLog(t, l.runs, l.seals)
			return l
		}
	})
}

func TestSpanOfRefuses(t *testing.T) {
	e := model.Entry{Replica: uuid.UUID{1}, Seq: 1, Stamp: 1, Body: &model.Note{Text: "x"}}
	raw, err := e.Encode()
	require.NoError(t, err)
	run, err := model.PackRun([][]byte{raw})
	require.NoError(t, err)
	key := keep.Span{Span: model.Span{Replica: e.Replica, First: 1}, Name: e.ID}.Key()
	_, err = keep.SpanOf(key[:], run)
	require.NoError(t, err)
	_, err = keep.SpanOf(key[:39], run)
	require.ErrorContains(t, err, "39 bytes, want 40")
	_, err = keep.SpanOf(key[:], run[:len(run)-1])
	require.Error(t, err)
	key[23] = 2
	_, err = keep.SpanOf(key[:], run)
	require.ErrorContains(t, err, "holds the run of replica "+e.Replica.String()+" from 1 on")
}
