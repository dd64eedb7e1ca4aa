package pages

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/forecast"
	"ampwright/calc/forecast/day"
	"ampwright/calc/money"
	"ampwright/client/words"
	"ampwright/model"
	"ampwright/model/ahead"
)

// forecastPage is all that forecast.html can see.
type forecastPage struct {
	*frame
	Soon   string // said in place of all else: the forecast is not there yet
	None   bool   // nothing is open
	Hours  chance
	Day    chance // the day all is done
	Money  chance
	Basis  string
	Parts  []distLine // of the hours
	Marks  []markAhead
	Stages []distLine
	Chain  string
	Week   string
	Now    []heldTask
	More   []heldTask
	Next   []taskFacts // in the order to take them
	Order  []orderBy
	Later  []orderBy
	Net    []distLine
	Rules  []basisLine
	Plain  hoursLeft
	Away   []awayLine
	Acts   []quick
	Moved  string
}

// A chance is an outlook with its picture.
type chance struct {
	Says, More string
	Dots       []dotPlot
	None       string // why there is none
}

// A distLine is a line of a table of distributions.
type distLine struct{ Title, Low, Middle, High, Mean string }

type markAhead struct{ Title, Day, Hours string }

type heldTask struct {
	Task                        taskFacts
	Critical, Slack, From, Left string
	Rest                        string
}

type orderBy struct {
	Part, Href, Need, By, Late, Chain string
	Past                              bool
}

type basisLine struct{ Name, Text string }

type awayLine struct{ Text, Href string }

func (v *visit) forecast() (Response, error) {
	p := forecastPage{frame: v.frame("forecast", "forecast"), Moved: v.at() + "/moved", Plain: v.hoursLeft()}
	o, err := v.cfg.Book.Outlook(v.b.ID)
	if err == ErrLater {
		p.Soon = err.Error()
		return v.render(statusOK, "forecast.html", p)
	}
	if err != nil {
		return Response{}, err
	}
	here := v.at() + "/forecast"
	p.None = o.Basis.Open == 0
	p.Hours, p.Day, p.Money = v.chanceOfHours(o), v.chanceOfDay(o), v.chanceOfMoney(o)
	p.Basis = words.Basis(o, v.style().Mark, v.when)
	h := &o.Hours
	p.Parts = []distLine{
		v.hoursLine("all that is left", h.Total), v.hoursLine("on the list", h.Listed),
		v.hoursLine("tasks nobody has thought of yet", h.Found), v.hoursLine("rework after finishing", h.Rework),
	}
	for _, s := range o.Stages {
		l := v.hoursLine(s.Stage.Title, s.Hours)
		l.Mean = v.percent(s.Share)
		p.Stages = append(p.Stages, l)
	}
	for _, m := range o.Marks {
		p.Marks = append(p.Marks, markAhead{m.Mark.Title, v.days(o, m.Day), words.HoursLeft(m.Hours, v.style().Mark)})
	}
	v.holding(&p, o)
	m := &o.Money
	net := func(title string, low, middle, high, mean float64) distLine {
		return distLine{title, v.amountOf(low), v.amountOf(middle), v.amountOf(high), v.amountOf(mean)}
	}
	p.Net = []distLine{
		net("still to spend", m.ToSpend.P10, m.ToSpend.P50, m.ToSpend.P90, m.ToSpend.Mean),
		net("still to come in", m.Income.P10, m.Income.P50, m.Income.P90, m.Income.Mean),
		net("net spend at the end", m.Net.P10, m.Net.P50, m.Net.P90, m.Net.Mean),
	}
	p.Rules = v.basisLines(o)
	for _, a := range v.b.Away {
		if a.Until.Before(v.now().AddDate(0, 0, -1)) {
			continue
		}
		text := v.day(a.From)
		if !a.Until.Equal(a.From) {
			text += " to " + v.day(a.Until)
		}
		p.Away = append(p.Away, awayLine{text, v.asks("away", "", here, "from", a.From.Format(time.DateOnly), "off", "yes").Href})
	}
	p.Acts = []quick{v.asks("away", "days away", here), v.asks("shared", "a helper or a borrowed tool", here), v.asks("for-sale", "something to be sold", here), v.asks("build", "hours a week, ceiling", here)}
	return v.render(statusOK, "forecast.html", p)
}

func (v *visit) percent(f float64) string { return strconv.Itoa(int(math.Round(f*100))) + " %" }

