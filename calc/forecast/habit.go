package forecast

import "ampwright/calc/exact"

// Learnt is a figure of a build that is measured and shrunk towards what is
// usual: Used = Usual + Weight·(Own - Usual).
type Learnt struct {
	Own    float64 // measured on this build; Usual where nothing is
	Usual  float64 // to be expected in the garage, its past builds heard
	Used   float64
	Weight float64 // of Own, 0 to 1

	variance float64 // of the true figure about Used
}

// A habit is a figure in which builds differ.
type habit struct {
	mean     float64 // over all builds
	variance float64 // over all builds
	tasks    float64 // equal tasks at which a build's own figure weighs half where the garage has no past
}

// sameGarage is the share of a habit's variance that the builds of one garage
// have in common. Of 0.05 to 0.5 the best for the pace of runs of open projects
// that had earlier runs; growth and rework are taken to be alike.
const sameGarage = 0.2

// How builds differ in pace, in growth and in rework. No open record of a
// workshop has growth or rework: their figures are from memory of what is told
// of building and repair work, and wide.
const (
	paceVariance   = 0.03        // of ln(actual/estimate); 0.01 to 0.17 between projects of office work
	growthMean     = 0.15        // hours of tasks nobody had thought of, in every hour finished,
	growthVariance = 0.12 * 0.12 // and how much builds differ
	reworkMean     = 0.08        // hours done again, for an hour done once,
	reworkVariance = 0.07 * 0.07 // and how much builds differ

	// Hours found and hours of rework come in lumps whose mean square is this
	// many times the square of their mean, as in an exponential distribution.
	lumps = 2.0

	flowMost = 0.6 // no more growth or rework than this is believed, for an hour
)

// A seen is a figure as measured on so many tasks of equal size.
type seen struct{ tasks, figure float64 }

// learn weighs what is usual, what past builds show and what the build itself
// shows by their precision.
func (h habit) learn(own seen, past []seen) Learnt {
	precision, sum := 1/sameGarage, h.mean/sameGarage // of the garage's mean, in units of 1/variance
	for _, p := range past {
		if p.tasks > 0 {
			w := 1 / (1 - sameGarage + h.tasks/p.tasks)
			precision += w
			sum += float64(w * p.figure)
		}
	}
	unknown := 1 - sameGarage + 1/precision // share of the variance that the past leaves
	l := Learnt{Own: own.figure, Usual: sum / precision, Weight: own.tasks / (own.tasks + h.tasks/unknown)}
	if own.tasks == 0 {
		l.Own = l.Usual
	}
	l.Used = l.Usual + float64(l.Weight*(l.Own-l.Usual))
	l.variance = float64(h.variance*unknown) * (1 - l.Weight)
	return l
}

// pace is mean ln(actual/expected).
func (s *survey) pace() Learnt {
	f := func(r record) seen { return seen{r.equal, r.ratio} }
	return habit{0, paceVariance, paceTasks}.learn(f(s.record), s.past(f))
}

// growth is hours found in an hour finished.
func (s *survey) growth() Learnt {
	f := func(r record) seen {
		if r.done == 0 {
			return seen{}
		}
		return seen{r.doneEqual, min(r.found/r.done, flowMost)}
	}
	return habit{growthMean, growthVariance, lumps * growthMean / growthVariance}.learn(f(s.record), s.past(f))
}

// again is hours of rework, sooner or later, for an hour finished.
func (s *survey) again() Learnt {
	f := func(r record) seen {
		if r.done == 0 {
			return seen{}
		}
		shown := r.shown()
		return seen{float64(r.doneEqual * shown), min(r.rework/r.done/shown, flowMost)}
	}
	return habit{reworkMean, reworkVariance, lumps * reworkMean / reworkVariance}.learn(f(s.record), s.past(f))
}

func (s *survey) past(f func(record) seen) []seen {
	var list []seen
	for _, r := range s.garage {
		list = append(list, f(r))
	}
	return list
}

// Half of the rework on what is finished is taken to show soon, half evenly from
// then to the end of the build, when all is tried out together (common practice,
// no published source). Where q of the hours are to come, this share of the
// rework on what is done has shown ...
func (r record) shown() float64 {
	q := min(r.toCome(), 0.999) // beyond, the difference is all rounding
	return 1 + float64(q/(1-q)*exact.Log(q))/2
}

// ... and with an hour to come, so many times the rework on an hour.
func (r record) showing() float64 { return 1 - exact.Log(r.toCome())/2 }

func (r record) toCome() float64 { return max(r.ahead/(r.done+r.ahead), 1e-6) }
