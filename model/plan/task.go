package plan

import "slices"

// Own bounds, far above any part, that keep sums of parts exact.
const (
	mostPieces = 100_000
	mostMoney  = 1_000_000_000_000 // minor units
	mostDays   = 3650
)

// A checker holds what the tasks, checks and lists of a plan may refer to.
type checker struct {
	sheet                  *sheet
	changes, stages, parts ids
	checks                 map[string]checkPlace
	graph                  *graph
}

// A checkPlace is a check and where it stands: number nth of a task.
type checkPlace struct {
	task, nth int
	check     *checkEntry
}

// collect reads the ids of tasks and checks, which may be referred to before
// they are introduced, and reports a cycle of tasks.
func (k *checker) collect(f *planFile, root place) {
	tasks, checks := ids{}, ids{}
	if len(f.Tasks) == 0 {
		root.field("tasks").errorf("empty, want one task or more")
	}
	for i := range f.Tasks {
		at := root.field("tasks").index(i)
		at.field("id").id(f.Tasks[i].ID, tasks)
		for n := range f.Tasks[i].Checks {
			c := &f.Tasks[i].Checks[n]
			at.field("checks").index(n).field("id").checkID(c.ID, checks)
			if _, ok := k.checks[c.ID]; !ok {
				k.checks[c.ID] = checkPlace{i, n, c}
			}
		}
	}
	k.graph = newGraph(f, tasks)
	if _, cycle := sorted(k.graph.after); cycle != nil {
		root.field("tasks").errorf("a task waits for itself: %s",
			chain(cycle, " after ", func(i int) string { return f.Tasks[i].ID }))
	}
}

func (k *checker) task(t *taskEntry, i int, at place) {
	if !k.stages.has(t.Stage) {
		at.field("stage").errorf("%q is not a stage", t.Stage)
	}
	at.field("title").text(t.Title)
	at.field("hours").hours(t.Hours)
	at.field("wait_hours").hours(t.Wait)
	at.field("after").refs(t.After, "a task", k.graph.tasks.has)
	if !isID(t.Skill) {
		at.field("skill").errorf("%q is not a skill: want lower-case letters, digits and hyphens", t.Skill)
	}
	if t.MinBlock < 1 || t.MinBlock > 24*60 {
		at.field("min_block_min").errorf("%d, want minutes from 1 to 1440", t.MinBlock)
	}
	at.field("competent").words(t.Competent)
	at.field("tools").texts(t.Tools)
	at.field("hazards").texts(t.Hazards)
	at.field("changes").refs(t.Changes, "a kind of change", k.changes.has)
	for n := range t.Parts {
		k.part(&t.Parts[n], i, at.field("parts").index(n))
	}
	at.field("steps").steps(t.Steps)
	for n := range t.Checks {
		k.check(&t.Checks[n], i, n, at.field("checks").index(n))
	}
}

func (p place) hours(h hoursEntry) {
	if !(0 <= h.Low && h.Low <= h.Likely && h.Likely <= h.High) {
		p.errorf("low %s, likely %s, high %s, want 0 <= low <= likely <= high",
			number(h.Low), number(h.Likely), number(h.High))
	}
}

func (k *checker) part(p *partEntry, task int, at place) {
	at.field("id").id(p.ID, k.parts)
	at.field("title").text(p.Title)
	if p.Qty < 1 || p.Qty > mostPieces {
		at.field("qty").errorf("%d, want 1 to %d", p.Qty, mostPieces)
	}
	if p.QtyOf != "" {
		at := at.field("qty_of")
		k.sheet.mustHave(p.QtyOf, at)
		if v, ok := k.sheet.values[p.QtyOf]; ok && v != float64(p.Qty) {
			at.errorf("%q is %s with the defaults, want qty %d", p.QtyOf, number(v), p.Qty)
		}
	}
	at.field("unit").unit(p.Unit)
	at.field("price_minor").between(p.Price, mostMoney)
	at.field("lead_days").between(p.Lead, mostDays)
	isHold := func(id string) bool { return k.hasCheck(id) && k.checks[id].check.Point != "" }
	at.field("order_after").refs(p.OrderAfter, "a hold", isHold)
	for n, id := range p.OrderAfter {
		hold := k.checks[id]
		if isHold(id) && (hold.task == task || k.graph.comesAfter(hold.task, task)) {
			at.field("order_after").index(n).errorf("%q can only be taken once the part is there", id)
		}
	}
}

func (p place) between(r rangeEntry, most int64) {
	if !(0 <= r.Low && r.Low <= r.High && r.High <= most) {
		p.errorf("low %d, high %d, want 0 <= low <= high <= %d", r.Low, r.High, most)
	}
}

// list checks that a checklist can be worked through: 3 to 9 steps a chunk,
// each step a check, none twice.
//
// Between two pauses 5 to 9 steps are what a person works through well
// (Gawande, "The Checklist Manifesto", 2009). Some chunks have only 3 or 4: a
// chunk ends where the work must pause for a release, as after the charger or
// before the first ride, and is not filled up to a number.
func (k *checker) list(l listEntry, at place) {
	at.field("title").text(l.Title)
	at.field("mode").oneOf(l.Mode, "read-do", "do-confirm")
	at.field("rule").text(l.Rule)
	chunks := ids{}
	var before []string
	for i, c := range l.Chunks {
		at := at.field("chunks").index(i)
		at.field("id").id(c.ID, chunks)
		at.field("title").text(c.Title)
		at.field("release").text(c.Release)
		if n := len(c.Steps); n < 3 || n > 9 {
			at.field("steps").errorf("%d steps, want 3 to 9", n)
		}
		at.field("steps").refs(c.Steps, "a check", k.hasCheck)
		for n, id := range c.Steps {
			if slices.Contains(before, id) {
				at.field("steps").index(n).errorf("%q is already in an earlier chunk", id)
			}
		}
		before = append(before, c.Steps...)
	}
}
