// Package keeptest checks that a store does what [keep.Log] says.
package keeptest

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"
	"testing"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// An Opener opens a new, empty store and closes it in t.Cleanup. For a store that
// outlives the program, reopen closes it and opens it again; for others it is nil.
type Opener func(t *testing.T) (log keep.Log, reopen func() keep.Log)

// Run runs every check against stores from open.
func Run(t *testing.T, open Opener) {
	for _, c := range []struct {
		name  string
		check func(*testing.T, Opener)
	}{
		{"empty", empty},
		{"holds what was appended", holds},
		{"all or nothing", allOrNothing},
		{"repeats change nothing", repeats},
		{"gaps are refused", gaps},
		{"forks are kept", forks},
		{"unknown kinds come back", unknownKinds},
		{"keeps no hold on its input", noHold},
		{"a walk can be stopped", stopped},
		{"seals stay with their entries", sealed},
		{"seals of nothing are refused", unsealable},
		{"seals that matter stay", thinned},
		{"appends at the same time", together},
		{"long chains", long},
		{"like the store in memory", likeMemory},
	} {
		t.Run(c.name, func(t *testing.T) { c.check(t, open) })
	}
}

// contents returns the entries of a store by name. It fails the test if one
// comes twice, or before the entry it follows.
func contents(t require.TestingT, log keep.Log) map[model.ID]string {
	got := map[model.ID]string{}
	require.NoError(t, log.Runs(func(run []byte) error {
		return model.UnpackRun(run, func(raw string, id model.ID) error {
			link, err := model.LinkOf([]byte(raw))
			_, twice := got[id]
			_, follows := got[link.Prev]
			switch {
			case err != nil:
				return err
			case twice:
				return fmt.Errorf("entry %d comes twice", link.Seq)
			case link.Seq > 1 && !follows:
				return fmt.Errorf("entry %d comes before the one it follows", link.Seq)
			}
			got[id] = raw
			return nil
		})
	}))
	return got
}

// requireHolds requires that the store holds these entries and no others, and
// that its heads are theirs.
func requireHolds(t require.TestingT, log keep.Log, raws [][]byte) {
	want := map[model.ID]string{}
	links := map[model.ID]model.Link{}
	followed := map[model.ID]bool{}
	for _, raw := range raws {
		link, err := model.LinkOf(raw)
		require.NoError(t, err)
		want[link.ID], links[link.ID] = string(raw), link
		followed[link.Prev] = true
	}
	got := contents(t, log)
	require.True(t, maps.Equal(want, got), "the store holds %d entries, want these %d", len(got), len(want))
	wantHeads := map[uuid.UUID][]model.Head{}
	for _, link := range links {
		if !followed[link.ID] {
			wantHeads[link.Replica] = append(wantHeads[link.Replica], model.Head{Seq: link.Seq, ID: link.ID})
		}
	}
	for _, h := range wantHeads {
		slices.SortFunc(h, model.Head.Compare)
	}
	heads, err := log.Heads()
	require.NoError(t, err)
	require.Equal(t, wantHeads, heads)
}

// notes returns n consecutive entries from the pen, with the text given.
func notes(t require.TestingT, pen *model.Pen, text string, n int) [][]byte {
	drafts := make([]model.Draft, n)
	for i := range drafts {
		drafts[i].Body = &model.Note{Text: fmt.Sprintf("%s %d", text, i)}
	}
	raws, err := pen.Write(drafts, 1_780_000_000_000<<16)
	require.NoError(t, err)
	return raws
}

func pen(n byte) *model.Pen { return &model.Pen{Replica: uuid.UUID{n, 15: 1}} }

func empty(t *testing.T, open Opener) {
	log, reopen := open(t)
	requireHolds(t, log, nil)
	require.NoError(t, log.Append(nil))
	if reopen != nil {
		log = reopen()
	}
	requireHolds(t, log, nil)
}

func holds(t *testing.T, open Opener) {
	log, reopen := open(t)
	raws := modeltest.Garage(1500, 1)
	for i := 0; i < 300; i++ {
		require.NoError(t, log.Append(raws[i:i+1]))
	}
	requireHolds(t, log, raws[:300])
	for part := range slices.Chunk(raws[300:], 97) {
		require.NoError(t, log.Append(part))
	}
	requireHolds(t, log, raws)
	if reopen != nil {
		log = reopen()
		requireHolds(t, log, raws)
		log = reopen()
		requireHolds(t, log, raws)
	}
}

