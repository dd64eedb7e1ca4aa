package figures

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ampwright/calc/forecast"
	"ampwright/calc/unit"
)

// A Task is one task of a network, in hours. Low, Likely and High are one
// figure where the time is taken as certain.
type Task struct {
	Name              string
	Low, Likely, High float64
	After             []int // tasks that must be finished first, by their place
}

// Mean returns the mean time of the task, Variance what PERT takes for its
// variance.
func (t Task) Mean() float64 { return forecast.Mean(t.Low, t.Likely, t.High) }

// Variance returns ((high - low) / 6)².
func (t Task) Variance() float64 { v := PertSD(t.Low, t.High); return v * v }

// What a network may hold.
const (
	maxTasks = 300
	maxPaths = 1000
	maxHours = 1e6
)

// ParseNetwork reads a network, one task a line or between semicolons: a name,
// its hours, and what it comes after, "E 5/6/9 after C, D". Three figures with
// strokes are low, likely and high. With arcs, a name is two events with a
// hyphen, "2-4 6", and the arc comes after all that end in its first event.
// Errors name the line. The tasks come back in the order typed.
func ParseNetwork(text string, arcs bool, m unit.Mark) ([]Task, error) {
	var tasks []Task
	var after [][]string
	place := map[string]int{}
	for _, line := range strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == ';' }) {
		words := strings.Fields(line)
		if len(words) == 0 {
			continue
		}
		line = strings.Join(words, " ")
		if len(words) < 2 {
			return nil, fmt.Errorf("%q has no time, want a name and hours, such as %s", line, example(arcs))
		}
		t := Task{Name: words[0]}
		if _, ok := place[t.Name]; ok {
			return nil, fmt.Errorf("%s is there twice, want each name once", t.Name)
		}
		if err := t.readHours(words[1], m); err != nil {
			return nil, fmt.Errorf("%s: %w", t.Name, err)
		}
		needs, err := readAfter(words[2:])
		if err != nil || arcs && len(needs) > 0 {
			return nil, fmt.Errorf("%q is not a task, want a line such as %s", line, example(arcs))
		}
		if len(tasks) == maxTasks {
			return nil, fmt.Errorf("more than %d tasks", maxTasks)
		}
		place[t.Name] = len(tasks)
		tasks = append(tasks, t)
		after = append(after, needs)
	}
	if len(tasks) == 0 {
		return nil, fmt.Errorf("no task, want lines such as %s", example(arcs))
	}
	if arcs {
		if err := joinArcs(tasks); err != nil {
			return nil, err
		}
	}
	for i, needs := range after {
		for _, name := range needs {
			j, ok := place[name]
			if !ok {
				return nil, fmt.Errorf("%s comes after %s, which is not there", tasks[i].Name, name)
			}
			if !slices.Contains(tasks[i].After, j) {
				tasks[i].After = append(tasks[i].After, j)
			}
		}
	}
	if _, err := order(tasks); err != nil {
		return nil, err
	}
	return tasks, nil
}

func example(arcs bool) string {
	if arcs {
		return `"2-4 6"`
	}
	return `"E 5/6/9 after C, D"`
}

// readHours reads "6" or "5/6/7".
func (t *Task) readHours(s string, m unit.Mark) error {
	parts := strings.Split(s, "/")
	if len(parts) != 1 && len(parts) != 3 {
		return fmt.Errorf("%q: want hours, or low/likely/high", s)
	}
	var v []float64
	for _, p := range parts {
		d, err := unit.Parse(p, "h", m)
		if err != nil {
			return err
		}
		h := d.Float()
		if h < 0 || h > maxHours {
			return fmt.Errorf("%q: want 0 to %d h", p, int(maxHours))
		}
		v = append(v, h)
	}
	t.Low, t.Likely, t.High = v[0], v[len(v)/2], v[len(v)-1]
	if t.Low > t.Likely || t.Likely > t.High {
		return fmt.Errorf("%q: want low/likely/high in rising order", s)
	}
	return nil
}

// readAfter reads the words "after C, D".
func readAfter(words []string) ([]string, error) {
	if len(words) == 0 {
		return nil, nil
	}
	names := strings.FieldsFunc(strings.Join(words[1:], " "), func(r rune) bool { return r == ' ' || r == ',' })
	if !strings.EqualFold(words[0], "after") || len(names) == 0 {
		return nil, fmt.Errorf("want after and names")
	}
	return names, nil
}

// joinArcs puts each arc after all that end in its first event.
func joinArcs(tasks []Task) error {
	ends := map[string][]int{}
	for i, t := range tasks {
		from, to, ok := strings.Cut(t.Name, "-")
		if !ok || from == "" || to == "" || from == to || strings.Contains(to, "-") {
			return fmt.Errorf("%q is not an arc, want two events such as 2-4", t.Name)
		}
		ends[to] = append(ends[to], i)
	}
	for i := range tasks {
		from, _, _ := strings.Cut(tasks[i].Name, "-")
		tasks[i].After = ends[from]
	}
	return nil
}

