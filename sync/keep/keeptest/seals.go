package keeptest

import (
	"crypto/ed25519"
	"slices"
	"testing"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// A writer is a replica that seals what it writes.
type writer struct {
	pen model.Pen
	key ed25519.PrivateKey
}

func newWriter(n byte) *writer {
	return &writer{model.Pen{Replica: uuid.UUID{n, 15: 1}}, ed25519.NewKeyFromSeed(append(make([]byte, 31), n))}
}

// write returns a commit of notes and its seals. The first one of a writer opens
// its chain.
func (w *writer) write(t require.TestingT, texts ...string) ([][]byte, []model.Seal) {
	var drafts []model.Draft
	if w.pen.Head.Seq == 0 {
		drafts = append(drafts, model.Draft{Body: &model.Replica{Key: w.key.Public().(ed25519.PublicKey)}})
	}
	for _, text := range texts {
		drafts = append(drafts, model.Draft{Body: &model.Note{Text: text}})
	}
	raws, err := w.pen.Write(drafts, 1_780_000_000_000<<16)
	require.NoError(t, err)
	return raws, w.seal(t, raws)
}

func (w *writer) seal(t require.TestingT, raws [][]byte) []model.Seal {
	seals, err := model.SealCommit(raws, func(m []byte) []byte { return ed25519.Sign(w.key, m) })
	require.NoError(t, err)
	return seals
}

func sealsOf(t require.TestingT, log keep.Log) (seals []model.Seal) {
	require.NoError(t, log.Seals(func(s model.Seal) error { seals = append(seals, s); return nil }))
	return seals
}

// sealed checks that seals come back with their entries, each once.
func sealed(t *testing.T, open Opener) {
	log, reopen := open(t)
	require.Empty(t, sealsOf(t, log))
	w, v := newWriter(1), newWriter(2)
	a, sealA := w.write(t, "a", "b", "c")
	b, sealB := v.write(t, "a")
	require.NoError(t, log.Append(slices.Concat(b, a), sealB[0], sealA[0]))
	want := []model.Seal{sealA[0], sealB[0]}
	require.Equal(t, want, sealsOf(t, log), "by replica")
	other := sealA[0]
	other.Sig[5] ^= 1
	require.NoError(t, log.Append(a, other), "sealed already")
	require.NoError(t, log.Append(nil, sealA[0], sealB[0]))
	require.Equal(t, want, sealsOf(t, log))
	if reopen != nil {
		log = reopen()
		require.Equal(t, want, sealsOf(t, log))
	}

	mid := w.seal(t, a[:2]) // of an entry that is neither first nor last
	require.NoError(t, log.Append(nil, mid[0], mid[0]))
	require.Equal(t, []model.Seal{mid[0], sealA[0], sealB[0]}, sealsOf(t, log))
	c, sealC := w.write(t, "d")
	require.NoError(t, log.Append(c))
	require.NoError(t, log.Append(c, sealC...), "the seal comes later than its entry")
	got := sealsOf(t, log)
	require.Contains(t, got, sealC[0])
	require.Equal(t, sealB[0], got[len(got)-1])

	calls := 0
	err := log.Seals(func(model.Seal) error { calls++; return errEnough })
	require.ErrorIs(t, err, errEnough)
	require.Equal(t, 1, calls)
}

// unsealable checks that a seal of an entry that is not there is refused, and
// all with it.
func unsealable(t *testing.T, open Opener) {
	log, reopen := open(t)
	w := newWriter(1)
	a, sealA := w.write(t, "a", "b")
	require.NoError(t, log.Append(a, sealA...))
	b, sealB := w.write(t, "c", "d")
	wrongNumber, wrongReplica, wrongName := sealA[0], sealA[0], sealA[0]
	wrongNumber.Head.Seq--
	wrongReplica.Replica[0]++
	wrongName.Head.ID[0]++
	for name, seal := range map[string]model.Seal{"later": sealB[0], "number": wrongNumber, "replica": wrongReplica, "name": wrongName} {
		require.ErrorContains(t, log.Append(nil, seal), "want one of an entry that is here", name)
		require.Error(t, log.Append(b[:1], seal), name)
	}
	check := func() {
		requireHolds(t, log, a)
		require.Equal(t, sealA, sealsOf(t, log))
	}
	check()
	if reopen != nil {
		log = reopen()
		check()
	}
	require.NoError(t, log.Append(b, sealB...))
	requireHolds(t, log, slices.Concat(a, b))
}

// thinned seals every entry. The seals that matter stay: the last, the last of
// every window, and what keeps pieces small. A store that was opened anew keeps
// few others.
func thinned(t *testing.T, open Opener) {
	log, reopen := open(t)
	w := newWriter(1)
	large := string(make([]byte, 7000))
	const small, all = 2300, 2400
	fork := *w
	for i := range all {
		text := "x"
		if i >= small {
			text = large
		}
		raws, seals := w.write(t, text)
		require.NoError(t, log.Append(raws, seals...))
		if i == 300 {
			fork = *w
		}
	}
	raws, seals := fork.write(t, "another end")
	require.NoError(t, log.Append(raws, seals...))
	if reopen != nil {
		reopen()
		log = reopen()
		require.LessOrEqual(t, len(sealsOf(t, log)), 80)
	}

	l := model.NewLogbook()
	require.NoError(t, log.Runs(l.AddRun))
	for _, s := range sealsOf(t, log) {
		require.True(t, s.Verify(w.key.Public().(ed25519.PublicKey)))
		require.NoError(t, l.AddSeal(s))
	}
	here := map[uint64]bool{}
	for _, s := range sealsOf(t, log) {
		here[s.Head.Seq] = true
	}
	for seq := uint64(model.SealEntries); seq < w.pen.Head.Seq; seq += model.SealEntries {
		require.True(t, here[seq], "seal of entry %d", seq)
	}
	got := sealsOf(t, log)
	require.Equal(t, w.pen.Head, got[len(got)-1].Head)
	require.Contains(t, got, seals[0], "the other end's")
	have, n := model.Vector{}, 0
	for portions, _ := l.Missing(have, 1); len(portions) > 0; portions, _ = l.Missing(have, 1) {
		size := 0
		for _, raw := range portions[0].Raws {
			size += len(raw)
		}
		n += len(portions[0].Raws)
		require.LessOrEqual(t, size, model.SealBytes)
		have[w.pen.Replica] = append(have[w.pen.Replica], portions[0].Seal.Head)
	}
	require.Equal(t, l.Len(), n)
}
