package book_test

import (
	"crypto/ed25519"
	"errors"
	"fmt"
	"sync"
	"testing"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// brought returns entries that another device has written, and their seal.
func brought(t *testing.T, nth byte, n int) ([][]byte, []model.Seal) {
	key := keyNo(nth)
	pen := model.Pen{Replica: uuid.UUID{14: 7, 15: nth}}
	drafts := []model.Draft{{Body: &model.Replica{Key: public(key), Device: fmt.Sprint("phone ", nth)}}}
	for i := range n {
		drafts = append(drafts, model.Draft{Body: &model.Note{Text: fmt.Sprint("said ", i)}})
	}
	raws, err := pen.Write(drafts, model.StampAt(config().Now()))
	require.NoError(t, err)
	seals, err := model.SealCommit(raws, func(m []byte) []byte { return ed25519.Sign(key, m) })
	require.NoError(t, err)
	return raws, seals
}

// slow lets nothing through until it is opened, and counts.
type slow struct {
	keep.Log
	open    chan struct{}
	mu      sync.Mutex
	appends int
	refuse  map[model.ID]bool // entries that make a whole Append fail
}

func (s *slow) Append(raws [][]byte, seals ...model.Seal) error {
	<-s.open
	s.mu.Lock()
	defer s.mu.Unlock()
	s.appends++
	for _, raw := range raws {
		if s.refuse[model.IDOf(raw)] {
			return errors.New("not this one")
		}
	}
	return s.Log.Append(raws, seals...)
}

// What is queued while something is being stored shares one transaction after it,
// in order; each is answered for itself, and one that is bad harms no other.
func TestQueue(t *testing.T) {
	log := &slow{Log: keep.NewMemory(), open: make(chan struct{}, 100), refuse: map[model.ID]bool{}}
	for range 10 {
		log.open <- struct{}{}
	}
	b := open(t, log)
	for len(log.open) > 0 {
		<-log.open
	}
	log.appends = 0
	var done sync.WaitGroup
	var mu sync.Mutex
	answers := map[byte]error{}
	for nth := byte(1); nth <= 6; nth++ {
		raws, seals := brought(t, nth, 3)
		if nth == 4 {
			log.refuse[model.IDOf(raws[2])] = true
		}
		done.Add(1)
		b.Queue(raws, seals, func(err error) {
			mu.Lock()
			defer mu.Unlock()
			answers[nth] = err
			done.Done()
		})
	}
	b.Read(func(l *model.Logbook) { require.Equal(t, 1, l.Len()) }) // readers wait for no disk
	close(log.open)
	done.Wait()
	for nth := byte(1); nth <= 6; nth++ {
		if nth == 4 {
			require.EqualError(t, answers[nth], "not this one")
		} else {
			require.NoError(t, answers[nth])
		}
	}
	require.LessOrEqual(t, log.appends, 1+1+6) // the first alone perhaps, all, then each
	b.Read(func(l *model.Logbook) { require.Equal(t, 1+5*4, l.Len()) })

	done.Add(1)
	b.Queue([][]byte{{1, 2, 3}}, nil, func(err error) { require.ErrorContains(t, err, "entry 1 of 1: "); done.Done() })
	done.Wait()
}

// Those who watch are told before whoever wrote is.
func TestWatch(t *testing.T) {
	b := open(t, keep.NewMemory())
	grew := make(chan struct{}, 1)
	stop := b.Watch(grew)
	require.Empty(t, grew)
	start(t, b)
	require.Len(t, grew, 1)
	start(t, b) // nobody has looked yet: one value says enough
	<-grew
	raws, seals := brought(t, 1, 1)
	_, err := b.Add(raws, seals...)
	require.NoError(t, err)
	<-grew
	stop()
	start(t, b)
	require.Empty(t, grew)
}

// Many write, bring and read at once.
func TestTogether(t *testing.T) {
	log := keep.NewMemory()
	b := open(t, log)
	id := start(t, b)
	var all sync.WaitGroup
	for nth := byte(1); nth <= 4; nth++ {
		all.Go(func() {
			for range 20 {
				_, err := b.Do(id, wish("note", "text", "said"), "")
				require.NoError(t, err)
				_, err = b.Build(id)
				require.NoError(t, err)
			}
		})
		all.Go(func() {
			raws, seals := brought(t, nth, 50)
			var one sync.WaitGroup
			one.Add(1)
			b.Queue(raws, seals, func(err error) { require.NoError(t, err); one.Done() })
			one.Wait()
		})
	}
	all.Wait()
	var want model.Vector
	b.Read(func(l *model.Logbook) { want = l.Vector() })
	require.Len(t, want, 5)
	again := open(t, log)
	again.Read(func(l *model.Logbook) { require.Equal(t, want, l.Vector()) })
}

// Nothing is written once it is closed.
func TestClosed(t *testing.T) {
	b := open(t, keep.NewMemory())
	id := start(t, b)
	require.NoError(t, b.Close())
	_, err := b.Do(id, wish("note", "text", "late"), "")
	require.ErrorContains(t, err, "the logbook is closed")
	raws, seals := brought(t, 1, 1)
	late := make(chan error, 1)
	b.Queue(raws, seals, func(err error) { late <- err })
	require.ErrorContains(t, <-late, "the logbook is closed")
}