func allOrNothing(t *testing.T, open Opener) {
	log, reopen := open(t)
	a, b := notes(t, pen(1), "a", 20), notes(t, pen(2), "b", 20)
	require.NoError(t, log.Append(a[:5]))
	cut := a[10][:len(a[10])-1]
	long := append(slices.Clone(a[10]), 0)
	for name, bad := range map[string][]byte{"nothing": nil, "a cut entry": cut, "a long entry": long, "no entry": []byte("no entry")} {
		raws := slices.Concat(b[:10], a[5:10], [][]byte{bad}, a[10:])
		require.Error(t, log.Append(raws), name)
		requireHolds(t, log, a[:5])
	}
	var gap *keep.GapError
	require.ErrorAs(t, log.Append(slices.Concat(b, a[5:10], a[11:])), &gap)
	requireHolds(t, log, a[:5])
	if reopen != nil {
		log = reopen()
		requireHolds(t, log, a[:5])
	}
	require.NoError(t, log.Append(slices.Concat(b[:10], a[5:], b[10:])))
	requireHolds(t, log, slices.Concat(a, b))
}

func repeats(t *testing.T, open Opener) {
	log, reopen := open(t)
	raws := modeltest.Garage(400, 2)
	require.NoError(t, log.Append(raws[:200]))
	require.NoError(t, log.Append(raws[:200]))
	requireHolds(t, log, raws[:200])
	require.NoError(t, log.Append(raws[50:60]))
	require.NoError(t, log.Append(slices.Concat(raws[100:300], raws[250:300])))
	requireHolds(t, log, raws[:300])
	if reopen != nil {
		log = reopen()
	}
	require.NoError(t, log.Append(raws))
	require.NoError(t, log.Append(raws))
	requireHolds(t, log, raws)
}

func gaps(t *testing.T, open Opener) {
	log, _ := open(t)
	raws := notes(t, pen(1), "a", 10)
	var gap *keep.GapError
	require.ErrorAs(t, log.Append(raws[1:]), &gap)
	require.EqualValues(t, 2, gap.Link.Seq)
	require.NoError(t, log.Append(raws[:3]))
	require.ErrorAs(t, log.Append(raws[4:]), &gap)
	require.EqualValues(t, 5, gap.Link.Seq)
	require.ErrorAs(t, log.Append([][]byte{raws[4], raws[3]}), &gap, "out of order")
	requireHolds(t, log, raws[:3])

	// Names that lead elsewhere: to another replica's entry, to an entry with
	// another number.
	first, err := model.LinkOf(raws[2])
	require.NoError(t, err)
	for _, e := range []model.Entry{
		{Replica: uuid.UUID{9}, Seq: 4, Prev: first.ID, Stamp: 1, Body: &model.Note{Text: "x"}},
		{Replica: first.Replica, Seq: 7, Prev: first.ID, Stamp: 1, Body: &model.Note{Text: "x"}},
		{Replica: first.Replica, Seq: 2, Prev: first.ID, Stamp: 1, Body: &model.Note{Text: "x"}},
	} {
		raw, err := e.Encode()
		require.NoError(t, err)
		require.ErrorAs(t, log.Append([][]byte{raw}), &gap)
		require.ErrorAs(t, log.Append([][]byte{raws[3], raw}), &gap)
	}
	requireHolds(t, log, raws[:3])
}

func forks(t *testing.T, open Opener) {
	log, reopen := open(t)
	p := pen(1)
	trunk := notes(t, p, "trunk", 10)
	clone := *p
	a, b := notes(t, p, "a", 8), notes(t, &clone, "b", 5)
	mid := model.Pen{Replica: p.Replica}
	link, err := model.LinkOf(trunk[4])
	require.NoError(t, err)
	mid.Head = model.Head{Seq: link.Seq, ID: link.ID}
	c := notes(t, &mid, "c", 3)
	other := notes(t, pen(1), "another beginning", 2)

	require.NoError(t, log.Append(slices.Concat(trunk, a[:4], b[:2])))
	require.NoError(t, log.Append(slices.Concat(a[4:6], b[2:])))
	require.NoError(t, log.Append(c))
	requireHolds(t, log, slices.Concat(trunk, a[:6], b, c))
	if reopen != nil {
		log = reopen()
	}
	require.NoError(t, log.Append(other))
	require.NoError(t, log.Append(a))
	all := slices.Concat(trunk, a, b, c, other)
	requireHolds(t, log, all)
	if reopen != nil {
		log = reopen()
		requireHolds(t, log, all)
	}
	require.NoError(t, log.Append(all))
	requireHolds(t, log, all)
}

func unknownKinds(t *testing.T, open Opener) {
	log, reopen := open(t)
	e := model.Entry{
		Replica: uuid.UUID{1}, Seq: 1, Stamp: 1 << 16, Must: true,
		Body: &model.Unknown{Name: "x-later", CBOR: "\xa2\x01\x82\x20\xf5\x61z\xa1\x00\x41\x00"}, // {1: [-1, true], "z": {0: h'00'}}
	}
	raw, err := e.Encode()
	require.NoError(t, err)
	require.NoError(t, log.Append([][]byte{raw}))
	if reopen != nil {
		log = reopen()
	}
	require.Equal(t, map[model.ID]string{e.ID: string(raw)}, contents(t, log))
}

