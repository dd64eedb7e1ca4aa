package model_test

import (
	"crypto/ed25519"
	"crypto/sha256"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"ampwright/model"
	"ampwright/model/modeltest"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// key is the private key that tests sign with for a replica.
func key(replica uuid.UUID) ed25519.PrivateKey {
	seed := sha256.Sum256(replica[:])
	return ed25519.NewKeyFromSeed(seed[:])
}

// sealed returns a logbook with entries in commits of one, all sealed.
func sealed(t require.TestingT, raws [][]byte) *model.Logbook {
	l := model.NewLogbook()
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	for _, raw := range raws {
		seal(t, l, raw)
	}
	return l
}

func seal(t require.TestingT, l *model.Logbook, raw []byte) {
	link, err := model.LinkOf(raw)
	require.NoError(t, err)
	seals, err := model.SealCommit([][]byte{raw}, func(m []byte) []byte { return ed25519.Sign(key(link.Replica), m) })
	require.NoError(t, err)
	require.Len(t, seals, 1)
	require.NoError(t, l.AddSeal(seals[0]))
}

// take gives a logbook portions, as a link does, and checks what makes them whole.
func take(t require.TestingT, l *model.Logbook, portions []model.Portion) {
	for _, p := range portions {
		require.True(t, p.Seal.Verify(key(p.Seal.Replica).Public().(ed25519.PublicKey)))
		before := p.From
		if before.Seq > 0 {
			require.True(t, l.Has(before.ID), "a portion joins nothing")
		}
		for _, raw := range p.Raws {
			link, err := model.LinkOf(raw)
			require.NoError(t, err)
			require.Equal(t, p.Seal.Replica, link.Replica)
			require.Equal(t, before, model.Head{Seq: link.Seq - 1, ID: link.Prev})
			before = model.Head{Seq: link.Seq, ID: link.ID}
			_, err = l.Add(raw)
			require.NoError(t, err)
		}
		require.Equal(t, before, p.Seal.Head)
		require.NoError(t, l.AddSeal(p.Seal))
	}
}

// Whatever a replica has, Missing brings it all the rest, nothing it has, and
// each portion joins what is there.
func TestMissing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		raws := modeltest.Logbooks().Draw(t, "logbook")
		l := sealed(t, shuffled(t, raws))
		other := model.NewLogbook()
		for i, raw := range raws { // a part that leaves no hole
			link, err := model.LinkOf(raw)
			require.NoError(t, err)
			if (link.Seq == 1 || other.Has(link.Prev)) && rapid.IntRange(0, 3).Draw(t, fmt.Sprint("has ", i)) > 0 {
				take(t, other, []model.Portion{portion(t, raw)})
			}
		}
		limit := rapid.SampledFrom([]int{1, 300, 1000, 1 << 20}).Draw(t, "limit")
		fresh := l.Len() - other.Len()
		for rest := true; rest; {
			var portions []model.Portion
			portions, rest = l.Missing(other.Vector(), limit)
			for _, p := range portions {
				for _, raw := range p.Raws {
					require.False(t, other.Has(model.IDOf(raw)), "it had that")
					fresh--
				}
			}
			require.Equal(t, other.Len() == l.Len(), len(portions) == 0)
			take(t, other, portions)
		}
		require.Zero(t, fresh)
		require.Equal(t, l.Vector(), other.Vector())
		require.Equal(t, model.Vector(l.Heads()), l.Vector())
	})
}

func shuffled(t *rapid.T, raws [][]byte) [][]byte {
	raws = slices.Clone(raws)
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "shuffle"), 1))
	r.Shuffle(len(raws), func(i, j int) { raws[i], raws[j] = raws[j], raws[i] })
	return raws
}

func portion(t require.TestingT, raw []byte) model.Portion {
	link, err := model.LinkOf(raw)
	require.NoError(t, err)
	p := model.Portion{Raws: [][]byte{raw}}
	if link.Seq > 1 {
		p.From = model.Head{Seq: link.Seq - 1, ID: link.Prev}
	}
	l := model.NewLogbook()
	_, err = l.Add(raw)
	require.NoError(t, err)
	seals, err := model.SealCommit(p.Raws, func(m []byte) []byte { return ed25519.Sign(key(link.Replica), m) })
	require.NoError(t, err)
	p.Seal = seals[0]
	return p
}

