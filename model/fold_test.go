package model_test

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// slow is the fold done the obvious way: by the definition, over the whole set,
// with an independent CBOR decoder and no index.
type slow struct {
	ids  []model.ID
	maps []map[any]any
	held []bool
}

func slowFold(t require.TestingT, raws [][]byte) *slow {
	s := &slow{}
	for _, raw := range raws {
		id := model.ID(sha256sum(raw))
		if slices.Contains(s.ids, id) {
			continue
		}
		var m map[any]any
		require.NoError(t, plain.Unmarshal(raw, &m))
		s.ids = append(s.ids, id)
		s.maps = append(s.maps, m)
	}
	s.held = s.holds()
	return s
}

func sha256sum(raw []byte) (id [16]byte) {
	sum := sha256.Sum256(raw)
	copy(id[:], sum[:])
	return id
}

func (s *slow) kind(i int) string { return s.maps[i][uint64(6)].(string) }

func (s *slow) build(i int) string { return fmt.Sprint(s.maps[i][uint64(4)]) }

func (s *slow) names(i int, id model.ID) bool {
	over, _ := s.maps[i][uint64(8)].([]any)
	for _, o := range over {
		if bytes.Equal(o.([]byte), id[:]) {
			return true
		}
	}
	return false
}

// struck: a strike of the same build that is neither struck nor held names it.
func (s *slow) struck(i int) bool {
	for j := range s.ids {
		if s.kind(j) == "strike" && s.build(j) == s.build(i) && s.names(j, s.ids[i]) && !s.held[j] && !s.struck(j) {
			return true
		}
	}
	return false
}

// replaced: an entry of the same kind and build (for a field: of the same field)
// that is neither struck nor held names it.
func (s *slow) replaced(i int) bool {
	for j := range s.ids {
		if s.kind(j) != s.kind(i) || s.build(j) != s.build(i) || !s.names(j, s.ids[i]) || s.kind(j) == "strike" {
			continue
		}
		if _, known := kinds[s.kind(j)]; !known {
			continue
		}
		if s.kind(j) == "set" && (s.field(j) == "" || s.field(j) != s.field(i)) {
			continue
		}
		if !s.held[j] && !s.struck(j) {
			return true
		}
	}
	return false
}

// field names the field that a set writes; "" for one from a newer version.
func (s *slow) field(i int) string {
	m, ok := s.maps[i][uint64(10)].(map[any]any)
	if !ok {
		return ""
	}
	for k := range m {
		if n, ok := k.(uint64); !ok || n < 1 || n > 8 {
			return ""
		}
	}
	return fmt.Sprintf("%q %q %q", m[uint64(3)], m[uint64(4)], m[uint64(5)])
}

var kinds = map[string]bool{
	"replica": true, "build": true, "work": true, "clock-on": true, "clock-off": true, "reading": true, "change": true,
	"purchase": true, "order": true, "arrival": true, "sale": true, "refund": true, "set": true, "strike": true, "note": true,
	"photo": true, "nonconformance": true, "punch": true, "close": true, "concession": true, "release": true, "meet": true,
	"add-stage": true, "add-task": true, "add-part": true, "add-check": true, "resume": true, "bring": true, "replica.close": true, "replica.admit": true,
	"plan": true, "plan-move": true, "signature": true,
}

// standing writes every entry's name with what became of it.
func (s *slow) standing() []string {
	lines := make([]string, len(s.ids))
	for i := range s.ids {
		lines[i] = fmt.Sprintln(s.ids[i], s.struck(i), s.replaced(i), s.held[i])
	}
	slices.Sort(lines)
	return lines
}

// standing is the same as the logbook tells it.
func standing(t require.TestingT, l *model.Logbook) []string {
	lines := []string{}
	require.NoError(t, l.All(func(raw []byte) error {
		line, ok := l.Line(model.IDOf(raw))
		require.True(t, ok)
		lines = append(lines, fmt.Sprintln(line.ID, line.Struck, line.Replaced, line.Held))
		return nil
	}))
	slices.Sort(lines)
	return lines
}

