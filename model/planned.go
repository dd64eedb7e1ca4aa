package model

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/money"
)

// An Away is a stretch of days without work on the build, both ends included.
type Away struct {
	From, Until time.Time // midnights, UTC
	Field       *Register
}

// A Shared is a second person or a borrowed tool: there on some days only.
type Shared struct {
	Name     string // as tasks know it: "second person", or a tool
	Weekdays [7]bool
	Days     []Away // or on these
	Text     string // as written
	Field    *Register
}

// A ForSale is a thing somebody means to sell, with the price expected.
type ForSale struct {
	What      string
	Low, High money.Amount
	Field     *Register
	Sold      []*MoneyLine // what was sold under that name
}

// SecondPerson is the name under which tasks ask for another pair of eyes.
const SecondPerson = "second person"

// WantsSecond reports whether somebody else must be there: a check of the task
// is witnessed, or the plan asks for a second person.
func (t *Task) WantsSecond() bool {
	return strings.Contains(t.Competent, SecondPerson) || slices.ContainsFunc(t.Checks, func(c *Check) bool { return c.Point == "witness" })
}

// makePlanned reads what was said of days and sales to come.
func (b *Build) makePlanned() {
	for _, r := range b.fields {
		w := r.Value()
		if w == nil || w.Value == "" || w.Value == "no" {
			continue
		}
		switch r.What + "/" + r.Field {
		case "away/until":
			if a, ok := days(r.Key + ".." + w.Value); ok {
				a.Field = r
				b.Away = append(b.Away, a)
			}
		case "shared/days":
			if s, err := parseShared(r.Key, w.Value); err == nil {
				s.Field = r
				b.Shared = append(b.Shared, s)
			}
		case "sale/expected":
			low, high, ok := strings.Cut(w.Value, "/")
			l, err1 := strconv.ParseInt(low, 10, 64)
			h, err2 := strconv.ParseInt(high, 10, 64)
			if ok && err1 == nil && err2 == nil && l >= 0 && l <= h {
				f := &ForSale{What: r.Key, Low: money.Amount(l), High: money.Amount(h), Field: r}
				for _, m := range b.Money.Lines {
					if m.Kind == "sale" && strings.EqualFold(m.What, f.What) {
						f.Sold = append(f.Sold, m)
					}
				}
				b.ForSale = append(b.ForSale, f)
			}
		}
	}
	slices.SortStableFunc(b.Away, func(x, y Away) int { return x.From.Compare(y.From) })
}

// days reads "2026-12-24..2027-01-03" or a single day.
func days(text string) (Away, bool) {
	from, until, two := strings.Cut(text, "..")
	if !two {
		until = from
	}
	f, err1 := time.Parse(time.DateOnly, from)
	u, err2 := time.Parse(time.DateOnly, until)
	return Away{From: f, Until: u}, err1 == nil && err2 == nil && !u.Before(f)
}

var weekdays = map[string]time.Weekday{"sun": 0, "mon": 1, "tue": 2, "wed": 3, "thu": 4, "fri": 5, "sat": 6}

// parseShared reads the days on which something is there: weekdays ("sat sun")
// and stretches of days ("2026-12-04..2026-12-06") in any mixture.
func parseShared(name, text string) (Shared, error) {
	s := Shared{Name: name, Text: text}
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == ',' || r == ';' })
	for _, w := range words {
		if day, ok := weekdays[w[:min(len(w), 3)]]; ok {
			s.Weekdays[day] = true
		} else if a, ok := days(w); ok {
			s.Days = append(s.Days, a)
		} else {
			return s, &FieldError{"days", w, "want weekdays (sat sun) or days (2026-12-04..2026-12-06)"}
		}
	}
	if len(words) == 0 {
		return s, &FieldError{"days", text, "want weekdays (sat sun) or days (2026-12-04..2026-12-06)"}
	}
	return s, nil
}

func doAway(x *wishing) {
	from, until := x.date("from"), x.date("until")
	if until == "" {
		until = from
	}
	if from == "" {
		return
	}
	if until < from {
		x.fail("until", until, "is before "+from+": want the last day away")
	}
	if x.ticked("off") {
		until = "no"
	}
	x.set(x.moment("at", x.desk.Now), "away", from, "until", until, x.text("note"))
}

func doShared(x *wishing) {
	name, text := strings.ToLower(x.text("what")), x.text("days")
	if name != "" && name != SecondPerson && !slices.ContainsFunc(x.b.Tasks, func(t *Task) bool {
		return slices.ContainsFunc(t.Tools, func(tool string) bool { return strings.EqualFold(tool, name) })
	}) {
		x.fail("what", x.text("what"), "want second person, or a tool as the job cards name it")
	}
	if x.ticked("off") {
		text = "no"
	} else if _, err := parseShared(name, text); err != nil {
		x.fail("days", text, err.(*FieldError).Want)
	}
	x.set(x.moment("at", x.desk.Now), "shared", name, "days", text, x.text("note"))
}

func doForSale(x *wishing) {
	low := x.amount("low", x.b.Currency)
	high := low
	if x.text("high") != "" {
		high = x.amount("high", x.b.Currency)
	}
	if high < low {
		x.fail("high", x.text("high"), "is below the low price")
	}
	value := strconv.FormatInt(int64(low), 10) + "/" + strconv.FormatInt(int64(high), 10)
	if x.ticked("off") {
		value = "no"
	} else if x.text("low") == "" {
		x.fail("low", "", "want the price expected")
	}
	x.set(x.moment("at", x.desk.Now), "sale", x.text("what"), "expected", value, x.text("note"))
}
