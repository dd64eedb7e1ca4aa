package day

import (
	"cmp"
	"slices"
)

// Simulate plays a project in a number of trials, 1 to [MaxTrials]; 2000 are
// plenty. The error names what of the project cannot be used.
func Simulate(p Project, trials int) (Outlook, error) {
	if err := p.check(trials); err != nil {
		return Outlook{}, err
	}
	n, err := compile(p)
	if err != nil {
		return Outlook{}, err
	}
	tables := newTables()
	if n, err = n.inOrder(p.Seed, tables); err != nil {
		return Outlook{}, err
	}
	return n.simulate(p, trials, tables)
}

func (n *network) simulate(p Project, trials int, tables *tables) (Outlook, error) {
	marks, err := n.marks(p)
	if err != nil {
		return Outlook{}, err
	}
	t := newTally(n, marks, trials)
	one := newPlay(n, tables)
	for k := range trials {
		one.draw(p.Seed, k, trials)
		t.add(one, k, one.run())
	}
	return t.outlook(p), nil
}

// marks returns the tasks of each mark.
func (n *network) marks(p Project) ([][]int32, error) {
	tasks := make(map[string]int, len(p.Tasks))
	for i, t := range p.Tasks {
		tasks[t.ID] = int(n.number[i])
	}
	var ids []string
	var list [][]int32
	for _, m := range p.Marks {
		ids = append(ids, m.ID)
		some, err := places("mark", m.ID, "task", m.Tasks, tasks)
		if err != nil {
			return nil, err
		}
		list = append(list, some)
	}
	_, err := index("mark", ids)
	return list, err
}

// A tally keeps what is counted of the trials, by thing and trial.
type tally struct {
	*network
	trials               int
	days                 []int32
	start, finish, slack [][]int32
	need, spare          [][]int32 // spare: days from when it is needed back to when it takes to come
	tooLate              []int32
	mark                 [][]int32
	marks                [][]int32 // tasks
	week                 []int32   // minutes
	chain                *chain
	late, slackNow       []int32 // of one trial, by task
}

func newTally(n *network, marks [][]int32, trials int) *tally {
	t := &tally{network: n, trials: trials, marks: marks, chain: newChain(n),
		days: make([]int32, trials), week: make([]int32, trials), tooLate: make([]int32, len(n.parts)),
		late: make([]int32, len(n.tasks)), slackNow: make([]int32, len(n.tasks))}
	table := func(things int) [][]int32 {
		all := make([]int32, things*trials)
		rows := make([][]int32, things)
		for i := range rows {
			rows[i] = all[i*trials : (i+1)*trials]
		}
		return rows
	}
	t.start, t.finish, t.slack = table(len(n.tasks)), table(len(n.tasks)), table(len(n.tasks))
	t.need, t.spare = table(len(n.parts)), table(len(n.parts))
	t.mark = table(len(marks))
	return t
}

// add counts trial k, which ended or did not.
func (t *tally) add(p *play, k int, ended bool) {
	t.week[k] = int32(p.offered / max(p.weeksOn, 1))
	last := int32(0)
	for i, e := range p.end {
		last = max(last, e)
		t.start[i][k] = Horizon
		if p.finish[i] < never {
			t.start[i][k] = p.begun(int32(i)) / 1440
		}
		t.finish[i][k] = p.finish[i] / 1440
	}
	t.days[k] = last / 1440
	for m, tasks := range t.marks {
		last := int32(0)
		for _, i := range tasks {
			last = max(last, p.end[i])
		}
		t.mark[m][k] = last / 1440
	}
	for i := range t.parts {
		need := int32(Horizon)
		for _, j := range t.parts[i].users {
			if w := p.wanted[j]; w >= 0 {
				need = min(need, w/1440)
			}
		}
		arrive := p.arrive[i] / 1440
		t.need[i][k] = need
		t.spare[i][k] = need - (arrive - t.parts[i].ordered)
		if arrive > need {
			t.tooLate[i]++
		}
	}
	if !ended {
		return // slack 0
	}
	part := t.chain.walk(p)
	p.slacks(t.late, t.slackNow)
	for i, s := range t.slackNow {
		t.slack[i][k] = s
	}
	if part >= 0 && t.chain.part[part].count%4 == 1 { // the first and every fourth; it takes as long as the trial
		t.chain.without(p, part)
	}
}

