package schedule

import (
	"fmt"
	"slices"
	"strings"
)

// Limits of a project: what the search can hold in memory and answer in seconds.
const (
	MaxTasks     = 5000
	MaxDuration  = 1_000_000 // of all tasks, releases and waits together, in units of time
	MaxResources = 32
	MaxCapacity  = 1_000_000_000 // of one resource
)

// A Project is work to be put in time: tasks that share resources. Its unit of
// time is the caller's; every duration and start is a whole number of them.
type Project struct {
	Capacity []int // of each resource, the same at all times; 0 to MaxCapacity
	Tasks    []Task
}

// A Task is a piece of work that is not interrupted once begun.
type Task struct {
	ID           string   // not empty, one of its kind in the project
	Duration     int      // 0 for a milestone, which uses no resource
	Demand       []int    // of each resource while the task runs
	Predecessors []string // IDs of tasks that must have ended before it starts, their waits too
	Release      int      // the time before which it does not start
	Wait         int      // for how long after it nothing of its successors starts; no resource is used
}

// A TaskError is what is wrong with one task of a project.
type TaskError struct {
	Task  string
	Wrong string
}

func (e *TaskError) Error() string { return fmt.Sprintf("task %q: %s", e.Task, e.Wrong) }

// compile checks a project and turns it into the form the search works on.
func compile(p Project) (*network, error) {
	if len(p.Capacity) > MaxResources {
		return nil, fmt.Errorf("got %d resources, want at most %d", len(p.Capacity), MaxResources)
	}
	for r, c := range p.Capacity {
		if c < 0 || c > MaxCapacity {
			return nil, fmt.Errorf("capacity of resource %d: got %d, want 0 to %d", r+1, c, MaxCapacity)
		}
	}
	if len(p.Tasks) > MaxTasks {
		return nil, fmt.Errorf("got %d tasks, want at most %d", len(p.Tasks), MaxTasks)
	}
	index := make(map[string]int32, len(p.Tasks))
	total := 0
	for i, t := range p.Tasks {
		if t.ID == "" {
			return nil, fmt.Errorf("task %d has no ID", i+1)
		}
		if _, twice := index[t.ID]; twice {
			return nil, &TaskError{t.ID, "is there twice, want every ID once"}
		}
		index[t.ID] = int32(i)
		if wrong := t.wrong(p.Capacity); wrong != "" {
			return nil, &TaskError{t.ID, wrong}
		}
		if total += t.Duration + t.Release + t.Wait; total > MaxDuration {
			return nil, &TaskError{t.ID, fmt.Sprintf("durations, releases and waits up to here sum to %d, want at most %d: take a longer unit of time", total, MaxDuration)}
		}
	}
	before := make([][]int32, len(p.Tasks))
	for i, t := range p.Tasks {
		for _, id := range t.Predecessors {
			j, ok := index[id]
			switch {
			case !ok:
				return nil, &TaskError{t.ID, fmt.Sprintf("predecessor %q is not a task of the project", id)}
			case int(j) == i:
				return nil, &TaskError{t.ID, "comes after itself"}
			}
			before[i] = append(before[i], j)
		}
		slices.Sort(before[i])
		before[i] = slices.Compact(before[i])
	}
	n := newNetwork(p, before)
	if len(n.topo) < len(p.Tasks) {
		return nil, cycle(p, before, n.topo)
	}
	if slices.ContainsFunc(p.Tasks, func(t Task) bool { return t.Release > 0 || t.Wait > 0 }) {
		n = newNetwork(unfold(p, before))
	}
	n.shown = len(p.Tasks)
	return n, nil
}

func (t Task) wrong(capacity []int) string {
	for _, f := range []struct {
		name  string
		value int
	}{{"duration", t.Duration}, {"release", t.Release}, {"wait", t.Wait}} {
		if f.value < 0 || f.value > MaxDuration {
			return fmt.Sprintf("%s: got %d, want 0 to %d", f.name, f.value, MaxDuration)
		}
	}
	if len(t.Demand) != len(capacity) {
		return fmt.Sprintf("got demands of %d resources, want %d", len(t.Demand), len(capacity))
	}
	for r, d := range t.Demand {
		if d < 0 || d > capacity[r] {
			return fmt.Sprintf("demand of resource %d: got %d, want 0 to its capacity %d", r+1, d, capacity[r])
		}
	}
	return ""
}

// cycle names the tasks of one circle among those that have no place in order.
func cycle(p Project, before [][]int32, ordered []int32) error {
	placed := make([]bool, len(p.Tasks))
	for _, i := range ordered {
		placed[i] = true
	}
	at := int32(slices.Index(placed, false))
	seen := map[int32]int{}
	var path []int32
	for {
		if from, ok := seen[at]; ok {
			path = append(path[from:], at)
			break
		}
		seen[at] = len(path)
		path = append(path, at)
		for _, j := range before[at] { // one at least has no place either
			if !placed[j] {
				at = j
				break
			}
		}
	}
	slices.Reverse(path)
	var names []string
	for _, i := range path {
		names = append(names, p.Tasks[i].ID)
	}
	if len(names) > 9 {
		names = append(names[:8], "...", names[0])
	}
	return &TaskError{names[0], "comes after itself in a circle: " + strings.Join(names, " before ")}
}