// amountOf writes a forecast of money, in minor units, to three figures.
func (v *visit) amountOf(f float64) string {
	step := 1.0
	for abs(f) >= 1000*step {
		step *= 10
	}
	return strings.TrimRight(strings.TrimSuffix(v.amount(money.Amount(math.Round(f/step)*step)), "00"), ".,")
}

func (v *visit) hoursLine(title string, d forecast.Distribution) distLine {
	n := 0
	if d.P90 < 20 {
		n = 1
	}
	return distLine{title, v.decimals(d.P10, n), v.decimals(d.P50, n), v.decimals(d.P90, n), v.decimals(d.Mean, n)}
}

func (v *visit) chanceOfHours(o *ahead.Outlook) chance {
	d := o.Hours.Total
	if o.HoursErr != nil {
		return chance{None: o.HoursErr.Error()}
	}
	if d.P90 == 0 {
		return chance{None: "no task is open"}
	}
	c := chance{Says: words.HoursLeft(d, v.style().Mark), More: words.Spread(o)}
	c.Dots = outlook{
		says: c.Says + ". Each dot is one chance in as many as there are; one in ten is below the filled ones and one in ten above.", quantile: d.Quantile,
		lines: func(from, to float64) []line {
			return roundLines(from, to, func(f float64) string { return v.decimals(f, 0) })
		},
	}.dotPlots()
	return c
}

// chanceOfDay is that of the day all is done.
func (v *visit) chanceOfDay(o *ahead.Outlook) chance {
	d := o.Day.Dates
	if o.Basis.Open == 0 {
		return chance{None: "no task is open"}
	}
	if o.DayErr != nil {
		return chance{None: o.DayErr.Error()}
	}
	c := chance{Says: words.Days(d)}
	days := o.Day.Days
	base := ahead.Day(days[0])
	c.Dots = outlook{
		says: c.Says + ", the day all is done. Each dot is one chance in as many as there are.",
		quantile: func(p float64) float64 {
			return float64(days[min(int(p*float64(len(days))), len(days)-1)] - days[0])
		},
		lines: func(from, to float64) []line {
			list := dayLines(base.AddDate(0, 0, int(from)), base.AddDate(0, 0, int(to)), 5)
			for i := range list {
				list[i].at += from
			}
			return list
		},
	}.dotPlots()
	return c
}

func (v *visit) chanceOfMoney(o *ahead.Outlook) chance {
	m := &o.Money
	if o.MoneyErr != nil {
		return chance{None: o.MoneyErr.Error()}
	}
	if m.Net.P10 == m.Net.P90 {
		return chance{None: "nothing is left to buy or to sell"}
	}
	c := chance{Says: "8 in 10: net spend at the end " + words.Ten(v.amountOf(m.Net.P10), v.amountOf(m.Net.P90))}
	out := outlook{
		quantile: m.Net.Quantile,
		lines: func(from, to float64) []line {
			return roundLines(from, to, func(f float64) string { return v.amount(money.Amount(f)) })
		},
	}
	if ceiling := v.b.Money.Ceiling; ceiling > 0 {
		c.More = "Chance of staying under the ceiling of " + v.amount(ceiling) + ": " + words.Chance(m.UnderCeiling) + "."
		out.marks = []line{{float64(ceiling), "ceiling"}}
	}
	out.says = c.Says + ". " + c.More
	c.Dots = out.dotPlots()
	return c
}

