package model_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A hand is one device at work on a build of a drawn plan.
type hand struct {
	log    *model.Logbook
	pen    model.Pen
	person string
	raws   [][]byte
}

var drawnBuild = uuid.UUID{0: 0xb7}

// drawnPlan draws a plan of 2 to 7 tasks in any order that has no circle, each
// with a hold, and a checklist over all holds.
func drawnPlan(t *rapid.T) *model.Plan {
	p := &model.Plan{ID: "drawn", Version: 1, Stages: []model.PlanStage{{ID: "s", Title: "s"}}}
	p.Inputs = []model.PlanInput{{ID: "x", Title: "x", Unit: "V", Default: 10}}
	for _, k := range []string{"opened", "moved", "wet"} {
		p.Changes = append(p.Changes, model.PlanChange{ID: k, Title: k})
	}
	list := model.PlanList{ID: "list", Title: "list", Mode: "read-do"}
	for i := range rapid.IntRange(2, 7).Draw(t, "tasks") {
		task := model.PlanTask{
			ID: fmt.Sprintf("t-%d", i), Stage: "s", Title: "task", Estimate: model.Hours3{Low: 1, Likely: 1, High: 1},
			Strict: rapid.Bool().Draw(t, "strict"), Hazards: []string{"arc"},
		}
		for j := range i {
			if rapid.IntRange(0, 2).Draw(t, "edge") == 0 {
				task.After = append(task.After, fmt.Sprintf("t-%d", j))
			}
		}
		c := model.PlanCheck{
			ID: fmt.Sprintf("c-%d", i), Title: "check", Kind: model.Measurement, Point: "hold", Unit: "V", Quantity: fmt.Sprintf("q%d", i),
			Max: &model.Bound{Offset: 10},
		}
		if rapid.Bool().Draw(t, "of x") {
			c.Max = &model.Bound{Factor: 1, Of: "x"}
		}
		if rapid.IntRange(0, 3).Draw(t, "witness") == 0 {
			c.Point = "witness"
		}
		for _, k := range p.Changes {
			if rapid.Bool().Draw(t, k.ID) {
				c.InvalidatedBy = append(c.InvalidatedBy, k.ID)
			}
		}
		task.Checks = []model.PlanCheck{c}
		p.Tasks = append(p.Tasks, task)
		if n := len(list.Chunks); n == 0 || len(list.Chunks[n-1].Steps) == 3 {
			list.Chunks = append(list.Chunks, model.PlanChunk{ID: fmt.Sprintf("k-%d", i), Title: "chunk"})
		}
		chunk := &list.Chunks[len(list.Chunks)-1]
		chunk.Steps = append(chunk.Steps, c.ID)
	}
	p.Lists = []model.PlanList{list}
	return p
}

// A trial is two devices and what they write, apart from a moment on.
type trial struct {
	t     *rapid.T
	plan  *model.Plan
	now   time.Time
	hands []*hand
	ons   []model.ID      // entries that started a clock
	bad   map[string]bool // checks of which every reading so far is far out, or there is none
}

func (x *trial) build(l *model.Logbook) *model.Build {
	b, err := l.Build(drawnBuild, x.now, func(string, int) (*model.Plan, bool) { return x.plan, true })
	require.NoError(x.t, err)
	return b
}

// try makes a wish that may be refused, and reports whether it was written.
func (x *trial) try(h *hand, name string, pairs ...string) bool {
	w := model.Wish{Name: name, Values: map[string][]string{}}
	for i := 0; i < len(pairs); i += 2 {
		w.Values[pairs[i]] = append(w.Values[pairs[i]], pairs[i+1])
	}
	var b *model.Build
	if name != "start" {
		b = x.build(h.log)
	}
	drafts, err := h.log.Write(b, w, model.Desk{
		Now: x.now, Person: h.person, Owner: h.person, NewID: func() uuid.UUID { return drawnBuild },
		Plans: func(string, int) (*model.Plan, bool) { return x.plan, true },
	})
	if err != nil {
		return false
	}
	raws, err := h.pen.Write(drafts, model.StampAt(x.now))
	require.NoError(x.t, err)
	for _, raw := range raws {
		_, err := h.log.Add(raw)
		require.NoError(x.t, err)
	}
	h.raws = append(h.raws, raws...)
	return true
}

