package schedule

import "slices"

// Orders returns orders in which the tasks of a project can be taken, each a
// list of places in p.Tasks with predecessors first: one by each priority rule;
// then that of the shortest timetable found, as [Shortest] does; then that of the
// same timetable with all tasks as late as they may be, the most pressing of them
// first. No order stands twice.
//
// They are for work that will not go by a timetable, as no work does that takes
// longer or shorter than was thought: which of them is best can then be tried.
func Orders(p Project, limit int) ([][]int, error) {
	n, err := compile(p)
	if err != nil || n.shown == 0 {
		return nil, err
	}
	var orders [][]int
	list := make([]int32, len(n.duration))
	for _, rule := range n.ranks(forward) {
		n.draw(forward, rule, nil, list)
		orders = n.addOrder(orders, list)
	}
	start, span, _, b := n.search(limit)
	b.byStart(forward, start, span, list)
	orders = n.addOrder(orders, list)
	b.mirror(start, span)
	b.byStart(backward, start, span, list)
	span = b.build(backward, list, start)
	b.mirror(start, span)
	b.byStart(forward, start, span, list)
	return n.addOrder(orders, list), nil
}

// addOrder adds what list says of the tasks of the project itself.
func (n *network) addOrder(orders [][]int, list []int32) [][]int {
	order := make([]int, 0, n.shown)
	for _, i := range list {
		if int(i) < n.shown {
			order = append(order, int(i))
		}
	}
	if slices.ContainsFunc(orders, func(o []int) bool { return slices.Equal(o, order) }) {
		return orders
	}
	return append(orders, order)
}
