package pages

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/money"
	"ampwright/calc/unit"
	"ampwright/client/words"
	"ampwright/model"
)

func (v *visit) style() unit.Style { return v.set.Style() }

// decimals writes f with n decimals and the garage's decimal mark.
func (v *visit) decimals(f float64, n int) string { return words.Figure(f, n, v.style().Mark) }

// hours writes minutes as hours: "1.5 h", or "0.83 h" where a tenth is too coarse.
func (v *visit) hours(minutes int64) string { return words.Hours(minutes, v.style().Mark) }

func (v *visit) hoursOnly(minutes int64) string { return strings.TrimSuffix(v.hours(minutes), " h") }

// short writes hours of an estimate with as many decimals as they have, at
// most two: "0.25", "3".
func (v *visit) short(h float64) string { return words.Short(h, v.style().Mark) }

// three writes a three-point estimate: "3 / 8 / 14 h".
func (v *visit) three(h model.Hours3) string {
	return v.short(h.Low) + " / " + v.short(h.Likely) + " / " + v.short(h.High) + " h"
}

// minutes writes a running time: "2 h 05 min", "28 min".
func minutesText(d time.Duration) string {
	m := int(d / time.Minute)
	if m < 60 {
		return strconv.Itoa(m) + " min"
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}

func (v *visit) amount(a money.Amount) string {
	return a.Format(v.b.Currency, v.style().Mark)
}

func (v *visit) now() time.Time { return v.cfg.Book.Now() }

// day writes a date, with its year where that is not this one.
func (v *visit) day(t time.Time) string {
	if t.Year() == v.now().Year() {
		return t.Format("2 Jan")
	}
	return t.Format("2 Jan 2006")
}

func (v *visit) moment(t time.Time) string { return v.day(t) + t.Format(" 15:04") }

func (v *visit) whenDay(w model.When) string {
	if w.IsZero() {
		return ""
	}
	return v.day(w.Time())
}

func (v *visit) when(w model.When) string {
	if w.IsZero() {
		return ""
	}
	return v.moment(w.Time())
}

// stamped writes when an entry was written, in the zone of this device.
func (v *visit) stamped(s model.Stamp) string { return v.moment(s.Time().In(v.now().Location())) }

// date writes a day kept as 2006-01-02; anything else as it is.
func (v *visit) date(s string) string {
	if t, err := time.Parse(time.DateOnly, s); err == nil {
		return v.day(t)
	}
	return s
}

// count writes a number of things: "1 task", "3 tasks".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// some joins at most n of list, and says how many more there are.
func some(list []string, n int) string {
	if len(list) <= n {
		return strings.Join(list, ", ")
	}
	return strings.Join(list[:n], ", ") + fmt.Sprintf(" and %d more", len(list)-n)
}
