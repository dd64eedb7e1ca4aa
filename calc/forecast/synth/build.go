// Package synth makes up whole builds with known truth, to check forecasts on
// ground that no open record covers: scope that grows, rework, waits, tasks
// begun and left. Nothing here is measured. What a build is like is drawn from
// wide ranges, build by build, so that many builds are unlike what a forecast
// expects; the ranges are stated beside [Traits]. The same seeds give the same
// build, but for last digits that package math rounds differently on other
// processors.
package synth

import (
	"fmt"
	"math"
	"slices"

	"ampwright/calc/forecast"
)

// A Task is a task and what comes of it, as nobody knows beforehand.
type Task struct {
	Work   forecast.Work // its estimate; nothing logged, not done
	Stage  int           // 0, 1, ...
	After  []int         // tasks of the plan that must be finished first
	Wait   float64       // hours unattended after it is finished
	Hours  float64       // hours it takes until first finished; 0 is a task that turns out to need nothing
	Rework float64       // hours of work on it after that
}

// A Stroke is a stretch of work on one task.
type Stroke struct {
	Task     int
	Hours    float64
	Rework   bool
	Finishes bool  // the task is finished for the first time
	Finds    []int // tasks that come to light with it
}

// A Build is one build from start to finish.
type Build struct {
	Garage, Number uint64 // seeds
	Traits         Traits
	Tasks          []Task // those of the plan first, then those found on the way
	Planned        int    // tasks of the plan
	Strokes        []Stroke

	pace []float64 // of the stages: middle of ln(hours/likely estimate)
}

// Play returns build number of a garage. Builds of one garage resemble each
// other.
func Play(garage, number uint64) Build {
	b := Build{Garage: garage, Number: number, Traits: draw(garage, number)}
	b.plan()
	b.find()
	b.work()
	return b
}

// Hours returns all the hours the build takes.
func (b Build) Hours() float64 {
	sum := 0.0
	for _, s := range b.Strokes {
		sum += s.Hours
	}
	return sum
}

// Chance returns a stream of random numbers of the build's own.
func (b Build) Chance(name string) *Chance { return NewChance(b.Garage, b.Number, name) }

func (b *Build) plan() {
	c, t := b.Chance("plan"), b.Traits
	b.Planned = t.Tasks
	b.pace = make([]float64, 1+t.Tasks/8)
	for i := range b.pace {
		b.pace[i] = t.Pace + t.StageSpread*c.Normal()
	}
	for i := range t.Tasks {
		task := b.task(c, i*len(b.pace)/t.Tasks)
		for range c.Int(0, 2) {
			if i > 0 {
				task.After = append(task.After, c.Int(max(0, i-12), i-1))
			}
		}
		slices.Sort(task.After)
		task.After = slices.Compact(task.After)
		b.Tasks = append(b.Tasks, task)
	}
}

// task draws the estimate of a task, and what comes of it.
func (b *Build) task(c *Chance, stage int) Task {
	t := b.Traits
	likely := halves(t.Size * math.Exp(t.SizeSpread*c.Normal()))
	scatter := t.Scatter * math.Exp(0.3*c.Normal()) // some tasks are harder to foresee
	task := Task{Stage: stage, Work: forecast.Work{Name: fmt.Sprintf("task %d", len(b.Tasks)+1)}}
	if c.Hit(0.15) {
		task.Wait = c.Float(2, 48)
	}
	task.Hours = likely * math.Exp(b.pace[stage]-t.SizeSlope*math.Log(likely/t.Size)+scatter*c.Heavy(t.Tail))
	switch {
	case c.Hit(t.Exact):
		task.Hours = likely
	case c.Hit(t.Nothing):
		task.Hours = 0
	}
	task.Hours = min(task.Hours, 12*likely)
	if c.Hit(t.ReworkChance) {
		task.Rework = t.Rework / t.ReworkChance * likely * math.Exp(0.8*c.Normal()-0.32)
	}
	switch {
	case c.Hit(t.Blind):
		// no estimate
	case t.Single:
		task.Work.Low, task.Work.Likely, task.Work.High = likely, likely, likely
	default:
		// The person's range: 10 % to 90 % of the true scatter, narrowed by what
		// people do not see coming, and longer upwards.
		wide := 1.28 * scatter * t.Candour
		task.Work.Low, task.Work.Likely, task.Work.High = likely*math.Exp(-wide), likely, likely*math.Exp(1.3*wide)
	}
	return task
}

// find draws the tasks that come to light on the way.
func (b *Build) find() {
	c := b.Chance("find")
	togo := 0.0 // hours
	for _, t := range b.Tasks {
		togo += t.Hours
	}
	togo *= b.Traits.Growth * math.Exp(0.3*c.Normal())
	for togo > 0 {
		task := b.task(c, c.Int(0, len(b.pace)-1))
		task.Work.Found = true
		b.Tasks = append(b.Tasks, task)
		togo -= task.Hours
	}
}

// halves rounds an estimate as people do: to half hours, small ones to tenths.
func halves(hours float64) float64 {
	if hours < 1 {
		return max(math.Round(hours*10)/10, 0.1)
	}
	return math.Round(hours*2) / 2
}
