package model

import (
	"math"
	"slices"
	"strconv"
	"time"

	"ampwright/calc/unit"
)

// An OrderDate says when a part that is still to buy should be ordered.
type OrderDate struct {
	Part            *Part
	NeedBy, OrderBy time.Time
}

// OrderDates returns the dates to order by of the parts that open tasks want, in
// the order of the parts. A part is needed when its task can begin: after the
// likely hours still open before it, at the hours a week that are planned. It is
// to be ordered by then less its longest lead time: the likely lead and a buffer
// up to the longest. Without planned hours a week there are none.
func (b *Build) OrderDates() []OrderDate {
	if b.Week <= 0 {
		return nil
	}
	var dates []OrderDate
	for _, p := range b.Money.ToBuy {
		left := 0.0 // minutes
		for _, t := range b.Upstream(p.Task) {
			if t.Open() {
				left += math.Max(t.Estimate.Likely*60-float64(t.Logged), 0)
			}
		}
		need := b.Now.Add(time.Duration(left / float64(b.Week) * 7 * 24 * float64(time.Hour)))
		dates = append(dates, OrderDate{p, need, need.AddDate(0, 0, -p.LeadHigh)})
	}
	return dates
}

// DueOn returns the day on which a check's reading grows too old; false for a
// check that has none, or has no such age.
func (c *Check) DueOn() (time.Time, bool) {
	if c.ValidDays <= 0 || c.Current == nil || !c.Applies {
		return time.Time{}, false
	}
	return c.Current.At.Time().AddDate(0, 0, c.ValidDays), true
}

// An OdometerLine is what the odometer showed.
type OdometerLine struct {
	Fact
	At When
	Km float64
}

// makeOdometer gathers what the odometer showed. Each writing is a field of its
// own, by its moment: two devices that write are no clash.
func (b *Build) makeOdometer() {
	for _, r := range b.fields {
		w := r.Value()
		if r.What != "odometer" || r.Field != "km" || w == nil {
			continue
		}
		if km, err := strconv.ParseFloat(w.Value, 64); err == nil && km >= 0 && km < 1e7 {
			b.Odometer = append(b.Odometer, OdometerLine{w.Fact, w.At, km})
		}
	}
	slices.SortStableFunc(b.Odometer, func(x, y OdometerLine) int { return int(min(max(x.At.Unix-y.At.Unix, -1), 1)) })
}

// kmAt returns what the odometer showed last at a moment, or, before it was ever
// read, what it showed first: what was ridden before that is not known.
func (b *Build) kmAt(unix int64) float64 {
	km := 0.0
	for i, o := range b.Odometer {
		if i == 0 || o.At.Unix <= unix {
			km = o.Km
		}
	}
	return km
}

// intervals takes over when a check is due again, where that was changed.
func (b *Build) intervals(c *Check) {
	for _, side := range []struct {
		field string
		to    *int
	}{{"days", &c.ValidDays}, {"km", &c.ValidKm}} {
		if n, err := strconv.Atoi(b.regs.text("check", c.ID, side.field, "")); err == nil && n >= 0 {
			*side.to = n
		}
	}
}

// A Service is a check that falls due again.
type Service struct {
	Check  *Check
	On     time.Time // the day; zero where no age matters
	KmLeft float64   // NaN where no distance matters
	Over   bool      // it is due: its reading is stale by age or distance
}

// Services returns the checks with a reading that fall due again, those that are
// due first, then by day.
func (b *Build) Services() []Service {
	var all []Service
	for _, c := range b.Checks {
		if c.Current == nil || !c.Applies || c.ValidDays <= 0 && c.ValidKm <= 0 {
			continue
		}
		s := Service{Check: c, KmLeft: math.NaN()}
		s.On, _ = c.DueOn()
		s.Over = !s.On.IsZero() && b.Now.After(s.On)
		if c.ValidKm > 0 && len(b.Odometer) > 0 {
			s.KmLeft = float64(c.ValidKm) - (b.Odometer[len(b.Odometer)-1].Km - b.kmAt(c.Current.At.Unix))
			s.Over = s.Over || s.KmLeft < 0
		}
		all = append(all, s)
	}
	slices.SortStableFunc(all, func(x, y Service) int {
		switch {
		case x.Over != y.Over && x.Over:
			return -1
		case x.Over != y.Over:
			return 1
		case x.On.IsZero() != y.On.IsZero() && y.On.IsZero():
			return -1
		case x.On.IsZero() != y.On.IsZero():
			return 1
		}
		return x.On.Compare(y.On)
	})
	return all
}

// Soon reports whether a service is due, or will be within 30 days or in a tenth
// of its kilometres (own choice).
func (s Service) Soon(now time.Time) bool {
	return s.Over || !s.On.IsZero() && s.On.Before(now.AddDate(0, 0, 30)) || s.KmLeft < 0.1*float64(s.Check.ValidKm)
}

func doDue(x *wishing) {
	c := x.check("check")
	if c == nil {
		return
	}
	for _, field := range []string{"days", "km"} {
		if x.text(field) != "" {
			n := x.count(field, 0, 0, 1_000_000)
			x.set(WhenOf(x.desk.Now), "check", c.ID, field, strconv.FormatInt(n, 10), x.text("note"))
		}
	}
	if len(x.drafts) == 0 && len(x.errs) == 0 {
		x.fail("days", "", "want days, or kilometres with km")
	}
}

func doRide(x *wishing) {
	at := x.moment("at", x.desk.Now)
	v := x.text("km")
	if v == "" {
		return
	}
	d, err := unit.Parse(v, "km", x.st.Mark)
	if err != nil {
		x.fail("km", v, strip(err, v))
		return
	}
	if d.Float() < 0 || d.Float() >= 1e7 {
		x.fail("km", v, "want 0 to 10000000 km")
		return
	}
	if last := x.b.kmAt(at.Unix); len(x.b.Odometer) > 0 && d.Float() < last && x.b.Odometer[0].At.Unix <= at.Unix {
		x.fail("km", v, "is less than the "+strconv.FormatFloat(last, 'f', -1, 64)+" km it showed before: strike out the wrong one first")
		return
	}
	x.set(at, "odometer", strconv.FormatInt(at.Unix, 10), "km", d.String(), x.text("note"))
}
