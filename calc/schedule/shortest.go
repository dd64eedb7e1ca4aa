package schedule

// A Timetable says when each task of a project starts.
type Timetable struct {
	Starts    []int // of Project.Tasks, in that order; units of time from 0
	Makespan  int   // when the last task ends, waits included
	Bound     int   // no timetable ends earlier; Makespan itself if that is proven the shortest
	Schedules int   // how many schedules were made to find it
}

// exactTasks is up to how many tasks, milestones left out, a project is solved
// exactly; each release and each wait counts as one.
const exactTasks = 12

// Shortest returns the shortest timetable found among at most limit schedules;
// with limit 0, among about 60000 of 120 tasks, and more of fewer tasks. It ends
// early when Bound is met. A project that cannot be done is an error, a
// [*TaskError] where one task is to blame.
func Shortest(p Project, limit int) (Timetable, error) {
	n, err := compile(p)
	if err != nil {
		return Timetable{}, err
	}
	starts, span, bound, b := n.search(limit)
	t := Timetable{Makespan: int(span * n.unit), Bound: int(bound * n.unit), Schedules: b.count, Starts: make([]int, n.shown)}
	for i := range t.Starts {
		t.Starts[i] = int(starts[i] * n.unit)
	}
	return t, nil
}

// search returns the starts and the makespan of the shortest timetable found, and
// a bound; limit is that of [Shortest].
func (n *network) search(limit int) (starts []int32, span, bound int32, b *builder) {
	long := 0
	for _, d := range n.duration {
		if d > 0 {
			long++
		}
	}
	exact := long <= exactTasks && len(n.duration) <= 64
	if limit <= 0 {
		limit = n.usual()
	}
	if exact {
		limit = min(limit, 500)
	}
	s := newSearch(n, limit)
	s.run()
	if exact && s.span > s.bound {
		s.span, s.best = n.exact(s.span, s.best)
		s.bound = s.span
	}
	return s.best, s.span, s.bound, s.builder
}

// usual is how many schedules to make if nobody says: as many as take the time
// of 60000 schedules of 120 tasks of 1 to 10 units, about 0.4 s on a desk
// computer of the 2020s.
func (n *network) usual() int {
	return min(max(10_000_000/(1+len(n.duration)+int(n.total)/15), 100), 150_000)
}
