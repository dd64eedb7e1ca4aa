package forecast

import "errors"

// What turns tasks into evidence. Unless another reason stands beside it, a
// figure was found by trying halves and doubles of it for the best forecast of
// projects not fitted on; around these values the result is flat.
const (
	sizeSlope   = -0.05 // big estimates are overrun less: hours go with estimate^0.95 ...
	sizeFloor   = 0.05  // ... and every task takes 1/20 of the middle estimate besides
	unestimated = 1.8   // a task nobody estimated takes this many middle estimates

	startedEstimate = 0.40 // a started task takes 0.40 of its estimate
	startedLogged   = 0.57 // less 0.57 of its hours so far,
	startedLeast    = 0.06 // but at least 0.06 of them: it stops near the estimate or far beyond

	ratioClip   = 1.0         // a task says at most e times its estimate, or 1/e
	paceTasks   = 15.0        // finished tasks of equal size at which the build's own pace weighs half
	scatterMean = 0.69 * 0.69 // variance of ln(actual/estimate) before any is known,
	scatterN    = 0.71        // held as strongly as this many tasks hold it
	exactWithin = 0.02        // an estimate met this closely was met exactly: such hours are rounded
	exactMean   = 0.5         // the share of exact hits before any is known,
	exactN      = 4.0         // held as strongly as this many tasks hold it

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
}

// Read gathers the evidence. The order of tasks does not matter.
func Read(tasks []Work) (Evidence, error) {
	open, estimates, logged := 0, make([]float64, 0, len(tasks)), []float64(nil)
	for _, t := range tasks {
		if err := t.check(); err != nil {
			return Evidence{}, err
		}
		if e := t.estimate(); e > 0 {
			estimates = append(estimates, e)
		}
		if !t.Done {
			open++
		} else if t.logged() > 0 {
			logged = append(logged, t.logged())
		}
	}
	if open == 0 {
		return Evidence{}, nil
	}
	middle := median(estimates)
	if middle == 0 {
		middle = median(logged)
	}
	if middle == 0 {
		return Evidence{}, errors.New("no task has an estimate or is finished with hours logged: give one")
	}
	tasks = inOrder(tasks)
	var e Evidence
	e.open(tasks, middle)
	e.finished(tasks, middle)
	return e, nil
}

// expected returns the hours a task takes by its estimate, where middle is the
// build's middle estimate.
func expected(estimate, middle float64) float64 {
	if estimate == 0 {
		return unestimated * middle
	}
	return float64(estimate*exp(sizeSlope*log(estimate/middle))) + float64(sizeFloor*middle)
}

func (e *Evidence) open(tasks []Work, middle float64) {
	var squares, started, blind float64
	for _, t := range tasks {
		if t.Done {
			continue
		}
		g, s := expected(t.estimate(), middle), t.logged()
		if s > 0 {
			g = max(float64(startedEstimate*g)-float64(startedLogged*s), startedLeast*s)
			started += g
		}
		if t.estimate() == 0 {
			blind += g
		}
		e.Open += g
		squares += float64(g * g)
	}
	e.Crowd = log(float64(e.Open*e.Open) / squares / 8)
	e.Started, e.Unestimated = started/e.Open, blind/e.Open
}

func (e *Evidence) finished(tasks []Work, middle float64) {
	var n, exact, sum, squares, total float64
	var ratios []float64
	for _, t := range tasks {
		estimate, a := t.estimate(), t.logged()
		if !t.Done || estimate == 0 {
			continue
		}
		n++
		if diff := a - estimate; max(diff, -diff) <= exactWithin*estimate {
			exact++
		}
		g, r := expected(estimate, middle), -ratioClip
		if a > 0 {
			r = min(max(log(a/g), -ratioClip), ratioClip)
		}
		ratios = append(ratios, r)
		total += r
		sum += g
		squares += float64(g * g)
	}
	if n > 0 {
		equal := float64(sum*sum) / squares
		e.Pace = float64(equal/(equal+paceTasks)) * (total / n)
	}
	middleRatio := median(ratios)
	deviations := 0.0
	for _, r := range ratios {
		deviations += float64((r - middleRatio) * (r - middleRatio))
	}
	prior := scatterBefore(tasks)
	e.Scatter = log((float64(scatterN*prior) + deviations) / (scatterN + max(n-1, 0)) / 0.4)
	e.Exact = (float64(exactN*exactMean)+exact)/(exactN+n) - 0.4
}

// scatterBefore is the scatter to expect before any task is finished: the usual
// one, drawn towards what the ranges of the open tasks say.
func scatterBefore(tasks []Work) float64 {
	var n, sum float64
	for _, t := range tasks {
		if !t.Done && t.Low < t.High && t.estimate() > 0 {
			sd := log(t.High/max(t.Low, t.High/100)) / rangeWidth
			sum += float64(sd * sd)
			n++
		}
	}
	if n == 0 {
		return scatterMean
	}
	weight := float64(n / (n + rangeN) / 2)
	return float64((1-weight)*scatterMean) + float64(weight*(sum/n))
}
