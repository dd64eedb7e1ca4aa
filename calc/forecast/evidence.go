package forecast

import "ampwright/calc/exact"

// What turns tasks into evidence. Unless another reason stands beside it, a
// figure was found by trying halves and doubles of it for the best forecast of
// projects not fitted on; around these values the result is flat.
const (
	sizeSlope   = -0.05 // big estimates are overrun less: hours go with estimate^0.95 ...
	sizeFloor   = 0.05  // ... and every task takes 1/20 of the middle estimate besides
	unestimated = 1.8   // a task nobody estimated takes this many middle estimates

	ratioClip   = 1.0         // a task says at most e times its estimate, or 1/e
	paceTasks   = 15.0        // finished tasks of equal size at which the build's own pace weighs half
	scatterMean = 0.69 * 0.69 // variance of ln(actual/estimate) before any is known,
	scatterN    = 0.71        // held as strongly as this many tasks hold it
	exactWithin = 0.02        // an estimate met this closely was met exactly: such hours are rounded
	exactMean   = 0.5         // the share of exact hits before any is known,
	exactN      = 4.0         // held as strongly as this many tasks hold it; so is each past build's, of both
	exactMiddle = 0.4         // Evidence counts the share from here

	// A person's low and high are read as the 10 % and 90 % points (common
	// practice, no published source); rangeN of them count as much as scatterMean
	// and at most half counts, since people draw ranges too narrow. No open data
	// have ranges: not fitted.
	rangeWidth = 2.5631031310892007 // 10 % to 90 % of a normal distribution, in standard deviations
	rangeN     = 4.0
)

// Evidence is what a forecast rests on. The zero Evidence is that of a finished
// build.
type Evidence struct {
	Open        float64 // hours the open tasks take at the pace of the estimates
	Pace        float64 // mean ln(actual/estimate) of finished tasks, shrunk towards 0
	Crowd       float64 // ln of how many equal tasks share Open, over 8
	Scatter     float64 // ln of the variance of ln(actual/estimate), over 0.4
	Exact       float64 // share of estimates met exactly, less 0.4
	Started     float64 // share of Open in tasks begun, 0 to 1
	Unestimated float64 // share of Open in tasks nobody estimated, 0 to 1
	Planned     float64 // hours the open tasks take if each meets its estimate
	Copied      float64 // probability that each does, for hours are copied from estimates; 0 where one has no single figure, or has used it up
}

// Read gathers the evidence. The order of tasks does not matter.
func Read(tasks []Work) (Evidence, error) {
	s, err := look(Build{Tasks: tasks}, nil, atFinish)
	return s.Evidence, err
}

// expected returns the hours a task takes by its estimate, where middle is the
// build's middle estimate.
func expected(estimate, middle float64) float64 {
	if estimate == 0 {
		return unestimated * middle
	}
	return float64(estimate*exact.Exp(sizeSlope*exact.Log(estimate/middle))) + float64(sizeFloor*middle)
}