// Vector and Ladder are the same in whatever order entries came, and the ladder
// has the rungs that its comment says.
func TestLadder(t *testing.T) {
	pen := model.Pen{Replica: uuid.UUID{1}}
	raws := write(t, &pen, 100)
	fork := model.Pen{Replica: pen.Replica, Head: model.Head{Seq: 97, ID: model.IDOf(raws[96])}}
	raws = append(raws, write(t, &fork, 9)...)
	// By hand: 100, 99, 98, 97, 96, 95, 93, 89, 81, 65, 33, 1 and 106, 105, 104,
	// 103, 102, 101, 99, 95, 87, 71, 39, 1, from 97 down the same entries.
	want := []uint64{1, 33, 39, 65, 71, 81, 87, 89, 93, 95, 96, 97, 98, 99, 99, 100, 101, 102, 103, 104, 105, 106}
	for seed := range uint64(5) {
		r := rand.New(rand.NewPCG(seed, 2))
		r.Shuffle(len(raws), func(i, j int) { raws[i], raws[j] = raws[j], raws[i] })
		l := model.NewLogbook()
		for _, raw := range raws {
			_, err := l.Add(raw)
			require.NoError(t, err)
		}
		require.Equal(t, []model.Head{pen.Head, fork.Head}, l.Vector()[pen.Replica])
		var got []uint64
		for _, h := range l.Ladder(pen.Replica) {
			require.True(t, l.Has(h.ID))
			got = append(got, h.Seq)
		}
		require.Equal(t, want, got)
	}
	require.Nil(t, model.NewLogbook().Ladder(pen.Replica))
}

func write(t require.TestingT, pen *model.Pen, n int) [][]byte {
	drafts := make([]model.Draft, n)
	for i := range drafts {
		drafts[i].Body = &model.Note{Text: fmt.Sprint(pen.Head.ID, " ", i)}
	}
	raws, err := pen.Write(drafts, 1_780_000_000_000<<16)
	require.NoError(t, err)
	return raws
}

// Entries above a hole are not in the vector, and nothing above the last seal is
// handed over.
func TestHolesAndSeals(t *testing.T) {
	pen := model.Pen{Replica: uuid.UUID{1}}
	raws := write(t, &pen, 10)
	l := model.NewLogbook()
	for i, raw := range raws {
		if i != 6 {
			_, err := l.Add(raw)
			require.NoError(t, err)
		}
	}
	head := func(n int) model.Head { return model.Head{Seq: uint64(n), ID: model.IDOf(raws[n-1])} }
	require.Equal(t, []model.Head{head(6)}, l.Vector()[pen.Replica])
	portions, rest := l.Missing(nil, 1<<20)
	require.Empty(t, portions)
	require.False(t, rest)
	seal(t, l, raws[3])
	require.ErrorContains(t, l.AddSeal(model.Seal{Replica: pen.Replica, Head: head(9)}), "want one of an entry that is here")
	require.ErrorContains(t, l.AddSeal(model.Seal{Replica: uuid.UUID{2}, Head: head(1)}), "want one of a replica that is here")
	portions, _ = l.Missing(nil, 1<<20)
	require.Len(t, portions, 1)
	require.Equal(t, raws[:4], portions[0].Raws)
	_, err := l.Add(raws[6])
	require.NoError(t, err)
	require.Equal(t, []model.Head{pen.Head}, l.Vector()[pen.Replica])
	seal(t, l, raws[9])
	portions, _ = l.Missing(model.Vector{pen.Replica: {head(2)}}, 1<<20)
	require.Len(t, portions, 1)
	require.Equal(t, head(2), portions[0].From)
	require.Equal(t, raws[2:], portions[0].Raws)
}

