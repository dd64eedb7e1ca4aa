package synth

import "ampwright/calc/forecast"

// A State is what the logbook knows at a checkpoint.
type State struct {
	Tasks   []forecast.Work // those known by then
	Index   []int           // place of each in Build.Tasks
	Strokes int             // strokes worked, the last perhaps in part
	Logged  float64         // hours
}

// Truth is what comes after a checkpoint.
type Truth struct {
	Hours  float64 // all labour left
	Listed float64 // first-time work on tasks known at the checkpoint
	Found  float64 // first-time work on tasks found later
	Rework float64 // on any task
}

// At returns the state when a share of all hours, 0 to 1, is worked, and what
// is left.
func (b Build) At(share float64) (State, Truth) {
	cut := share * b.Hours()
	var s State
	work := make([]forecast.Work, len(b.Tasks))
	known := make([]bool, len(b.Tasks))
	for i, t := range b.Tasks {
		work[i], known[i] = t.Work, i < b.Planned
	}
	n := 0
	var rest float64 // of the stroke cut in two
	for ; n < len(b.Strokes); n++ {
		stroke := b.Strokes[n]
		h := stroke.Hours
		whole := s.Logged+h <= cut || share >= 1
		if !whole {
			h = cut - s.Logged
			rest = stroke.Hours - h
		}
		w := &work[stroke.Task]
		w.Logged += h
		s.Logged += h
		if stroke.Rework {
			w.Rework += h
		}
		if !whole {
			break
		}
		if stroke.Finishes {
			w.Done = true
		}
		for _, f := range stroke.Finds {
			known[f] = true
		}
	}
	s.Strokes = n
	for i, k := range known {
		if k {
			s.Tasks, s.Index = append(s.Tasks, work[i]), append(s.Index, i)
		}
	}
	var truth Truth
	for i, stroke := range b.Strokes[n:] {
		h := stroke.Hours
		if i == 0 {
			h = rest
		}
		truth.Hours += h
		switch {
		case stroke.Rework:
			truth.Rework += h
		case known[stroke.Task]:
			truth.Listed += h
		default:
			truth.Found += h
		}
	}
	return s, truth
}
