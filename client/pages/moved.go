package pages

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"ampwright/calc/money"
	"ampwright/model"
	"ampwright/model/ahead"
)

// movedPage is all that moved.html can see.
type movedPage struct {
	*frame
	Since   string
	Says    string
	Choices []link
	From    moveLine
	To      moveLine
	Moves   []moveLine
	None    string // why there is no table

	BurnUps []burnup
	Weeks   []weekLine
	Held    string
}

// A moveLine is a cause with what it did, or the medians at one end with between
// what eight in ten lie.
type moveLine struct {
	Cause, Hours, Money, Days, Tasks string
	HoursIn, MoneyIn, DaysIn         string
}

type weekLine struct{ At, Logged, Left, Truth, In, Net, Day string }

var spans = []struct {
	days int
	text string
}{{7, "a week ago"}, {14, "two weeks ago"}, {28, "four weeks ago"}, {91, "three months ago"}}

func (v *visit) moved() (Response, error) {
	p := movedPage{frame: v.frame("forecast", "why it moved")}
	days := spans[0].days
	for _, s := range spans {
		if v.req.Query.Get("since") == fmt.Sprint(s.days) {
			days = s.days
		}
	}
	for _, s := range spans {
		p.Choices = append(p.Choices, link{fmt.Sprintf("%s/moved?since=%d", v.at(), s.days), s.text, s.days == days})
	}
	since := v.now().AddDate(0, 0, -days)
	p.Since = v.moment(since)
	change, err := v.cfg.Book.Moved(v.b.ID, since)
	switch {
	case errors.Is(err, model.ErrNoBuild):
		p.None = "the build was not begun then"
	case err != nil:
		return Response{}, err
	default:
		v.moves(&p, change)
	}
	weeks, err := v.cfg.Book.Weeks(v.b.ID)
	if err != nil {
		return Response{}, err
	}
	v.weeks(&p, weeks)
	return v.render(statusOK, "moved.html", p)
}

func (v *visit) moves(p *movedPage, c ahead.Change) {
	at := func(title string, x ahead.Point) moveLine {
		return moveLine{
			Cause: title, Hours: v.decimals(x.Hours.P50, 1) + " h", Money: v.amount(cents(x.Net.P50)), Days: v.dayOf(x.Day.P50),
			HoursIn: v.decimals(x.Hours.P10, 0) + " to " + v.decimals(x.Hours.P90, 0), MoneyIn: v.amountOf(x.Net.P10) + " to " + v.amountOf(x.Net.P90),
			DaysIn: v.dayOf(x.Day.P10) + " to " + v.dayOf(x.Day.P90),
		}
	}
	p.From, p.To = at("middle then", c.From), at("middle now", c.To)
	for _, m := range c.Moves {
		l := moveLine{Cause: string(m.Cause), Hours: v.signed(v.decimals(m.Hours, 1)), Money: v.signed(v.amount(cents(m.Net))), Days: v.signed(fmt.Sprint(m.Days))}
		l.Tasks = some(m.Tasks, 4)
		p.Moves = append(p.Moves, l)
	}
	var most ahead.Move
	for _, m := range c.Moves {
		if abs(float64(m.Days)) > abs(float64(most.Days)) {
			most = m
		}
	}
	switch n := c.To.Day.P50 - c.From.Day.P50; {
	case c.To.Day.P50 == 0 || c.From.Day.P50 == 0:
		return
	case n == 0:
		p.Says = "The day stands where it stood."
	case n > 0:
		p.Says = "The day moved out by " + count(n, "day", "days")
	default:
		p.Says = "The day came nearer by " + count(-n, "day", "days")
	}
	if most.Days != 0 && c.To.Day.P50 != c.From.Day.P50 {
		p.Says += fmt.Sprintf("; most of it is %s (%s).", most.Cause, v.signed(count(most.Days, "day", "days")))
	}
}

// dayOf writes a day of a forecast; "not told" where there is none.
func (v *visit) dayOf(n int) string {
	if n == 0 {
		return "not told"
	}
	return v.day(ahead.Day(n))
}

// cents rounds an amount to the smallest coin: rounded further, causes would not
// be seen to add up.
func cents(minor float64) money.Amount { return money.Amount(math.Round(minor)) }

// signed puts a plus before what is above zero.
func (v *visit) signed(s string) string {
	if !strings.HasPrefix(s, "-") && strings.ContainsAny(s, "123456789") {
		return "+" + s
	}
	return s
}

func (v *visit) weeks(p *movedPage, weeks []ahead.Week) {
	var points []week
	in, all := 0, 0
	for i, w := range weeks {
		points = append(points, week{w.At, w.Logged, w.Logged + w.Hours.P10, w.Logged + w.Hours.P50, w.Logged + w.Hours.P90})
		l := weekLine{
			At: v.moment(w.At), Logged: v.decimals(w.Logged, 1), Left: v.decimals(w.Hours.P10, 0) + " to " + v.decimals(w.Hours.P90, 0),
			Truth: v.decimals(w.Truth, 0), Net: v.amountOf(w.Net.P10) + " to " + v.amountOf(w.Net.P90),
			Day: v.dayOf(w.Day.P10) + " to " + v.dayOf(w.Day.P90),
		}
		if i < len(weeks)-1 {
			all++
			l.In = "inside"
			if w.Truth < w.Hours.P10 {
				l.In = "fewer"
			} else if w.Truth > w.Hours.P90 {
				l.In = "more"
			} else {
				in++
			}
		}
		p.Weeks = append(p.Weeks, l)
	}
	if len(weeks) == 0 {
		return
	}
	last := weeks[len(weeks)-1]
	left := "an outcome that is not final: hours logged since, and the middle of what is left now"
	if last.Hours.P90 == 0 {
		left = "the hours that it took"
	}
	p.Held = fmt.Sprintf("In %d of %s what came of it lies inside the eight in ten of that week; about eight in ten should. What came of it is %s.", in, count(all, "week", "weeks"), left)
	p.BurnUps = v.burnups(points, fmt.Sprintf("Hours over the weeks from %s to %s: %s h logged, and the whole build thought to take %s h by the middle of the forecast, %s to %s in 8 of 10.",
		v.day(weeks[0].At), v.day(last.At), v.decimals(last.Logged, 1), v.decimals(last.Logged+last.Hours.P50, 0), v.decimals(last.Logged+last.Hours.P10, 0), v.decimals(last.Logged+last.Hours.P90, 0)))
}
