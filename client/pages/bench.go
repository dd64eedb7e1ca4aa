package pages

import (
	"fmt"
	"strconv"

	"ampwright/client/words"
	"ampwright/model"
)

// benchPage is all that bench.html can see.
type benchPage struct {
	*frame
	Clocks   []clockBand
	AtHand   *atHand
	Rules    []rule
	RuleSays string
	Stages   []stageLine

	Choices []link
	Fits    []taskFacts
	NoFit   string
	Hand    []handLine
	Rest    []taskFacts

	Shut    []checkFacts // doors shut behind finished work, that are not stale
	HeldUp  []taskFacts  // tasks that could go on but for a hold
	Waiting string       // the ones further on
	Stale   []checkFacts
	Service []serviceLine
	Late    []lateLine
	Raise   []findingLine // nonconformances that nobody has taken up
	Ask     []findingLine // questions
	NCRs    []ncrLine
	Punch   []punchLine

	Ahead, Net, Day chance
	Basis, Week     string
	Money           moneyLeft
	Marks           []markLine

	HeldStamp stamp
}

type clockBand struct {
	Task taskFacts
	Says string
	Off  quick
}

type handLine struct {
	taskFacts
	OnOff, Half quick
}

type lateLine struct {
	Label, What, Days, Blocks, Promised string
	Href                                string
	Came                                quick
}

// A stageLine is a stage in the table under the rule.
type stageLine struct {
	Key, Title, Tasks, Logged, Rework, Estimate, Ratio string
}

type markLine struct {
	Title, Open string
	Day         string // eight in ten
	Reached     bool
}

// stints are the times a person has, in minutes.
var stints = []struct {
	minutes int
	text    string
}{{30, "half an hour"}, {60, "an hour"}, {120, "two hours"}, {480, "a day"}}

func (v *visit) bench() (Response, error) {
	p := benchPage{frame: v.frame("bench", "bench"), HeldStamp: held}
	here := v.at() + "/"
	b := v.b
	for _, c := range b.Hours.Clocks {
		if t := b.Task(c.Task); t != nil {
			facts := v.taskFacts(t)
			p.Clocks = append(p.Clocks, clockBand{facts, facts.Clock, v.clock(t, here)})
		}
	}
	p.AtHand = v.atHand()
	p.Rules = v.rules()
	if len(p.Rules) > 0 {
		p.RuleSays = p.Rules[0].Says
	}
	p.Stages = v.stageLines()
	v.benchFits(&p)
	for _, t := range b.Tasks {
		if t.State == model.InHand && t.Open() {
			p.Hand = append(p.Hand, handLine{v.taskFacts(t), v.clock(t, here), v.half(t, here)})
		}
		if !t.RestUntil.IsZero() {
			p.Rest = append(p.Rest, v.taskFacts(t))
		}
	}
	v.benchHeld(&p)
	for _, c := range b.Stale() {
		p.Stale = append(p.Stale, v.checkFacts(c))
	}
	p.Service = v.serviceLines()
	for _, o := range b.LateOrders() {
		p.Late = append(p.Late, v.lateLine(o))
	}
	p.Raise, p.Ask = v.openFindings()
	p.NCRs = v.openNCRs()
	p.Punch = v.openPunches()
	p.Money = v.moneyLeft()
	if err := v.benchAhead(&p); err != nil {
		return Response{}, err
	}
	return v.render(statusOK, "bench.html", p)
}

// benchAhead answers how much is left, and until when.
func (v *visit) benchAhead(p *benchPage) error {
	days := map[string]string{}
	switch o, err := v.cfg.Book.Outlook(v.b.ID); err {
	case nil:
		p.Ahead, p.Net, p.Day = v.chanceOfHours(o), v.chanceOfMoney(o), v.chanceOfDay(o)
		p.Basis, p.Week = words.Basis(o, v.style().Mark, v.whenDay), v.week(o)
		for _, m := range o.Marks {
			days[m.Mark.ID] = v.days(o, m.Day)
		}
	case ErrLater:
		p.Ahead.None, p.Day.None = err.Error(), err.Error()
	default:
		return err
	}
	for _, m := range v.b.Marks {
		p.Marks = append(p.Marks, markLine{m.Title, count(len(m.Open), "task", "tasks"), days[m.ID], m.Reached})
	}
	return nil
}

// benchFits answers what fits in the time a person has.
func (v *visit) benchFits(p *benchPage) {
	minutes, err := strconv.Atoi(v.req.Query.Get("fit"))
	if err != nil || minutes < 1 || minutes > 24*60 {
		minutes = stints[0].minutes
	}
	for _, s := range stints {
		p.Choices = append(p.Choices, link{v.at() + "/?fit=" + strconv.Itoa(s.minutes), s.text, s.minutes == minutes})
	}
	for _, t := range v.b.Fits(minutes) {
		p.Fits = append(p.Fits, v.taskFacts(t))
	}
	if len(p.Fits) == 0 {
		p.NoFit = "no task that can go on now is useful in so short a time"
		open := 0
		for _, t := range v.b.Tasks {
			if t.Open() {
				open++
			}
		}
		if open == 0 {
			p.NoFit = "no task is open"
		}
	}
}

// benchHeld answers what is held, and why.
func (v *visit) benchHeld(p *benchPage) {
	var further []string
	for _, t := range v.b.Tasks {
		if t.State == model.Finished {
			for _, c := range shutDoors(t) {
				if c.Verdict != model.Stale {
					p.Shut = append(p.Shut, v.checkFacts(c))
				}
			}
		}
		if len(t.Held) == 0 {
			continue
		}
		if t.Ready {
			p.HeldUp = append(p.HeldUp, v.taskFacts(t))
		} else {
			further = append(further, t.ID)
		}
	}
	if len(further) > 0 {
		p.Waiting = "further on the same and other holds stop " + some(further, 2)
	}
}

func (v *visit) lateLine(o *model.OrderLine) lateLine {
	l := lateLine{
		Label: o.Label, What: o.What, Days: count(o.DaysLate, "day late", "days late"), Promised: v.date(o.PromiseAt),
		Href: v.at() + "/parts#order-" + o.Label, Blocks: "blocks nothing that is open",
		Came: v.asks("arrive", "it came", v.at()+"/", "order", o.Label),
	}
	var keys []string
	for _, t := range o.Blocks {
		keys = append(keys, t.ID+" "+words.Lower(t.Title))
	}
	if len(keys) > 0 {
		l.Blocks = "blocks " + some(keys, 3)
	}
	return l
}

func (v *visit) stageLines() []stageLine {
	var lines []stageLine
	for _, s := range v.b.Hours.Stages {
		l := stageLine{
			Key: s.Stage.ID, Title: s.Stage.Title, Tasks: fmt.Sprintf("%d of %d", s.Finished, s.Finished+s.Open),
			Logged: v.decimals(s.Logged, 1), Estimate: v.decimals(s.Estimate, 1),
		}
		if s.Rework > 0 {
			l.Rework = v.decimals(s.Rework, 1)
		}
		if r := s.Ratio(); r > 0 {
			l.Ratio = v.decimals(r, 2)
		}
		lines = append(lines, l)
	}
	if n := v.b.Hours.NoTask; n > 0 {
		lines = append(lines, stageLine{Title: "no task", Logged: v.hoursOnly(n)})
	}
	return lines
}