func TestSealCommit(t *testing.T) {
	pen := model.Pen{Replica: uuid.UUID{1}}
	sign := func(m []byte) []byte { return ed25519.Sign(key(pen.Replica), m) }
	raws := write(t, &pen, 600)
	seals, err := model.SealCommit(raws, sign)
	require.NoError(t, err)
	var at []uint64
	for _, s := range seals {
		at = append(at, s.Head.Seq)
		require.Equal(t, model.IDOf(raws[s.Head.Seq-1]), s.Head.ID)
		require.True(t, s.Verify(key(pen.Replica).Public().(ed25519.PublicKey)))
		require.False(t, s.Verify(key(uuid.UUID{2}).Public().(ed25519.PublicKey)))
		require.False(t, s.Verify(nil))
		s.Head.Seq++
		require.False(t, s.Verify(key(pen.Replica).Public().(ed25519.PublicKey)))
	}
	require.Equal(t, []uint64{256, 512, 600}, at)

	var large []model.Draft
	for range 40 {
		large = append(large, model.Draft{Body: &model.Note{Text: string(make([]byte, 8000))}})
	}
	raws, err = pen.Write(large, pen.High)
	require.NoError(t, err)
	seals, err = model.SealCommit(raws, sign)
	require.NoError(t, err)
	require.Len(t, seals, 3) // 16 entries of some 8050 bytes in 128 KiB
	_, err = model.SealCommit(raws[:1], func([]byte) []byte { return nil })
	require.ErrorContains(t, err, "signature of 0 bytes, want 64")
}

// Of a chain with a seal under every entry, one in 256 is kept, or what bytes
// demand, and the last; in whatever order they come.
func TestSealsAreThinned(t *testing.T) {
	pen := model.Pen{Replica: uuid.UUID{1}}
	raws := write(t, &pen, 700)
	for range 50 {
		more, err := pen.Write([]model.Draft{{Body: &model.Note{Text: string(make([]byte, 8000))}}}, pen.High)
		require.NoError(t, err)
		raws = append(raws, more...)
	}
	l := sealed(t, raws)
	check := func() {
		var at []uint64
		for _, s := range l.Seals(pen.Replica) {
			at = append(at, s.Head.Seq)
		}
		require.Equal(t, []uint64{256, 512}, at[:2])
		require.Equal(t, uint64(750), at[len(at)-1])
		require.LessOrEqual(t, len(at), 8)
		portions, _ := l.Missing(nil, 1)
		for len(portions) > 0 {
			size := 0
			for _, raw := range portions[0].Raws {
				size += len(raw)
			}
			require.LessOrEqual(t, size, model.SealBytes)
			portions, _ = l.Missing(model.Vector{pen.Replica: {portions[0].Seal.Head}}, 1)
		}
	}
	check()
	l = model.NewLogbook()
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	rand.New(rand.NewPCG(1, 1)).Shuffle(len(raws), func(i, j int) { raws[i], raws[j] = raws[j], raws[i] })
	for _, raw := range raws {
		seal(t, l, raw)
	}
	for range 3 { // again: nothing comes back
		for _, s := range l.Seals(pen.Replica) {
			require.NoError(t, l.AddSeal(s))
		}
	}
	check()
}

func TestKeyOf(t *testing.T) {
	pen := model.Pen{Replica: uuid.UUID{1}}
	want := key(pen.Replica).Public().(ed25519.PublicKey)
	raws, err := pen.Write([]model.Draft{{Body: &model.Replica{Key: want}}, {Body: &model.Note{Text: "x"}}}, 1<<40)
	require.NoError(t, err)
	l := model.NewLogbook()
	_, ok := l.KeyOf(pen.Replica)
	require.False(t, ok)
	for _, i := range []int{1, 0} {
		_, ok = l.KeyOf(pen.Replica)
		require.False(t, ok)
		_, err = l.Add(raws[i])
		require.NoError(t, err)
	}
	got, ok := l.KeyOf(pen.Replica)
	require.True(t, ok)
	require.Equal(t, want, got)
	require.Nil(t, model.OpeningKey(raws[1]))
	require.Nil(t, model.OpeningKey([]byte("x")))
}