// step has one device write something that matters to a hold.
func (x *trial) step(h *hand) {
	t := x.t
	x.now = x.now.Add(time.Duration(1+rapid.IntRange(0, 200).Draw(t, "pause")) * time.Minute)
	n := rapid.IntRange(0, len(x.plan.Tasks)-1).Draw(t, "task")
	task, check := fmt.Sprintf("t-%d", n), fmt.Sprintf("c-%d", n)
	switch rapid.IntRange(0, 17).Draw(t, "act") {
	case 16: // all that is held of the lost device, or one entry
		if back := heldIn(h.log); len(back) > 0 && rapid.Bool().Draw(t, "one") {
			x.try(h, "let-in", "entries", rapid.SampledFrom(back).Draw(t, "held").String(), "reason", "it was us")
		} else {
			x.try(h, "let-in", "device", lostDevice.String(), "reason", "it was us")
		}
	case 17: // what was let in
		if in := slices.DeleteFunc(h.log.Lines(uuid.Nil, 0, 0), func(l model.Line) bool { return l.Body.Kind() != "replica.admit" }); len(in) > 0 {
			x.try(h, "strike", "entry", rapid.SampledFrom(in).Draw(t, "let in").ID.String(), "reason", "it was not")
		}
	case 13, 14: // any entry of the build but its first
		if lines := h.log.Lines(drawnBuild, 0, 0); len(lines) > 0 {
			x.try(h, "strike", "entry", rapid.SampledFrom(lines).Draw(t, "any").ID.String(), "reason", "not so")
		}
	case 15: // read some time ago, typed now
		v := rapid.SampledFrom([]string{"3", "11"}).Draw(t, "value")
		at := x.now.Add(-time.Duration(rapid.IntRange(1, 600).Draw(t, "ago")) * time.Minute)
		if x.try(h, "read", "check", check, "value", v, "at", at.Format(time.RFC3339)) {
			x.bad[check] = false
		}
	case 11:
		if x.try(h, "on", "task", task) {
			x.ons = append(x.ons, model.IDOf(h.raws[len(h.raws)-1]))
		}
		x.now = x.now.Add(time.Minute)
		x.try(h, "off", "task", task, "changes", rapid.SampledFrom([]string{"opened", "moved", "wet", "none"}).Draw(t, "kind"))
	case 12: // the start of a stint, not its end
		if len(x.ons) > 0 {
			x.try(h, "strike", "entry", rapid.SampledFrom(x.ons).Draw(t, "on").String(), "reason", "not then")
		}
	case 0, 1, 2, 3:
		v := rapid.SampledFrom([]string{"3", "9", "11", "5000"}).Draw(t, "value")
		witness := rapid.SampledFrom([]string{"", "Ina"}).Draw(t, "witness")
		if x.try(h, "read", "check", check, "value", v, "sure", "yes", "witness", witness) && v != "5000" {
			x.bad[check] = false
		}
	case 4:
		x.try(h, "change", "changes", rapid.SampledFrom([]string{"opened", "moved", "wet"}).Draw(t, "kind"))
	case 5:
		if x.try(h, "concede", "check", check, "reason", "seen", "second", "Ina") {
			x.bad[check] = false
		}
	case 6:
		point := check
		if rapid.Bool().Draw(t, "chunk") {
			x.try(h, "resume", "list", "list")
			point = rapid.SampledFrom(x.plan.Lists[0].Chunks).Draw(t, "which").ID
		}
		x.try(h, "release", "point", point, "witness", rapid.SampledFrom([]string{"", "Ina"}).Draw(t, "witness"))
	case 7:
		x.try(h, "limit", "check", check, "max", rapid.SampledFrom([]string{"4", "10", "20"}).Draw(t, "max"), "note", "manual")
	case 8:
		x.try(h, "spec", "name", "x", "value", rapid.SampledFrom([]string{"4", "10", "20"}).Draw(t, "x"))
	case 9:
		x.try(h, "hours", "task", task, "hours", "1 min", "changes", "none")
	default:
		x.try(h, "finish", "task", task)
	}
}

// lostDevice is one that is struck off before the other two part.
var lostDevice = uuid.UUID{15: 3}

// lose has a third device write, and be struck off at one of its entries.
func (x *trial) lose(first *hand) {
	lost := &hand{log: model.NewLogbook(), pen: model.Pen{Replica: lostDevice}, person: "Robin"}
	for _, raw := range first.raws {
		_, err := lost.log.Add(raw)
		require.NoError(x.t, err)
	}
	lost.pen.High = lost.log.High()
	for range rapid.IntRange(1, 6).Draw(x.t, "of the lost one") {
		x.step(lost)
	}
	for _, raw := range lost.raws {
		_, err := first.log.Add(raw)
		require.NoError(x.t, err)
	}
	first.raws = append(first.raws, lost.raws...)
	first.pen.High = max(first.pen.High, first.log.High())
	upto := "none"
	if n := rapid.IntRange(0, len(lost.raws)).Draw(x.t, "upto"); n > 0 {
		upto = model.IDOf(lost.raws[n-1]).String()
	}
	x.try(first, "strike-off", "device", lostDevice.String(), "upto", upto, "reason", "lost")
}

// heldIn are the entries of the build that a logbook holds back.
func heldIn(l *model.Logbook) (ids []model.ID) {
	for _, line := range l.Lines(drawnBuild, 0, 0) {
		if line.Held {
			ids = append(ids, line.ID)
		}
	}
	return ids
}

// clearedBy names what a hold stands open on: its reading or concession, and for
// a witness point the one who saw it.
func clearedBy(c *model.Check) string {
	switch {
	case !c.Cleared():
		return ""
	case c.Verdict == model.Conceded:
		return c.Conceded.ID.String()
	}
	return c.Current.ID.String()
}

