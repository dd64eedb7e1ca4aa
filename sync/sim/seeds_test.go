package sim_test

import (
	"flag"
	"fmt"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var (
	seedFlag  = flag.Uint64("sim.seed", 0, "run this seed alone")
	seedsFlag = flag.Int("sim.seeds", seedsByDefault, "how many seeds to run")
	fromFlag  = flag.Uint64("sim.from", 1, "the first seed to run")
	forFlag   = flag.Duration("sim.for", 0, "run seeds for so long")
	stepsFlag = flag.Int("sim.steps", 500, "steps of a run")
)

// Whatever happens to the devices, the invariants hold, and all that can happen
// did.
func TestSeeds(t *testing.T) {
	if *seedFlag != 0 {
		w, err := run(*seedFlag, *stepsFlag, sabotage{})
		t.Log(w.tally.String())
		require.NoError(t, err)
		return
	}
	var next, done atomic.Uint64
	next.Store(*fromFlag - 1)
	var mu sync.Mutex
	var sum tally
	failed := 0
	began := time.Now()
	more := func(seed uint64) bool {
		if *forFlag > 0 {
			return time.Since(began) < *forFlag
		}
		return seed < *fromFlag+uint64(*seedsFlag)
	}
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for seed := next.Add(1); more(seed); seed = next.Add(1) {
				w, err := run(seed, *stepsFlag, sabotage{})
				done.Add(1)
				mu.Lock()
				sum.add(&w.tally)
				if err != nil {
					failed++
					t.Errorf("go test ./sync/sim -run TestSeeds -sim.steps=%d -sim.seed=%d # %v", *stepsFlag, seed, err)
				}
				stop := failed >= 10
				mu.Unlock()
				if stop {
					return
				}
			}
		})
	}
	wg.Wait()
	t.Logf("%d seeds of %d steps in %v: %s", done.Load(), *stepsFlag, time.Since(began).Round(time.Millisecond), &sum)
	if done.Load() < 200 || failed > 0 {
		return // too few for all that is rare
	}
	for f, n := range sum.faults {
		require.Positive(t, n, "never happened: %s", faultNames[f])
	}
	for what, n := range map[string]int{
		"entries": sum.entries, "lost": sum.lost, "held": sum.held, "clashes": sum.clashes, "met": sum.met,
		"stored": sum.stored, "renames": sum.renames, "ladders": sum.ladders, "ends": sum.ends, "refused": sum.refused, "blobs": sum.blobs,
		"vouched": sum.vouched,
	} {
		require.Positive(t, n, "never happened: %s", what)
	}
}

// A seed replays: the same bytes travel.
func TestReplay(t *testing.T) {
	for seed := uint64(1); seed <= 20; seed++ {
		a, err := run(seed, *stepsFlag, sabotage{})
		require.NoError(t, err)
		b, err := run(seed, *stepsFlag, sabotage{})
		require.NoError(t, err)
		require.Equal(t, a.trace, b.trace, "seed %d", seed)
		require.Equal(t, a.tally, b.tally, "seed %d", seed)
		require.Positive(t, a.frames)
	}
}

func (t *tally) add(o *tally) {
	for f, n := range o.faults {
		t.faults[f] += n
	}
	t.entries += o.entries
	t.lost += o.lost
	t.held += o.held
	t.clashes += o.clashes
	t.met += o.met
	t.frames += o.frames
	t.stored += o.stored
	t.renames += o.renames
	t.ladders += o.ladders
	t.ends += o.ends
	t.refused += o.refused
	t.blobs += o.blobs
	t.vouched += o.vouched
	t.introduced += o.introduced
}

func (t *tally) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d entries, %d connections, %d frames, %d commits taken over, %d notices of refused entries, %d new names, %d of %d let in for the one before, %d ladders, %d ends in order, %d photos fetched; "+
		"in the end %d entries held, %d clashing fields, %d entries lost with all who had them; faults:",
		t.entries, t.met/2, t.frames, t.stored, t.refused, t.renames, t.vouched, t.introduced, t.ladders, t.ends, t.blobs, t.held, t.clashes, t.lost)
	for f, n := range t.faults {
		fmt.Fprintf(&b, " %s %d,", faultNames[f], n)
	}
	return strings.TrimSuffix(b.String(), ",")
}