// order returns the places of the tasks so that each comes after what it
// needs, or an error that names a ring of tasks.
func order(tasks []Task) ([]int, error) {
	const (
		unseen = iota
		open
		done
	)
	state := make([]int, len(tasks))
	var sorted, path []int
	var ring error
	var visit func(i int) bool
	visit = func(i int) bool {
		switch state[i] {
		case done:
			return true
		case open:
			var names []string
			for _, j := range append(path[slices.Index(path, i):], i) {
				names = append(names, tasks[j].Name)
			}
			ring = fmt.Errorf("the tasks wait for each other: %s", strings.Join(names, " after "))
			return false
		}
		state[i] = open
		path = append(path, i)
		for _, j := range tasks[i].After {
			if !visit(j) {
				return false
			}
		}
		path = path[:len(path)-1]
		state[i] = done
		sorted = append(sorted, i)
		return true
	}
	for i := range tasks {
		if !visit(i) {
			return nil, ring
		}
	}
	return sorted, nil
}

// Times are the early and late start and finish of a task and its float, in
// hours from the start of the network.
type Times struct{ ES, EF, LS, LF, Float float64 }

// A Schedule is the critical path calculation of a network.
type Schedule struct {
	Times  []Times // by the place of the task
	Order  []int   // each after what it needs
	Next   [][]int // what comes after a task
	Finish float64
	// Variance of the critical path; where there are several, the largest.
	Variance float64
}

// Plan calculates a schedule: forwards the latest early finish of what a task
// needs, backwards the earliest late start of what needs it. The error names a
// ring of tasks.
func Plan(tasks []Task) (Schedule, error) {
	sorted, err := order(tasks)
	if err != nil {
		return Schedule{}, err
	}
	s := Schedule{Times: make([]Times, len(tasks)), Order: sorted, Next: make([][]int, len(tasks))}
	for _, i := range sorted {
		t := &s.Times[i]
		for _, j := range tasks[i].After {
			t.ES = max(t.ES, s.Times[j].EF)
			s.Next[j] = append(s.Next[j], i)
		}
		t.EF = t.ES + tasks[i].Mean()
		s.Finish = max(s.Finish, t.EF)
	}
	for _, i := range slices.Backward(sorted) {
		t := &s.Times[i]
		t.LF = s.Finish
		for _, j := range s.Next[i] {
			t.LF = min(t.LF, s.Times[j].LS)
		}
		t.LS = t.LF - tasks[i].Mean()
		t.Float = t.LS - t.ES
		if math.Abs(t.Float) <= 1e-9*s.Finish { // rounding
			t.Float, t.LS, t.LF = 0, t.ES, t.EF
		}
	}
	variance := make([]float64, len(tasks))
	for _, i := range sorted {
		if !s.Critical(i) {
			continue
		}
		for _, j := range tasks[i].After {
			if s.Critical(j) && s.meet(s.Times[j].EF, s.Times[i].ES) {
				variance[i] = max(variance[i], variance[j])
			}
		}
		variance[i] += tasks[i].Variance()
		if s.meet(s.Times[i].EF, s.Finish) {
			s.Variance = max(s.Variance, variance[i])
		}
	}
	return s, nil
}

// Critical reports whether the task at place i has no float.
func (s Schedule) Critical(i int) bool { return s.Times[i].Float == 0 }

func (s Schedule) meet(a, b float64) bool { return math.Abs(a-b) <= 1e-9*s.Finish }

// A Path is a chain of tasks from a start of the network to an end.
type Path struct {
	Tasks          []int
	Mean, Variance float64
	Critical       bool
}

// Paths returns all paths, the longest first; ok is false if there are more
// than 1000, and the paths are then not all.
func (s Schedule) Paths(tasks []Task) (paths []Path, ok bool) {
	var walk func(i int, p Path) bool
	walk = func(i int, p Path) bool {
		p.Tasks = append(slices.Clip(p.Tasks), i)
		p.Mean += tasks[i].Mean()
		p.Variance += tasks[i].Variance()
		if len(s.Next[i]) == 0 {
			p.Critical = s.meet(p.Mean, s.Finish)
			paths = append(paths, p)
			return len(paths) <= maxPaths
		}
		for _, j := range s.Next[i] {
			if !walk(j, p) {
				return false
			}
		}
		return true
	}
	ok = true
	for i := range tasks {
		if ok && len(tasks[i].After) == 0 {
			ok = walk(i, Path{})
		}
	}
	slices.SortStableFunc(paths, func(a, b Path) int {
		if s.meet(a.Mean, b.Mean) {
			return 0
		}
		if a.Mean > b.Mean {
			return -1
		}
		return 1
	})
	return paths, ok
}

// ByThen returns the chance that a path of that mean and variance is done by
// the hour, its sum taken as normal.
func ByThen(hour, mean, variance float64) float64 {
	if variance == 0 {
		if hour >= mean*(1-1e-12) {
			return 1
		}
		return 0
	}
	return NormalProbability((hour - mean) / math.Sqrt(variance))
}
