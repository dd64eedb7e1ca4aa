package schedule

// unfold turns the releases and waits of a project into tasks of their own, which
// use no resource and stand behind all others.
func unfold(p Project, before [][]int32) (Project, [][]int32) {
	none := make([]int, len(p.Capacity))
	tasks := append([]Task(nil), p.Tasks...)
	add := func(duration int, after []int32) int32 {
		tasks = append(tasks, Task{Duration: duration, Demand: none})
		before = append(before, after)
		return int32(len(tasks) - 1)
	}
	before = append([][]int32(nil), before...)
	over := make([]int32, len(p.Tasks)) // what its successors come after
	for i, t := range p.Tasks {
		over[i] = int32(i)
		if t.Wait > 0 {
			over[i] = add(t.Wait, []int32{int32(i)})
		}
	}
	for i, t := range p.Tasks {
		var list []int32
		for _, j := range before[i] {
			list = append(list, over[j])
		}
		if t.Release > 0 {
			list = append(list, add(t.Release, nil))
		}
		before[i] = list
	}
	return Project{Capacity: p.Capacity, Tasks: tasks}, before
}
