package synth

import (
	"math"
	"slices"
)

// A bench is the build while it is worked on.
type bench struct {
	*Build
	c          *Chance
	left       []float64 // hours to go until the task is finished
	done       []bool
	queue      []int // known, not begun
	inHand     []int
	again      []int     // to be done again
	later      []later   // will have to be done again
	notice     []float64 // share of the plan's hours at which each found task comes to light
	plan, past float64   // hours of the plan; those finished
}

type later struct{ task, finishes int } // after so many more finished tasks

// work plays the build: a few tasks in hand at a time, worked on in strokes of
// up to three hours; rework comes some tasks later; what is found comes to light
// with a finished task.
func (b *Build) work() {
	w := bench{Build: b, c: b.Chance("work"), left: make([]float64, len(b.Tasks)), done: make([]bool, len(b.Tasks))}
	for i, t := range b.Tasks {
		w.left[i] = t.Hours
		if i < b.Planned {
			w.queue = append(w.queue, i)
			w.plan += t.Hours
		} else {
			w.notice = append(w.notice, math.Pow(w.c.Float(0, 0.97), b.Traits.Early))
		}
	}
	slices.Sort(w.notice)
	for w.stroke() {
	}
}

// stroke works for a while; it reports false when all is done.
func (w *bench) stroke() bool {
	open := len(w.queue) + len(w.inHand)
	if open <= 1 { // the last task waits for all that must be done again
		for _, l := range w.later {
			w.again = append(w.again, l.task)
		}
		w.later = nil
	}
	switch {
	case len(w.again) > 0 && (open <= 1 || w.c.Hit(0.3)):
		i := w.again[0]
		w.again = w.again[1:]
		w.Strokes = append(w.Strokes, Stroke{Task: i, Hours: w.Tasks[i].Rework, Rework: true})
		return true
	case open == 0:
		return false
	}
	w.begin()
	at := w.c.Int(0, len(w.inHand)-1)
	i := w.inHand[at]
	s := Stroke{Task: i, Hours: min(w.left[i], w.c.Float(0.3, 3))}
	if w.left[i] -= s.Hours; w.left[i] <= 0 {
		s.Finishes = true
		w.inHand = slices.Delete(w.inHand, at, at+1)
		s.Finds = w.finish(i)
	}
	w.Strokes = append(w.Strokes, s)
	return true
}

// begin takes tasks in hand: one if none is, more as the person likes.
func (w *bench) begin() {
	for len(w.inHand) == 0 || len(w.inHand) < w.Traits.InHand && len(w.queue) > 0 && w.c.Hit(0.4) {
		at := slices.IndexFunc(w.queue, func(i int) bool {
			return !slices.ContainsFunc(w.Tasks[i].After, func(before int) bool { return !w.done[before] })
		})
		if at < 0 {
			return // all wait for what is in hand
		}
		w.inHand = append(w.inHand, w.queue[at])
		w.queue = slices.Delete(w.queue, at, at+1)
	}
}

// finish returns the tasks that come to light as task i is finished.
func (w *bench) finish(i int) (finds []int) {
	w.done[i] = true
	for k := range w.later {
		w.later[k].finishes--
	}
	w.later = slices.DeleteFunc(w.later, func(l later) bool {
		if l.finishes < 0 {
			w.again = append(w.again, l.task)
		}
		return l.finishes < 0
	})
	if w.Tasks[i].Rework > 0 {
		w.later = append(w.later, later{i, w.c.Int(0, 1+int(w.Traits.Lag*float64(w.Planned)))})
	}
	if i < w.Planned {
		w.past += w.Tasks[i].Hours
	}
	for len(w.notice) > 0 && w.past >= w.notice[0]*w.plan {
		f := len(w.Tasks) - len(w.notice)
		w.notice = w.notice[1:]
		finds = append(finds, f)
		w.queue = slices.Insert(w.queue, w.c.Int(0, len(w.queue)), f)
	}
	return finds
}