// No hold is opened by devices meeting: one that is open afterwards was open
// before on one of them, on the same reading or concession. The same holds for
// the chunks of a checklist and their releases. A third device may have been struck
// off before they part: what is held of it each may let in, and shut out again. And
// work that was begun past a hold nobody can have thought open raises a
// nonconformance.
func TestMergeReleasesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := &trial{t: t, plan: drawnPlan(t), now: time.Date(2026, 9, 1, 8, 0, 0, 0, time.UTC), bad: map[string]bool{}}
		for _, task := range x.plan.Tasks {
			x.bad[task.Checks[0].ID] = true
		}
		first := &hand{log: model.NewLogbook(), pen: model.Pen{Replica: uuid.UUID{15: 1}}, person: "Robin"}
		x.hands = []*hand{first}
		require.True(t, x.try(first, "start", "plan", "drawn", "title", "trial", "currency", "EUR"))
		for range rapid.IntRange(0, 12).Draw(t, "before") {
			x.step(first)
		}
		if rapid.Bool().Draw(t, "a device is lost") {
			x.lose(first)
		}
		second := &hand{log: model.NewLogbook(), pen: model.Pen{Replica: uuid.UUID{15: 2}}, person: rapid.SampledFrom([]string{"Robin", "Kim"}).Draw(t, "person")}
		for _, raw := range first.raws {
			_, err := second.log.Add(raw)
			require.NoError(t, err)
		}
		second.pen.High = second.log.High()
		x.hands = append(x.hands, second)
		for range rapid.IntRange(1, 25).Draw(t, "apart") {
			x.step(x.hands[rapid.IntRange(0, 1).Draw(t, "who")])
		}
		both := model.NewLogbook()
		for _, h := range []*hand{second, first} {
			for _, raw := range h.raws {
				_, err := both.Add(raw)
				require.NoError(t, err)
			}
		}
		a, b, m := x.build(first.log), x.build(second.log), x.build(both)
		for _, c := range m.Checks {
			if by := clearedBy(c); by != "" && by != clearedBy(a.Check(c.ID)) && by != clearedBy(b.Check(c.ID)) {
				t.Fatalf("%s is open (%s) though it was shut on both: %s and %s", c.ID, c.Verdict, a.Check(c.ID).Why(), b.Check(c.ID).Why())
			}
		}
		wa, _ := a.Walk("list", x.now, "Robin")
		wb, _ := b.Walk("list", x.now, "Robin")
		wm, _ := m.Walk("list", x.now, "Robin")
		for i, ch := range wm.Chunks {
			if r := ch.Released; r != nil {
				ra, rb := wa.Chunks[i].Released, wb.Chunks[i].Released
				require.True(t, ra != nil && ra.ID == r.ID || rb != nil && rb.ID == r.ID, "%s is released though it was shut on both", ch.ID)
			}
		}
		require.True(t, sound(wm), "a released chunk has an open item")
		x.changesCount(both, m)

		for _, task := range m.Tasks {
			behind := task.Before
			if task.Strict {
				behind = m.Upstream(task)
			}
			for _, before := range behind {
				id := before.Checks[0].ID
				if !task.FirstAt.IsZero() && x.bad[id] {
					require.True(t, raised(m, task.ID, before.ID, id), "%s was begun past %s and nothing was raised", task.ID, id)
				}
			}
		}
	})
}

// changesCount makes sure that what an entry in force says was changed leaves no
// older reading standing, whatever became of the stint that it ended.
func (x *trial) changesCount(l *model.Logbook, m *model.Build) {
	for _, line := range l.Lines(drawnBuild, 0, 0) {
		var kinds []string
		switch b := line.Body.(type) {
		case *model.ClockOff:
			kinds = b.Changes
		case *model.Change:
			kinds = b.Changes
		}
		for _, c := range m.Checks {
			if r := c.Current; !line.Struck && !line.Held && r != nil && r.At.Unix < line.Moment.Unix && slices.ContainsFunc(c.InvalidatedBy, func(k string) bool { return slices.Contains(kinds, k) }) {
				require.NotEqual(x.t, model.Within, c.Verdict, "%s stands, though %s was changed since", c.ID, kinds)
			}
		}
	}
}

func raised(b *model.Build, task, before, check string) bool {
	for _, f := range b.Findings {
		if f.Open && f.Nonconformance() && (f.Key == "past-hold:"+task+":"+check || f.Key == "early:"+before+">"+task || f.Key == "unchecked:"+check) {
			return true
		}
	}
	return false
}

// sound reports whether every released chunk is whole: K5, no completion with an
// open item.
func sound(w *model.Walk) bool {
	for _, ch := range w.Chunks {
		for _, s := range ch.Steps {
			if ch.Released != nil && !(s.Stands && s.Cleared()) {
				return false
			}
		}
	}
	return w.Step == nil || w.Chunk != nil && strings.Contains(strings.Join(w.Chunk.PlanChunk.Steps, " "), w.Step.ID)
}
