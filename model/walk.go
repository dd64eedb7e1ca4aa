package model

import (
	"fmt"
	"slices"
	"time"
)

// AwayAfter is how long nobody may have written on a checklist before its last
// item is looked at again. The length is our own choice; that a break must show
// its place is read in NASA CR-177549 on distractions.
const AwayAfter = 5 * time.Minute

// A Walk is a checklist being worked through, read-do: one item at a time, each
// chunk closed by a named release before the next opens. Its place follows from
// the logbook alone, so that it survives a reload, a flat battery and another
// person's entry.
type Walk struct {
	List   *PlanList
	Chunks []*WalkChunk
	Steps  []*WalkStep
	Chunk  *WalkChunk // the first that is not released; nil when all are
	Step   *WalkStep  // the item to take now; nil where the chunk wants its release, and at the end
	Last   *WalkStep  // the item of the chunk that was answered last; nil if none was
	Break  string     // why the list must be taken up again before it goes on; "" for no break
	From   *WalkStep  // after a break: the item to look at again
	Again  bool       // after a break: From and all after it are taken again, for the machine is live
}

// A WalkChunk is a run of items that are released together.
type WalkChunk struct {
	PlanChunk
	N         int // counted from 1
	Steps     []*WalkStep
	Live      bool         // the machine is energised while it is worked through
	Released  *ReleaseLine // the release that stands
	Last      *ReleaseLine // the latest on record, whether it stands or not
	Performed []string     // who took the readings it stands on
}

// A WalkStep is one item of a checklist.
type WalkStep struct {
	*Check
	Chunk    *WalkChunk
	N        int // place in the list, counted from 1
	Nth      int // place in the chunk, counted from 1
	Answered bool
	Stands   bool // answered, current, within limits or conceded, and not to be taken again
}

// Walk returns a checklist as it stands at the moment now for a person, or false
// if the build has no list of that name.
func (b *Build) Walk(list string, now time.Time, person string) (*Walk, bool) {
	w := &Walk{}
	for i := range b.Lists {
		if b.Lists[i].ID == list {
			w.List = &b.Lists[i]
		}
	}
	if w.List == nil {
		return nil, false
	}
	for i, pc := range w.List.Chunks {
		ch := &WalkChunk{PlanChunk: pc, N: i + 1}
		for _, id := range pc.Steps {
			c := b.check[id]
			if c == nil {
				continue
			}
			s := &WalkStep{Check: c, Chunk: ch, N: len(w.Steps) + 1, Nth: len(ch.Steps) + 1, Answered: c.Current != nil || c.Conceded != nil, Stands: c.Cleared()}
			ch.Steps = append(ch.Steps, s)
			w.Steps = append(w.Steps, s)
			ch.Live = ch.Live || c.Task.Strict && live(c.Task.Hazards)
		}
		b.signOff(ch)
		w.Chunks = append(w.Chunks, ch)
	}
	b.takeAgain(w)
	for _, ch := range w.Chunks {
		if slices.ContainsFunc(ch.Steps, func(s *WalkStep) bool { return !s.Stands }) {
			ch.Released = nil
		}
		if ch.Released == nil && w.Chunk == nil {
			w.Chunk = ch
		}
	}
	if w.Chunk == nil {
		return w, true
	}
	for _, s := range w.Chunk.Steps {
		if !s.Stands {
			w.Step = s
			break
		}
	}
	b.findBreak(w, now, person)
	return w, true
}

// signOff finds the release of a chunk.
func (b *Build) signOff(ch *WalkChunk) {
	for i := range b.Releases {
		if r := &b.Releases[i]; r.Point == ch.ID {
			ch.Last = r
			if len(r.Changed) == 0 {
				ch.Released = r
			}
		}
	}
	if ch.Last != ch.Released { // a later one that fell is no reason to go back to an earlier
		ch.Released = nil
	}
	for _, s := range ch.Steps {
		if r := s.Current; r != nil && !slices.Contains(ch.Performed, r.Person) {
			ch.Performed = append(ch.Performed, r.Person)
		}
	}
}