// BenchmarkMissing hands a whole logbook to an empty replica, and the entries of
// one commit to one that has the rest.
func BenchmarkMissing(b *testing.B) {
	raws := modeltest.Garage(100_000, 1)
	l := sealed(b, raws)
	b.Run("all", func(b *testing.B) {
		for b.Loop() {
			have := model.Vector{}
			for rest := true; rest; {
				var portions []model.Portion
				portions, rest = l.Missing(have, 256<<10)
				for _, p := range portions {
					have[p.Seal.Replica] = []model.Head{p.Seal.Head}
				}
			}
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/100_000, "ns/entry")
	})
	b.Run("last", func(b *testing.B) {
		have := l.Vector()
		link, err := model.LinkOf(raws[len(raws)-1])
		require.NoError(b, err)
		have[link.Replica] = []model.Head{{Seq: link.Seq - 1, ID: link.Prev}}
		for b.Loop() {
			if portions, _ := l.Missing(have, 256<<10); len(portions) != 1 {
				b.Fatal(len(portions))
			}
		}
	})
}

// Unsealed counts what Missing would not hand over to somebody who has nothing.
func TestUnsealed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		raws := modeltest.Logbooks().Draw(t, "logbook")
		l := model.NewLogbook()
		for i, raw := range shuffled(t, raws) {
			if i == 0 && rapid.Bool().Draw(t, "a hole") {
				continue
			}
			_, err := l.Add(raw)
			require.NoError(t, err)
		}
		want := map[uuid.UUID]int{}
		for i, raw := range raws {
			link, err := model.LinkOf(raw)
			require.NoError(t, err)
			if !l.Has(link.ID) {
				continue
			}
			want[link.Replica]++
			if rapid.IntRange(0, 3).Draw(t, fmt.Sprint("sealed ", i)) == 0 {
				p := portion(t, raw)
				if l.AddSeal(p.Seal) != nil {
					continue // it follows the hole
				}
			}
		}
		portions, _ := l.Missing(nil, 1<<30)
		for _, p := range portions {
			if want[p.Seal.Replica] -= len(p.Raws); want[p.Seal.Replica] == 0 {
				delete(want, p.Seal.Replica)
			}
		}
		require.Equal(t, want, l.Unsealed())
	})
}

// A replica's key is the same in whatever order entries came, and none where two
// different ones are about.
func TestKeyOfAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		replica := uuid.UUID{7}
		public := func(n int) []byte { return key(uuid.UUID{byte(n)}).Public().(ed25519.PublicKey) }
		keys := map[string]bool{}
		var raws [][]byte
		for i, n := range rapid.SliceOfN(rapid.IntRange(0, 3), 0, 4).Draw(t, "openings") {
			body := &model.Replica{Device: fmt.Sprint("a copy ", i)}
			if n > 0 { // else one of before keys
				body.Key = public(n)
				keys[string(body.Key)] = true
			}
			pen := model.Pen{Replica: replica}
			opening, err := pen.Write([]model.Draft{{Body: body}}, 1_780_000_000_000<<16)
			require.NoError(t, err)
			raws = append(append(raws, opening...), write(t, &pen, rapid.IntRange(0, 3).Draw(t, fmt.Sprint("more ", i)))...)
		}
		l := model.NewLogbook()
		for _, raw := range shuffled(t, raws) {
			_, err := l.Add(raw)
			require.NoError(t, err)
			if rapid.Bool().Draw(t, "asked between") {
				l.KeyOf(replica)
			}
		}
		got, ok := l.KeyOf(replica)
		require.Equal(t, len(keys) == 1, ok)
		if ok {
			require.True(t, keys[string(got)])
		}
		again := model.NewLogbook()
		for _, raw := range shuffled(t, raws) {
			_, err := again.Add(raw)
			require.NoError(t, err)
		}
		same, _ := again.KeyOf(replica)
		require.Equal(t, got, same)
		require.Equal(t, l.Vouchers(replica), again.Vouchers(replica))
	})
}

// Counting what is not sealed takes no longer the more entries there are.
func BenchmarkUnsealed(b *testing.B) {
	for _, n := range []int{1000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			l := sealed(b, modeltest.Garage(n, 1))
			for b.Loop() {
				l.Unsealed()
			}
		})
	}
}
