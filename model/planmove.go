package model

import (
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"github.com/google/uuid"
)

// PlanMove moves a build that is under way to another version of its plan. It is
// written with Must: who does not know it would sign by the old limits.
type PlanMove struct {
	At          When
	Plan        string
	Version     int64
	Hash        []byte // SHA-256 of the file of the plan it moves to
	From        []byte // and of the one it moves from
	FromVersion int64
	Note        string // why
}

func (b *PlanMove) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Plan)
	c.Num(4, &b.Version)
	c.Bytes(5, &b.Hash)
	c.Bytes(6, &b.From)
	c.Num(7, &b.FromVersion)
	c.Text(8, &b.Note)
}

// To names the plan a build moves to, and Of the one it moves from.
func (b *PlanMove) To() PlanRef {
	return PlanRef{b.Plan, int(b.Version), hex.EncodeToString(b.Hash)}
}

func (b *PlanMove) Of() PlanRef {
	return PlanRef{b.Plan, int(b.FromVersion), hex.EncodeToString(b.From)}
}

// A MoveLine is a move on record, oldest first by stamp.
type MoveLine struct {
	Fact
	PlanMove
	Head bool // no later move was made in sight of it
}

// moveHeads returns the names a new move must carry.
func (b *Build) moveHeads() []ID {
	var ids []ID
	for _, m := range b.Moves {
		if m.Head {
			ids = append(ids, m.ID)
		}
	}
	return ids[max(0, len(ids)-maxOver):]
}

// planned finds the plan that a build stands on: the one it started from, or the
// one it was moved to last. Two devices that moved it apart agree: the later
// stamp holds until somebody moves it again.
// A move that is only tried comes last.
func (l *Logbook) planned(g *garage, led *ledger, plans PlanSource, tried *MoveLine) (p *Plan, note string, moves []MoveLine, err error) {
	start := &led.starts[0].body
	ref := PlanRef{start.Plan, int(start.PlanVersion), hex.EncodeToString(start.PlanHash)}
	slices.SortFunc(led.moves, func(a, b got[PlanMove]) int { return l.compare(a.n, b.n) })
	for _, m := range led.moves {
		line := MoveLine{l.fact(g, m.n), m.body, l.items[m.n].state&standing == 0}
		if moves = append(moves, line); line.Head {
			ref = m.body.To()
		}
	}
	if tried != nil {
		moves, ref = append(moves, *tried), tried.To()
	}
	p, note, err = l.planOf(start.Title, ref, plans)
	return p, note, moves, err
}

// findMoves raises that a build was moved apart on two devices.
func (b *Build) findMoves() {
	var said []string
	var last MoveLine
	apart := false
	for _, m := range b.Moves {
		if m.Head {
			apart = apart || len(said) > 0 && m.To() != last.To()
			said, last = append(said, fmt.Sprintf("%s (%s, %s)", m.To(), m.Person, m.Device)), m
		}
	}
	if !apart {
		return
	}
	b.raise(&Finding{
		Key: "clash:plan", Kind: FindingClash, At: last.At, Open: true,
		Text: fmt.Sprintf("the build was moved apart to %s: it stands on %s until it is moved again", strings.Join(said, " and to "), last.To()),
	})
}

// makeAsked finds what the moves of a build made of its checks: where a check asks
// for something else since, what was answered before is stale.
func (b *Build) makeAsked(plans PlanSource) error {
	b.asked = map[string][]event{}
	for _, m := range b.Moves {
		from, _, err := b.log.planOf(b.Title, m.Of(), plans)
		if err != nil {
			return err
		}
		to, _, err := b.log.planOf(b.Title, m.To(), plans)
		if err != nil {
			return err
		}
		was := from.checks()
		for id, c := range to.checks() {
			if old := was[id]; old != nil && old.question() != c.question() {
				b.asked[id] = append(b.asked[id], event{unix: m.At.Unix, at: m.At, fact: m.Fact, kind: m.To().String()})
			}
		}
	}
	return nil
}

// checks returns the checks of a plan by their ID.
func (p *Plan) checks() map[string]*PlanCheck {
	all := map[string]*PlanCheck{}
	for i := range p.Tasks {
		for n := range p.Tasks[i].Checks {
			c := &p.Tasks[i].Checks[n]
			all[c.ID] = c
		}
	}
	return all
}

// question is what a check asks for: an answer to another question is no answer.
// How a reading is judged is not in it: that is worked out for every reading anew.
func (c *PlanCheck) question() string {
	return strings.Join(append([]string{string(c.Kind), c.Title, c.Quantity, c.Unit, c.Instrument}, c.Points...), "\x00")
}

