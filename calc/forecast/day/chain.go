package day

// A chain is what the trials' critical chains add up to.
type chain struct {
	trial                         int32   // the last of them, from 1
	work, waits, parts, resources int64   // minutes
	task, rest, part, resource    []seen  // by number
	cost                          []int64 // minutes, by part
}

// seen counts the trials in which a thing is on the chain.
type seen struct{ trial, count int32 }

func newChain(n *network) *chain {
	return &chain{
		task: make([]seen, len(n.tasks)), rest: make([]seen, len(n.tasks)),
		part: make([]seen, len(n.parts)), cost: make([]int64, len(n.parts)), resource: make([]seen, len(n.rare)),
	}
}

// walk goes back from the end of a trial to today, from each task to what kept
// it from being earlier: the pieces of work before it, as far back as there were
// hands for nothing less urgent (J. Carlier, "The one-machine sequencing
// problem", European Journal of Operational Research 11 (1982) 42-47, from
// memory); there, the predecessor that ended last, with its wait, or a part, or a
// resource. It returns the part at which the chain begins, below 0 if there is none.
func (c *chain) walk(p *play) int32 {
	if len(p.tasks) == 0 {
		return -1
	}
	c.trial++
	i := p.latest()
	at := p.end[i]
	for {
		if at > p.finish[i] {
			c.waits += int64(at - p.finish[i])
			c.saw(c.rest, i)
			at = p.finish[i]
		}
		i, at = c.pieces(p, i, at)
		c.saw(c.task, i)
		from := p.start[i]
		if p.held[i] > from {
			from = p.held[i]
			c.resources += int64(from - p.start[i])
			c.saw(c.resource, p.heldBy[i])
		}
		c.work += int64(at - from)
		at = p.start[i]
		switch cause := p.cause[i]; {
		case cause == atOnce:
			return -1
		case cause <= forPart:
			k := forPart - cause
			c.parts += int64(at)
			c.saw(c.part, k)
			return k
		default:
			i = cause
		}
	}
}

// pieces goes back from piece to piece as long as hands were what was short. It
// returns the task that did not begin before for another reason, and the end of
// the time accounted for.
func (c *chain) pieces(p *play, i, at int32) (task, until int32) {
	least := i // urgent
	for k := p.last[i]; k >= 0; k-- {
		i = p.pieces[k].task
		c.saw(c.task, i)
		if k == 0 {
			break
		}
		before := p.pieces[k-1]
		if p.first[i] == k && max(p.start[i], p.held[i]) > before.to && (p.pieces[k].idle || before.task > least) {
			break
		}
		c.work += int64(at - before.to)
		at = before.to
	}
	return i, at
}

// saw counts thing i of a list, once a trial.
func (c *chain) saw(list []seen, i int32) {
	if list[i].trial != c.trial {
		list[i] = seen{c.trial, list[i].count + 1}
	}
}

// without plays the trial once more with part k here: what it costs is how much
// sooner that ends.
func (c *chain) without(p *play, k int32) {
	end, arrive := p.end[p.latest()], p.arrive[k]
	p.arrive[k] = 0
	p.run()
	c.cost[k] += int64(max(end-p.end[p.latest()], 0))
	p.arrive[k] = arrive
}

// latest returns the task that ends last.
func (p *play) latest() int32 {
	i := int32(0)
	for k, e := range p.end {
		if e > p.end[i] {
			i = int32(k)
		}
	}
	return i
}

// slacks fills days with how much later each task could have ended, the time it
// takes from start to finish unchanged.
func (p *play) slacks(late, days []int32) {
	if len(p.tasks) == 0 {
		return
	}
	end := p.end[p.latest()]
	for i := len(p.tasks) - 1; i >= 0; i-- {
		l := end
		for _, j := range p.tasks[i].after {
			l = min(l, late[j]-(p.finish[j]-p.begun(j)))
		}
		late[i] = l - p.wait[i]
		days[i] = (late[i] - p.finish[i]) / 1440
	}
}

// begun returns when work on a task began.
func (p *play) begun(i int32) int32 {
	if p.last[i] < 0 {
		return p.start[i]
	}
	return p.pieces[p.first[i]].from
}