func noHold(t *testing.T, open Opener) {
	log, _ := open(t)
	raws := notes(t, pen(1), "a", 3)
	given := [][]byte{slices.Clone(raws[0]), slices.Clone(raws[1]), slices.Clone(raws[2])}
	require.NoError(t, log.Append(given))
	for _, raw := range given {
		clear(raw)
	}
	requireHolds(t, log, raws)

	var runs [][]byte // kept from one walk to the next, and written to
	for range 2 {
		require.NoError(t, log.Runs(func(run []byte) error {
			runs = append(runs, run)
			return nil
		}))
		clear(runs[0])
	}
	requireHolds(t, log, raws)
}

var errEnough = errors.New("enough")

func stopped(t *testing.T, open Opener) {
	log, _ := open(t)
	for i := range byte(3) {
		require.NoError(t, log.Append(notes(t, pen(1+i), "a", 2)))
	}
	calls := 0
	err := log.Runs(func([]byte) error { calls++; return errEnough })
	require.ErrorIs(t, err, errEnough)
	require.Equal(t, 1, calls)
	require.NoError(t, log.Append(notes(t, pen(9), "a", 1)))
}

// together appends from several goroutines while others read.
func together(t *testing.T, open Opener) {
	log, reopen := open(t)
	const writers, batches = 4, 25
	chains := make([][][]byte, writers)
	for i := range chains {
		chains[i] = notes(t, pen(byte(1+i)), "a", batches*3)
	}
	var wg sync.WaitGroup
	errs := make(chan error, 3*writers*batches)
	for _, chain := range chains {
		wg.Go(func() {
			for part := range slices.Chunk(chain, 3) {
				errs <- log.Append(part)
			}
		})
		wg.Go(func() { // a slower copy of the same, as after a lost answer
			for part := range slices.Chunk(chain, 9) {
				var gap *keep.GapError
				if err := log.Append(part); err != nil && !errors.As(err, &gap) {
					errs <- err
				}
			}
		})
	}
	wg.Go(func() {
		for range batches {
			_, err := log.Heads()
			errs <- err
			errs <- log.Runs(func(run []byte) error {
				return model.UnpackRun(run, func(string, model.ID) error { return nil })
			})
		}
	})
	wg.Wait()
	close(errs)
	for err := range errs {
		require.NoError(t, err)
	}
	requireHolds(t, log, slices.Concat(chains...))
	if reopen != nil {
		log = reopen()
		requireHolds(t, log, slices.Concat(chains...))
	}
}

// long fills more than one run, in one go and in batches.
func long(t *testing.T, open Opener) {
	log, reopen := open(t)
	a := notes(t, pen(1), "a", 2*keep.MaxRun+100)
	b := notes(t, pen(2), "b", keep.MaxRun+50)
	require.NoError(t, log.Append(a))
	for part := range slices.Chunk(b, 500) {
		require.NoError(t, log.Append(part))
	}
	requireHolds(t, log, slices.Concat(a, b))
	if reopen != nil {
		log = reopen()
		requireHolds(t, log, slices.Concat(a, b))
	}
	require.NoError(t, log.Append(a[keep.MaxRun-5:keep.MaxRun+5]))
	requireHolds(t, log, slices.Concat(a, b))
}

// likeMemory appends drawn parts of drawn logbooks, in any order and with
// repeats, to the store and to one in memory: the answers must be the same.
func likeMemory(t *testing.T, open Opener) {
	rapid.Check(t, func(rt *rapid.T) {
		log, reopen := open(t)
		twin := keep.NewMemory()
		raws := modeltest.Logbooks().Draw(rt, "logbook")
		if len(raws) == 0 {
			return
		}
		for range rapid.IntRange(1, 12).Draw(rt, "appends") {
			at := rapid.IntRange(0, len(raws)-1).Draw(rt, "from")
			part := raws[at:rapid.IntRange(at, len(raws)).Draw(rt, "to")]
			var gap, twinGap *keep.GapError
			err, twinErr := log.Append(part), twin.Append(part)
			if errors.As(twinErr, &twinGap) {
				require.ErrorAs(rt, err, &gap)
				require.Equal(rt, twinGap.Link, gap.Link)
			} else {
				require.NoError(rt, twinErr)
				require.NoError(rt, err)
			}
			if reopen != nil && rapid.IntRange(0, 4).Draw(rt, "reopen") == 0 {
				log = reopen()
			}
		}
		require.Equal(rt, contents(rt, twin), contents(rt, log))
		want, _ := twin.Heads()
		got, err := log.Heads()
		require.NoError(rt, err)
		require.Equal(rt, want, got)
	})
}
