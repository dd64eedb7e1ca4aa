package forecast

import "ampwright/calc/exact"

import "cmp"

// A record is what the finished tasks of a build say.
type record struct {
	tasks      float64 // finished, with an estimate
	equal      float64 // they are worth as much as so many tasks of equal size
	ratio      float64 // mean ln(actual/expected)
	exact      float64 // estimates met exactly
	deviations float64 // sum of squares of ln(actual/expected) less its median
	estimate   float64 // hours estimated for them
	hours      float64 // hours until first finished

	done       float64 // hours until first finished, of all finished tasks
	doneEqual  float64 // they are worth as much as so many tasks of equal size
	ahead      float64 // hours the open tasks take at the pace of the estimates
	found      float64 // hours of the tasks found on the way, finished or open
	foundTasks int
	rework     float64 // hours after the first finish
}

// remember reads the record of a past build; that of one without any figure is
// zero.
func remember(tasks []Work) (record, error) {
	var estimates []float64
	for _, t := range tasks {
		if err := t.check(); err != nil {
			return record{}, err
		}
		if e := t.estimate(); e > 0 {
			estimates = append(estimates, e)
		}
	}
	middle := median(estimates)
	if middle == 0 {
		return record{}, nil
	}
	return read(tasks, inOrder(tasks), atWork.open(tasks, middle), middle), nil
}

// read makes the record of tasks taken in order, where open is what each that is
// open still takes.
func read(tasks []Work, order []int, open []float64, middle float64) record {
	var r record
	var sum, squares, total, doneSquares float64
	ratios := make([]float64, 0, len(tasks))
	for _, i := range order {
		t := &tasks[i]
		estimate, a := t.estimate(), t.first()
		r.rework += t.Rework
		if t.Found {
			r.foundTasks++
			r.found += a
		}
		if !t.Done {
			r.ahead += open[i]
			if t.Found {
				r.found += open[i]
			}
			continue
		}
		r.done += a
		doneSquares += float64(a * a)
		if estimate == 0 {
			continue
		}
		r.tasks++
		r.estimate += estimate
		r.hours += a
		if diff := a - estimate; max(diff, -diff) <= exactWithin*estimate {
			r.exact++
		}
		g, ratio := expected(estimate, middle), -ratioClip
		if a > 0 {
			ratio = min(max(exact.Log(a/g), -ratioClip), ratioClip)
		}
		ratios = append(ratios, ratio)
		total += ratio
		sum += g
		squares += float64(g * g)
	}
	if r.tasks > 0 {
		r.equal = float64(sum*sum) / squares
		r.ratio = total / r.tasks
	}
	if r.done > 0 {
		r.doneEqual = float64(r.done*r.done) / doneSquares
	}
	middleRatio := median(ratios)
	for _, ratio := range ratios {
		r.deviations += float64((ratio - middleRatio) * (ratio - middleRatio))
	}
	return r
}

// compare puts records in an order that depends on their figures alone.
func (r record) compare(o record) int {
	return cmp.Or(cmp.Compare(r.equal, o.equal), cmp.Compare(r.ratio, o.ratio), cmp.Compare(r.doneEqual, o.doneEqual),
		cmp.Compare(r.done, o.done), cmp.Compare(r.found, o.found), cmp.Compare(r.rework, o.rework),
		cmp.Compare(r.ahead, o.ahead), cmp.Compare(r.exact, o.exact), cmp.Compare(r.deviations, o.deviations))
}
