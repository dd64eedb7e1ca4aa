package day

import "math/bits"

// patience is how long a task waits for a session long enough for its shortest
// useful stint, in minutes; then it is worked on in what there is (common
// practice, no published source).
const patience = 14 * 1440

// Causes of a start, besides the number of a predecessor.
const (
	atOnce  = -1 // nothing before it
	forPart = -2 // part k is forPart-k
)

const never = int32(Horizon * 1440)

// A play is one trial. Times are minutes from the first minute of today. It is
// used again for the next trial.
type play struct {
	*network
	*tables
	key uint64

	// Drawn.
	raw     []float64
	minutes []int32 // of work
	wait    []int32
	arrive  []int32 // by part
	level   int64   // of all sessions, in 1/65536

	// As it goes, by task.
	left         []int32 // minutes of work
	open         []int32 // predecessors not ended
	ready        []int32 // predecessors have ended
	start        []int32 // parts are here too
	finish, end  []int32 // end: the wait is over too
	cause        []int32 // of start
	wanted       []int32 // reached for, parts or not; below 0 is not yet
	held, heldBy []int32 // kept back until by resource
	first, last  []int32 // pieces of work, last below 0 for none

	pieces  []piece
	idle    bool
	could   []uint64 // set of tasks that can be worked on
	lack    []uint64 // that lack nothing but parts, and were not reached for yet
	blocked []uint64 // whose resource is not there today
	coming  []coming
	soon    int32   // the next of them
	ended   []int32 // tasks to be passed on to those after them
	toDo    int     // tasks with work left
	offered int64   // minutes of whole weeks played
	weeksOn int64   // number of them
}

type piece struct {
	task, from, to int32
	idle           bool // hands had nothing to do before it
}

// coming says at what time a task may go on.
type coming struct{ at, task int32 }

func newPlay(n *network, t *tables) *play {
	size := len(n.tasks)
	p := &play{network: n, tables: t, arrive: make([]int32, len(n.parts)), raw: make([]float64, size)}
	for _, list := range []*[]int32{&p.minutes, &p.wait, &p.left, &p.open, &p.ready, &p.start, &p.finish, &p.end,
		&p.cause, &p.wanted, &p.held, &p.heldBy, &p.first, &p.last} {
		*list = make([]int32, size)
	}
	for _, set := range []*[]uint64{&p.could, &p.lack, &p.blocked} {
		*set = make([]uint64, n.words)
	}
	return p
}

// run plays the trial that was drawn, and reports whether it ends.
func (p *play) run() bool {
	copy(p.left, p.minutes)
	clear(p.could)
	clear(p.lack)
	clear(p.held)
	p.pieces, p.coming, p.soon = p.pieces[:0], p.coming[:0], never
	p.toDo, p.offered, p.weeksOn, p.idle = 0, 0, 0, false
	for i := range p.tasks {
		p.open[i] = int32(len(p.tasks[i].before))
		p.ready[i], p.cause[i] = 0, atOnce
		p.finish[i], p.end[i], p.start[i] = never, never, never
		p.wanted[i], p.last[i] = -1, -1
		if p.minutes[i] > 0 {
			p.toDo++
		}
	}
	for i := range p.tasks {
		if len(p.tasks[i].before) == 0 {
			p.free(int32(i))
		}
	}
	p.passOn()
	row := len(p.weeks.rows)
	for day := range int32(Horizon) {
		if day%7 == 0 {
			row = p.week(row, uint64(day/7))
		}
		if p.toDo == 0 {
			break
		}
		minutes := int32(int64(p.weeks.rows[row][day%7]) * p.level >> 16)
		if day == 0 {
			minutes -= p.weeks.worked
		}
		if minutes > 0 && !p.away[day] {
			p.session(day, min(minutes, maxSession))
		}
	}
	if p.toDo > 0 {
		return false
	}
	for _, e := range p.end {
		if e >= never {
			return false
		}
	}
	return true
}

// week takes the next week of sessions.
func (p *play) week(row int, number uint64) int {
	row = p.weeks.next(row, mix(p.key^(golden*(number+1))))
	for _, m := range p.weeks.rows[row] {
		p.offered += int64(m) * p.level >> 16
	}
	p.weeksOn++
	return row
}