// holding fills in what holds the build up: the tasks that are on the critical
// chain in half of the trials or more, next ones first, then the others; and
// parts by when they must be ordered.
func (v *visit) holding(p *forecastPage, o *ahead.Outlook) {
	tasks := slices.Clone(o.Tasks)
	often := func(t ahead.TaskLeft) bool { return max(t.Critical, t.Resting) >= 0.5 }
	slices.SortStableFunc(tasks, func(a, b ahead.TaskLeft) int {
		if often(a) != often(b) {
			return map[bool]int{true: -1, false: 1}[often(a)]
		}
		return cmp.Or(a.Start[1]-b.Start[1], cmp.Compare(b.Critical, a.Critical))
	})
	if o.DayErr != nil {
		return
	}
	for _, t := range tasks {
		h := heldTask{
			Task: v.taskFacts(t.Task), Critical: v.percent(t.Critical), Slack: count(t.Slack, "day", "days"),
			From: v.day(ahead.Day(t.Start[0])) + " to " + v.day(ahead.Day(t.Start[2])), Left: v.decimals(t.Hours, 1),
		}
		if t.Resting >= 0.1 {
			h.Rest = "its wait " + v.percent(t.Resting)
		}
		if len(p.Now) < 8 {
			p.Now = append(p.Now, h)
		} else {
			p.More = append(p.More, h)
		}
	}
	next := o.Order()
	for _, t := range next[:min(5, len(next))] {
		p.Next = append(p.Next, v.taskFacts(t))
	}
	c := o.Day.Chain
	whole := func(f float64) string { return count(int(math.Round(f)), "day", "days") }
	p.Chain = "Along the critical chain: " + whole(c.Work) + " of work and between sessions, " + whole(c.Waits) + " of waits, " + whole(c.Parts) + " for parts"
	if c.Resources >= 0.5 {
		p.Chain += ", " + whole(c.Resources) + " for a helper or a tool"
	}
	p.Chain += " (means)."
	p.Week = v.week(o)
	parts := slices.Clone(o.Parts)
	today := v.now().Format(time.DateOnly)
	slices.SortStableFunc(parts, func(a, b ahead.PartLeft) int {
		return cmp.Or(cmp.Compare(b.Critical, a.Critical), cmp.Compare(b.TooLate, a.TooLate))
	})
	for _, k := range parts {
		l := orderBy{
			Part: k.Part.Title, Href: v.at() + "/parts#part-" + k.Part.ID, Need: v.day(ahead.Day(k.Need[0])) + " to " + v.day(ahead.Day(k.Need[2])),
			Late: words.Chance(k.TooLate), Chain: v.percent(k.Critical),
		}
		switch by := ahead.Day(k.OrderBy[0]); {
		case k.Part.State == model.PartOrdered:
			l.By = "ordered"
			if k.Part.Order.PromiseAt != "" {
				l.By += ", promised for " + v.date(k.Part.Order.PromiseAt)
			}
		case by.Format(time.DateOnly) <= today:
			l.By, l.Past = "now", true
		default:
			l.By = v.day(by)
		}
		if len(p.Order) < 10 {
			p.Order = append(p.Order, l)
		} else {
			p.Later = append(p.Later, l)
		}
	}
}

// days writes a distribution of days, or nothing where there is none.
func (v *visit) days(o *ahead.Outlook, d day.Dates) string {
	if o.DayErr != nil {
		return ""
	}
	return words.Days(d)
}

// week says at how many hours a week.
func (v *visit) week(o *ahead.Outlook) string {
	w := o.Day.Week
	return "at " + v.decimals(w[0], 0) + " to " + v.decimals(w[2], 0) + " hours a week, as you have worked"
}

// basisLines are the figures a forecast rests on.
func (v *visit) basisLines(o *ahead.Outlook) []basisLine {
	h, d, m := &o.Hours.Basis, &o.Day.Basis, &o.Money.Basis
	two := func(f float64) string { return v.decimals(f, 2) }
	lines := []basisLine{
		{"pace", "finished tasks took " + two(h.Pace.Own) + " of their estimates; that counts " + v.percent(h.Pace.Weight) + ", the rest is what is usual, " + two(h.Pace.Usual) + ": " + two(h.Pace.Used) + " is used"},
		{"tasks found on the way", count(h.FoundTasks, "task", "tasks") + ", " + v.decimals(h.FoundHours, 1) + " h; " + v.percent(h.Growth.Used) + " of all hours is used, " + v.percent(h.Growth.Usual) + " is usual"},
		{"rework", v.decimals(h.ReworkHours, 1) + " h so far; " + v.percent(h.Rework.Used) + " on top is used, " + v.percent(h.Rework.Usual) + " is usual"},
		{"hours a week", v.decimals(d.Week, 1) + " h mean of " + count(d.Weeks, "week", "weeks") + ", recent ones weighing more; " + strconv.Itoa(d.Empty) + " without work"},
		{"deliveries", count(d.Late, "order", "orders") + " came, " + v.decimals(d.MeanLate, 1) + " days late on average"},
		{"prices", count(m.Deals, "payment", "payments") + " held against the ranges of their parts: " + two(m.PriceLevel) + " of them is used"},
		{"things no part list knew", v.percent(m.Unlisted) + " on top of the list is used"},
	}
	if h.Past > 0 {
		lines = append(lines, basisLine{"past builds", count(h.Past, "finished build", "finished builds") + " of this garage"})
	}
	for _, id := range d.TooLong {
		lines = append(lines, basisLine{"long stint", id + " wants a longer stint than nine in ten of your sessions"})
	}
	return append(lines, basisLine{"usual", "how far estimates of people are off is from records of office work; for garages no open record is known. Growth, rework, late parts and prices are common practice, no published source"})
}