// Whatever the order, the repeats and the pieces in which entries arrive, the
// fold is the same, and it is the one that the definition gives.
func TestFoldAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		raws := modeltest.Logbooks().Draw(t, "logbook")
		want := slowFold(t, raws).standing()
		straight := model.NewLogbook()
		for _, raw := range raws {
			_, err := straight.Add(raw)
			require.NoError(t, err)
		}

		order := rapid.Permutation(raws).Draw(t, "order")
		for range rapid.IntRange(0, 5).Draw(t, "repeats") {
			if len(order) > 0 {
				order = append(order, rapid.SampledFrom(order).Draw(t, "again"))
			}
		}
		l := model.NewLogbook()
		for i, raw := range order {
			_, err := l.Add(raw)
			require.NoError(t, err)
			if i%7 == 3 {
				l.Digest() // looking in between leaves no trace
			}
		}
		require.Equal(t, len(slowFold(t, raws).ids), l.Len())
		require.Equal(t, want, standing(t, l))
		require.Equal(t, straight.Digest(), l.Digest())
	})
}

// summary writes out what a build says, so that two folds can be compared.
func summary(b *model.Build) string {
	var w strings.Builder
	fmt.Fprintln(&w, b.Title, b.Donor, b.Target, b.Week, b.Newer)
	for _, t := range b.Tasks {
		fmt.Fprintln(&w, t.ID, t.Title, t.State, t.Ready, t.Estimate, t.Logged, t.Rework, t.FirstAt, t.FinishedAt, len(t.Held), len(t.Notes))
		for _, x := range t.Work {
			fmt.Fprintln(&w, " ", x.ID, x.At, x.Minutes, x.Who, x.Changes, x.Rework)
		}
		for _, x := range t.Before {
			fmt.Fprintln(&w, "  after", x.ID)
		}
	}
	for _, c := range b.Checks {
		fmt.Fprintln(&w, c.ID, c.Verdict, len(c.Readings), c.Why())
		for _, r := range c.Readings {
			fmt.Fprintln(&w, " ", r.ID, r.Verdict, r.Measured, r.Points, r.Bad)
		}
	}
	for _, p := range b.Parts {
		fmt.Fprintln(&w, p.ID, p.State)
	}
	for _, o := range b.Orders {
		fmt.Fprintln(&w, o.ID, o.Label, o.DaysLate, o.Paid, o.Arrived != nil)
	}
	for _, v := range b.Spec.Inputs {
		fmt.Fprintln(&w, v.ID, v.Value, v.Default, v.Err)
	}
	for _, f := range b.Findings {
		fmt.Fprintln(&w, f.Key, f.Kind, f.Text, f.Open, f.Ended)
	}
	for _, r := range b.Clashes {
		fmt.Fprintln(&w, r.What, r.Key, r.Field, r.Value().Value)
	}
	m := b.Money
	fmt.Fprintln(&w, m.Purchases, m.Orders, m.Refunds, m.Sales, m.Fees, m.Net, m.Committed, m.Left, m.ToBuyLow, m.ToBuyHigh, len(m.Doubles))
	for _, l := range m.Lines {
		fmt.Fprintln(&w, l.ID, l.Kind, l.Amount, l.Net)
	}
	return w.String()
}

// A whole build is the same in any order of arrival, down to every line of it.
func TestBuildAnyOrder(t *testing.T) {
	now := time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC)
	for seed := range uint64(8) {
		raws := modeltest.Garage(400, seed)
		want := ""
		r := rand.New(rand.NewPCG(seed, 1))
		for round := range 4 {
			order := slices.Clone(raws)
			if round > 0 {
				r.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
				order = append(order, order[:20]...)
			}
			l := model.NewLogbook()
			for _, raw := range order {
				_, err := l.Add(raw)
				require.NoError(t, err)
			}
			got := ""
			for _, id := range l.BuildIDs() {
				b, err := l.Build(id, now, plan.Builtin)
				require.NoError(t, err)
				got += summary(b)
			}
			if round == 0 {
				want = got
				require.Greater(t, len(want), 5000)
			}
			require.Equal(t, want, got, "seed %d, round %d", seed, round)
		}
	}
}