// free lets a task go whose predecessors have ended.
func (p *play) free(i int32) {
	at := p.ready[i]
	for _, k := range p.tasks[i].parts {
		if p.arrive[k] > at {
			at = p.arrive[k]
			p.cause[i] = forPart - k
		}
	}
	p.start[i] = at
	if p.minutes[i] == 0 { // nothing to be done by hand
		p.wanted[i], p.first[i] = p.ready[i], -1
		p.over(i, at)
		return
	}
	p.coming = append(p.coming, coming{p.ready[i], i})
	p.soon = min(p.soon, p.ready[i])
}

// over ends the work on a task.
func (p *play) over(i, at int32) {
	p.finish[i], p.end[i] = min(at, never), min(at+p.wait[i], never)
	p.ended = append(p.ended, i)
}

// passOn tells those after the tasks that ended.
func (p *play) passOn() {
	for len(p.ended) > 0 {
		i := p.ended[len(p.ended)-1]
		p.ended = p.ended[:len(p.ended)-1]
		end := p.end[i]
		for _, j := range p.tasks[i].after {
			if end > p.ready[j] {
				p.ready[j], p.cause[j] = end, i
			}
			if p.open[j]--; p.open[j] == 0 {
				p.free(j)
			}
		}
	}
}

// arrivals brings in what may go on by now.
func (p *play) arrivals(now int32) {
	p.soon = never
	keep := p.coming[:0]
	for _, c := range p.coming {
		w, bit := c.task/64, uint64(1)<<(c.task%64)
		switch {
		case p.start[c.task] <= now:
			p.could[w] |= bit
			p.lack[w] &^= bit
			continue
		case c.at <= now && c.at < p.start[c.task]:
			p.lack[w] |= bit
			c.at = p.start[c.task]
		}
		p.soon = min(p.soon, c.at)
		keep = append(keep, c)
	}
	p.coming = keep
}

// session works for some minutes of a day.
func (p *play) session(day, minutes int32) {
	now := day*1440 + startsAt
	stop := now + minutes
	p.missing(day)
	for now < stop {
		if p.soon <= now {
			p.arrivals(now)
		}
		i := p.pick(now, stop)
		p.reach(i, now)
		if i < 0 {
			p.idle = true
			if p.soon >= stop {
				return
			}
			now = p.soon
			continue
		}
		if p.wanted[i] < 0 {
			p.wanted[i] = now
		}
		n := min(p.left[i], stop-now)
		if p.last[i] < 0 {
			p.first[i] = int32(len(p.pieces))
		}
		p.last[i] = int32(len(p.pieces))
		p.pieces = append(p.pieces, piece{i, now, now + n, p.idle})
		p.idle = false
		now += n
		if p.left[i] -= n; p.left[i] == 0 {
			p.could[i/64] &^= 1 << (i % 64)
			p.over(i, now)
			p.passOn()
			if p.toDo--; p.toDo == 0 {
				return
			}
		}
	}
}

// pick returns the most urgent task that can be worked on now, below 0 if there
// is none.
func (p *play) pick(now, stop int32) int32 {
	for w, set := range p.could {
		for set &^= p.blocked[w]; set != 0; set &= set - 1 {
			i := int32(w*64 + bits.TrailingZeros64(set))
			if min(p.stints[i], p.left[i]) <= stop-now || now-p.start[i] >= patience {
				return i
			}
		}
	}
	return -1
}

// reach notes which parts are missed: those of tasks more urgent than i, or of
// all if i is below 0.
func (p *play) reach(i, now int32) {
	for w, set := range p.lack {
		for ; set != 0; set &= set - 1 {
			k := int32(w*64 + bits.TrailingZeros64(set))
			if i >= 0 && k > i {
				return
			}
			p.wanted[k] = now
			p.lack[w] &^= 1 << (k % 64)
		}
	}
}

// missing finds the tasks whose resources are not there today.
func (p *play) missing(day int32) {
	if len(p.rare) == 0 {
		return
	}
	p.arrivals(day*1440 + startsAt)
	clear(p.blocked)
	for r, x := range p.rare {
		if x.there[day] {
			continue
		}
		for w, set := range x.tasks {
			p.blocked[w] |= set
			for set &= p.could[w]; set != 0; set &= set - 1 {
				i := w*64 + bits.TrailingZeros64(set)
				if p.last[i] < 0 {
					p.held[i], p.heldBy[i] = (day+1)*1440, int32(r)
				}
			}
		}
	}
}
