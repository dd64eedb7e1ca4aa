package bring

import (
	"fmt"
	"strings"

	"ampwright/calc/unit"
)

// hours reads a line of an hours sheet.
func (r *reader) hours(d *draft, date, area string) {
	what := r.get(d.row, "what")
	worked, from, to := r.get(d.row, "hours"), r.get(d.row, "start"), r.get(d.row, "end")
	if m := r.get(d.row, "minutes"); m != "" && worked == "" {
		worked = m
		if !strings.ContainsAny(m, "hm:") {
			worked += " min"
		}
	}
	if worked == "" && from == "" && to == "" {
		d.out("no hours stand in it")
		return
	}
	day, clock := r.day(d, "date", date)
	start, end := -1, -1
	if from != "" || to != "" {
		var okFrom, okTo bool
		start, okFrom = readHour(from)
		end, okTo = readHour(to)
		if start == end && okTo && worked != "" { // the hours say how long
			end = -1
		} else if !okFrom || !okTo || start == end {
			d.wrong("from “%s” to “%s”: want two times of day such as 14:00 and 16:30", from, to)
			return
		}
	} else if clock != "" {
		start, _ = readClock(clock)
	} else if a, b, ok := strings.Cut(strings.NewReplacer("–", "-", "—", "-", " to ", "-").Replace(worked), "-"); ok {
		s, okFrom := readClock(a)
		e, okTo := readClock(b)
		if okFrom && okTo && s != e && strings.ContainsAny(a, ":.amp") { // 14:00-16:30 in the column of hours
			start, end, worked = s, e, ""
		}
	}
	minutes := 0
	if end >= 0 {
		if end < start {
			end += 24 * 60
			d.odd("runs past midnight")
		}
		minutes = end - start - r.rest(d, end-start)
	}
	if worked != "" {
		n, err := readHours(worked, r.desk.Mark)
		switch {
		case err != nil:
			d.wrong("%v", err)
		case minutes > 0 && n != minutes:
			d.odd("%s, but from %s to %s is %s: the first counts", r.hoursText(n), from, to, r.hoursText(minutes))
		}
		minutes = n
	}
	if minutes > 16*60 {
		d.odd("%s in one day", r.hoursText(minutes))
	}
	if d.State == Wrong {
		return
	}
	task, note := r.task(d, area, what)
	d.wish = "hours"
	d.set("hours", fmt.Sprintf("%d min", minutes))
	d.set("at", at(day, start))
	if start < 0 {
		r.upcoming(d, "date", day)
	}
	d.set("task", task)
	d.set("who", r.get(d.row, "who"))
	d.set("note", join(note, what, r.get(d.row, "note")))
	if task != "" {
		d.set("changes", r.opt.Changes)
	}
	d.says = []string{day, fmt.Sprint(start), fmt.Sprint(minutes), what, area, r.get(d.row, "who")}
	onto := "no task"
	if task != "" {
		onto = task
	}
	d.Says = fmt.Sprintf("%s on %s, %s", r.hoursText(minutes), onto, d.values["at"][0])
}

// rest returns the minutes of a break between start and end; a bare number is
// minutes. What the hours say has it taken off already.
func (r *reader) rest(d *draft, between int) int {
	text := r.get(d.row, "break")
	if text == "" || text == "0" {
		return 0
	}
	worked := text
	if !strings.ContainsAny(text, "hHmM:.,½¼¾") {
		worked += " min"
	}
	n, err := readHours(worked, r.desk.Mark)
	switch {
	case err != nil:
		d.wrong("break “%s”: want the time it took, such as 15, 15 min or 0:30", text)
	case n >= between:
		d.wrong("break “%s” is all of the %s it stands in", text, r.hoursText(between))
	default:
		d.Why = append(d.Why, fmt.Sprintf("less a break of %d min", n))
	}
	return n
}

func (r *reader) hoursText(minutes int) string {
	return unit.Format(float64(minutes)/60, "h", unit.Style{Mark: r.desk.Mark})
}