// A Moving is what would become of a build if it moved to another version of its
// plan: nothing of it is written.
type Moving struct {
	From, To    *Plan
	Differences []PlanDifference
	Build       *Build   // as it would stand
	Faults      []string // why it cannot be moved
	Stale       []string // checks cleared now that would not be, and why
	Releases    []string // sign-offs that would no longer hold, and why
	Left        []string // readings of checks that are gone: they stay in the logbook and on record
	Opened      []string // checks that would be cleared and are not now
}

// Moving works out what a move of b to another version of its plan would change.
func (l *Logbook) Moving(b *Build, to *Plan) (*Moving, error) {
	m := &Moving{From: b.Plan, To: to}
	switch {
	case to.Hash == b.Plan.Hash:
		return nil, fmt.Errorf("the build stands on %s@%d already", to.ID, to.Version)
	case to.ID != b.Plan.ID:
		return nil, fmt.Errorf("the build stands on the plan %s: want a version of it, not one of %s", b.Plan.ID, to.ID)
	case to.Version < b.Plan.Version:
		return nil, fmt.Errorf("the build stands on %s@%d: want a newer version; to go back, strike out the move", b.Plan.ID, b.Plan.Version)
	}
	m.Differences = PlanDifferences(b.Plan, to)
	at := WhenOf(b.Now)
	hash, _ := hex.DecodeString(to.Hash)
	from, _ := hex.DecodeString(b.Plan.Hash)
	move := PlanMove{At: at, Plan: to.ID, Version: int64(to.Version), Hash: hash, From: from, FromVersion: int64(b.Plan.Version)}
	after, err := l.buildMoved(b, move, to)
	if err != nil {
		return nil, err
	}
	m.Build = after
	m.weigh(b, after)
	return m, nil
}

// weigh compares a build before and after a move.
func (m *Moving) weigh(b, after *Build) {
	for _, t := range b.Tasks {
		if after.task[t.ID] != nil {
			continue
		}
		if why := t.touched(); why != "" {
			m.Faults = append(m.Faults, fmt.Sprintf("task %s is gone from %s@%d and has %s: keep it in the file, and say that it is not needed if it is not", t.ID, m.To.ID, m.To.Version, why))
		}
	}
	for _, x := range b.Parts {
		if after.part[x.ID] == nil && x.State != PartWanted {
			m.Faults = append(m.Faults, fmt.Sprintf("part %s is gone from %s@%d and is %s: keep it in the file", x.ID, m.To.ID, m.To.Version, x.State))
		}
	}
	for _, c := range b.Checks {
		n := after.check[c.ID]
		switch {
		case n == nil:
			if k := len(c.Readings); k > 0 {
				m.Left = append(m.Left, fmt.Sprintf("%s: %d %s", c.ID, k, plural(k, "reading", "readings")))
			}
			continue
		case c.Kind != n.Kind || c.Unit != n.Unit || c.Quantity != n.Quantity:
			if len(c.Readings) > 0 {
				m.Faults = append(m.Faults, fmt.Sprintf("check %s has readings as %s and would be %s: give it another ID in the file", c.ID, c.kindText(), n.kindText()))
			}
			continue
		}
		if c.Cleared() && c.Current != nil && !n.Cleared() {
			m.Stale = append(m.Stale, c.ID+": "+n.Why())
		}
		if !c.Cleared() && n.Cleared() && n.Applies {
			m.Opened = append(m.Opened, c.ID)
		}
	}
	for i := range b.Releases {
		r := &b.Releases[i]
		if len(r.Changed) > 0 {
			continue
		}
		if now := after.changedSince(&after.Releases[i]); len(now) > 0 {
			m.Releases = append(m.Releases, fmt.Sprintf("%s, signed by %s on %s: %s", r.Point, r.Person, r.At.Time().Format("2006-01-02"), strings.Join(now, "; ")))
		}
	}
}

func (c *Check) kindText() string {
	return strings.TrimSpace(string(c.Kind) + " " + c.Quantity + " " + c.Unit)
}

// touched says what is on record of a task, "" for nothing.
func (t *Task) touched() string {
	switch {
	case len(t.Work) > 0 || t.Clock != nil:
		return "hours"
	case t.State == Finished:
		return "been finished"
	case len(t.Notes) > 0:
		return "notes"
	}
	for _, c := range t.Checks {
		if len(c.Readings) > 0 {
			return "readings"
		}
	}
	return ""
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// buildMoved folds a build as if it had been moved.
func (l *Logbook) buildMoved(b *Build, move PlanMove, to *Plan) (*Build, error) {
	led := l.ledger(l.build[b.ID])
	plans := func(id string, version int) (*Plan, bool) {
		for _, p := range []*Plan{to, b.Plan} {
			if p.ID == id && p.Version == version {
				return p, true
			}
		}
		return b.plans(id, version)
	}
	return l.makeBuild(b.ID, b.Now, led, plans, &MoveLine{Fact{Replica: uuid.Max, Seq: 1, Stamp: StampAt(b.Now)}, move, true})
}