func (t *tally) outlook(p Project) Outlook {
	var s sorter
	o := Outlook{Dates: s.dates(p.Now, t.days)}
	slices.Sort(t.days)
	for _, d := range t.days {
		o.Days = append(o.Days, p.Now+int(d))
	}
	share := func(s seen) float64 { return float64(s.count) / float64(max(t.chain.trial, 1)) }
	for i := range p.Tasks {
		k := t.number[i]
		var slack [1]int
		s.quantiles(t.slack[k], three[1:2], slack[:])
		o.Tasks = append(o.Tasks, TaskDays{
			Start: s.three(p.Now, t.start[k]), Finish: s.three(p.Now, t.finish[k]),
			Critical: share(t.chain.task[k]), Resting: share(t.chain.rest[k]), Slack: slack[0],
		})
	}
	for i := range p.Parts {
		o.Parts = append(o.Parts, t.partDays(p, int(t.part[i]), &s))
	}
	for _, n := range t.chain.resource {
		o.Resources = append(o.Resources, share(n))
	}
	for _, days := range t.mark {
		o.Marks = append(o.Marks, s.dates(p.Now, days))
	}
	const day = 1440
	n := float64(max(t.chain.trial, 1)) * day
	o.Chain = Chain{float64(t.chain.work) / n, float64(t.chain.waits) / n, float64(t.chain.parts) / n, float64(t.chain.resources) / n}
	var week [3]int
	s.quantiles(t.week, three, week[:])
	for i, m := range week {
		o.Week[i] = float64(m) / 60
	}
	o.Order = t.order(o.Tasks)
	o.Basis = t.basis(p)
	return o
}

// order returns the tasks with work left by the middle of their starts, those of
// one day in the order of work.
func (t *tally) order(days []TaskDays) []int {
	var list []int
	for i, k := range t.number {
		if t.tasks[k].share > 0 {
			list = append(list, i)
		}
	}
	slices.SortFunc(list, func(a, b int) int {
		return cmp.Or(days[a].Start[1]-days[b].Start[1], int(t.number[a]-t.number[b]))
	})
	return list
}

func (t *tally) partDays(p Project, k int, s *sorter) PartDays {
	q, c := &t.parts[k], t.chain
	d := PartDays{
		Need:     s.three(p.Now, t.need[k]),
		TooLate:  float64(t.tooLate[k]) / float64(t.trials),
		Critical: float64(c.part[k].count) / float64(max(c.trial, 1)),
		Cost:     float64(c.cost[k]) / 1440 / float64(max((c.part[k].count+3)/4, 1)),
	}
	if !q.here && !q.dated && q.ordered >= 0 {
		s.quantiles(t.spare[k], []int{10, 20}, d.OrderBy[:])
		d.OrderBy[0] += p.Now
		d.OrderBy[1] += p.Now
	}
	return d
}

func (t *tally) basis(p Project) Basis {
	w := t.weeks
	b := Basis{Weeks: w.record, Empty: w.empty, Week: w.mean / 60, Late: len(p.Late)}
	for _, d := range p.Late {
		b.MeanLate += float64(d)
	}
	b.MeanLate /= float64(max(len(p.Late), 1))
	for _, i := range byID(len(p.Tasks), func(i int) string { return p.Tasks[i].ID }) {
		if x := p.Tasks[i]; x.Hours > 0 && int32(x.MinStint) > w.longish {
			b.TooLong = append(b.TooLong, x.ID)
		}
	}
	return b
}