// takeAgain marks what must be taken anew because a live section was left.
func (b *Build) takeAgain(w *Walk) {
	for i := range b.Resumes {
		r := &b.Resumes[i]
		from := w.step(r.Check)
		if r.List != w.List.ID || !r.Again || from == nil {
			continue
		}
		for _, s := range from.Chunk.Steps[from.Nth-1:] {
			if s.Applies && s.writtenAt() < r.Stamp {
				s.Stands = false
			}
		}
	}
}

func (w *Walk) step(check string) *WalkStep {
	for _, s := range w.Steps {
		if s.ID == check {
			return s
		}
	}
	return nil
}

// writtenAt is when what the step stands on was written down.
func (s *WalkStep) writtenAt() Stamp {
	if s.Verdict == Conceded {
		return s.Conceded.Stamp
	}
	if s.Current != nil {
		return s.Current.Stamp
	}
	return 0
}

// findBreak says whether the chunk was left while it was under way: for longer
// than AwayAfter, or so that somebody else wrote in between.
func (b *Build) findBreak(w *Walk, now time.Time, person string) {
	var since, last Stamp
	if r := w.Chunk.Last; r != nil {
		since = r.Stamp // a chunk that was released and opened again starts afresh
	}
	by := ""
	see := func(f *Fact, s *WalkStep) {
		if f.Stamp > since && f.Stamp > last {
			last, by, w.Last = f.Stamp, f.Person, s
		}
	}
	for _, s := range w.Chunk.Steps {
		for _, r := range s.Readings {
			if !r.Derived {
				see(&r.Fact, s)
			}
		}
		if s.Conceded != nil {
			see(&s.Conceded.Fact, s)
		}
	}
	for i := range b.Resumes {
		if s := w.step(b.Resumes[i].Check); b.Resumes[i].List == w.List.ID && s != nil && s.Chunk == w.Chunk {
			see(&b.Resumes[i].Fact, s)
		}
	}
	if w.Last == nil {
		return
	}
	other := b.log.writtenBy(b.ID, b.own, last, person)
	switch away := now.Sub(last.Time()); {
	case by != person:
		w.Break = "the last item is by " + by
	case other != "":
		w.Break = other + " has written in this logbook since"
	case away > AwayAfter:
		w.Break = fmt.Sprintf("nothing was written on this list for %d minutes", int(away/time.Minute))
	default:
		return
	}
	w.From, w.Again = w.Last, w.Chunk.Live
	if !w.Again {
		return
	}
	w.From = w.Chunk.Steps[0]
	for _, s := range w.Chunk.Steps { // the last hold point before the place
		if w.Step != nil && s.N >= w.Step.N {
			break
		}
		if s.Hold() && s.Answered && s.Applies && s.Derive == nil {
			w.From = s
		}
	}
}

// writtenBy returns who other than person wrote in a build after a stamp; "" if
// nobody did.
func (l *Logbook) writtenBy(build [16]byte, own *garage, after Stamp, person string) string {
	for _, n := range l.builds[l.build[build]].items {
		if l.items[n].stamp > after {
			if f := l.fact(own, n); f.Person != person {
				return f.Person
			}
		}
	}
	return ""
}

// Needs returns what must be cleared before an item is taken: the checks it
// stands on and, where its task is strict, every hold upstream.
func (s *WalkStep) Needs() []*Check {
	list := slices.Clone(s.Gates)
	for _, h := range s.Task.Held {
		if !slices.Contains(list, h.Check) {
			list = append(list, h.Check)
		}
	}
	return list
}

// Complete says why a chunk cannot be released yet; "" if it can.
func (w *Walk) Complete(ch *WalkChunk) string {
	for _, before := range w.Chunks[:ch.N-1] {
		if before.Released == nil {
			return before.Title + " is not released"
		}
	}
	for _, s := range ch.Steps {
		switch {
		case s.Stands:
		case s.Cleared():
			return s.ID + " is to be taken again after the break"
		default:
			return s.ID + " is " + s.Why()
		}
	}
	if w.Chunk == ch && w.Break != "" {
		return "it was left: " + w.Break + "; look at " + w.From.ID + " again first"
	}
	return ""
}