// The sums of a build are those of its entries in force, added up one by one.
func TestSums(t *testing.T) {
	raws := modeltest.Garage(900, 3)
	l := model.NewLogbook()
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	s := slowFold(t, raws)
	for _, id := range l.BuildIDs() {
		b, err := l.Build(id, time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC), plan.Builtin)
		require.NoError(t, err)
		num := func(m map[any]any, k uint64) int64 {
			switch v := m[k].(type) {
			case uint64:
				return int64(v)
			case int64:
				return v
			}
			return 0
		}
		var minutes, bought, ordered, refunded, sold, fees int64
		stop := map[string]map[any]any{}
		for i, m := range s.maps {
			body, _ := m[uint64(10)].(map[any]any)
			if !bytes.Equal(asBytes(m[uint64(4)]), id[:]) || s.struck(i) || s.replaced(i) {
				continue
			}
			switch s.kind(i) {
			case "work":
				minutes += num(body, 4)
			case "clock-off":
				stop[string(asBytes(body[uint64(3)]))] = body
			case "purchase":
				bought += num(body, 4)
			case "order":
				ordered += num(body, 4)
			case "refund":
				refunded += num(body, 4)
			case "sale":
				sold += num(body, 4)
				fees += num(body, 5) + num(body, 6)
			}
		}
		for i, m := range s.maps {
			body, _ := m[uint64(10)].(map[any]any)
			off := stop[string(s.ids[i][:])]
			if s.kind(i) != "clock-on" || off == nil || s.struck(i) || s.replaced(i) {
				continue
			}
			if given := num(off, 4); given > 0 {
				minutes += given
			} else {
				minutes += max(0, (num(off, 1)-num(body, 1)+30)/60)
			}
		}
		require.Equal(t, minutes, b.Hours.Logged)
		require.EqualValues(t, bought, b.Money.Purchases)
		require.EqualValues(t, ordered, b.Money.Orders+b.Money.Committed)
		require.EqualValues(t, refunded, b.Money.Refunds)
		require.EqualValues(t, sold, b.Money.Sales)
		require.EqualValues(t, fees, b.Money.Fees)
	}
}

func asBytes(v any) []byte { b, _ := v.([]byte); return b }

// Heads name each chain's end, in order and out of it.
func TestHeads(t *testing.T) {
	raws := modeltest.Garage(60, 2)
	l, back := model.NewLogbook(), model.NewLogbook()
	for i := range raws {
		_, err := l.Add(raws[i])
		require.NoError(t, err)
		_, err = back.Add(raws[len(raws)-1-i])
		require.NoError(t, err)
	}
	require.Equal(t, l.Heads(), back.Heads())
	seen := map[uuid.UUID]uint64{}
	for _, raw := range raws {
		e, _ := model.Decode(raw)
		seen[e.Replica] = max(seen[e.Replica], e.Seq)
	}
	for r, h := range l.Heads() {
		require.Len(t, h, 1)
		require.Equal(t, seen[r], h[0].Seq)
	}
}

// The clock of a replica never runs back, follows others a little way, and
// never lets a foreign clock pull it far ahead.
func TestStamp(t *testing.T) {
	now := time.Date(2026, 10, 24, 11, 55, 0, 0, time.UTC)
	at := model.StampAt(now)
	require.Equal(t, now, at.Time())
	require.Equal(t, at, model.Stamp(0).Next(now))
	require.Equal(t, at+1, at.Next(now))
	ahead := model.StampAt(now.Add(2 * time.Minute))
	require.Equal(t, ahead+1, ahead.Next(now))
	far := model.StampAt(now.Add(time.Hour)).Next(now)
	require.Equal(t, now.Add(model.MaxLead), far.Time())
}
