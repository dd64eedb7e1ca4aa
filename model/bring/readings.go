package bring

import (
	"fmt"
	"slices"
	"strings"

	"ampwright/calc/unit"
	"ampwright/model"
)

// readings reads a sheet of readings, as [ampwright/model/tables] writes it: a
// line for each value. Lines of one moment and check are one reading.
func (r *reader) readings() {
	type group struct {
		check *model.Check
		at    string
		rows  []int
		value []string
	}
	var groups []*group
	of := map[string]*group{}
	for i := r.first; i < len(r.rows); i++ {
		if blank(r.rows[i]) {
			continue
		}
		line := Line{Number: i + 1, State: New}
		d := &draft{Line: &line, row: i}
		c := r.checkNamed(r.get(i, "check"))
		switch text := r.get(i, "value"); {
		case slices.Contains(r.opt.Without, i+1):
			d.out("left out, as you said")
		case r.isHead(i):
			d.out("the header again")
		case c == nil:
			d.wrong("“%s” is no check of this build", r.get(i, "check"))
		case text == "":
			d.out("no value stands in it")
		default:
			day, clock := r.day(d, "date", r.get(i, "date"))
			minute := -1
			if t := r.get(i, "time"); t != "" {
				clock = t
			}
			if clock != "" {
				var ok bool
				if minute, ok = readClock(clock); !ok {
					d.wrong("time “%s”: want a time of day such as 14:00", clock)
				}
			}
			value := r.readingValue(d, c, text)
			if d.State == Wrong {
				break
			}
			r.upcoming(d, "date", day)
			g := &group{check: c, at: at(day, minute)}
			key := strings.Join([]string{g.at, c.ID, r.get(i, "entry"), r.get(i, "with"), r.get(i, "note")}, "\x00")
			if old := of[key]; old != nil && (c.ScreenNeed != "" || len(old.value) < max(c.Want, 1)) {
				g = old
			} else {
				of[key], groups = g, append(groups, g)
			}
			g.rows, g.value = append(g.rows, i), append(g.value, value)
			d.Says = "a value of " + c.ID
		}
		r.put(i, line)
	}
	for _, g := range groups {
		r.reading(g.check, g.at, g.rows, g.value)
	}
}

func (r *reader) checkNamed(text string) *model.Check {
	i := slices.IndexFunc(r.build.Checks, func(c *model.Check) bool { return strings.EqualFold(c.ID, text) })
	if i < 0 {
		return nil
	}
	return r.build.Checks[i]
}

// readingValue writes a value so that it is read back with its unit.
func (r *reader) readingValue(d *draft, c *model.Check, text string) string {
	if c.Kind != model.Measurement {
		return strings.ToLower(text)
	}
	in := r.get(d.row, "unit")
	if in == "" {
		in = c.Unit
	}
	if !unit.Known(in) {
		d.wrong("unit “%s”: want one this program knows, such as V, ohm, Nm, mm", in)
		return ""
	}
	v, err := unit.Parse(text, in, r.desk.Mark)
	if err != nil {
		d.wrong("value: %v", err)
	}
	return decimal(v) + " " + unit.Symbol(in)
}

// reading puts a reading at the first of its lines.
func (r *reader) reading(c *model.Check, at string, rows []int, values []string) {
	l := r.line(rows[0])
	first := rows[0]
	if id, err := model.ParseID(r.get(first, "entry")); err == nil {
		if e, ok := r.build.Entry(id); ok && e.Build == r.build.ID { // a table that this program wrote
			for _, i := range rows {
				r.line(i).State = Here
			}
			l.Why = append(l.Why, "entry "+id.Short()+" of this logbook")
			return
		}
	}
	if c.Want > 1 && c.ScreenNeed == "" && len(values) != c.Want {
		l.State, l.Why = Wrong, append(l.Why, fmt.Sprintf("%s wants %d values, the sheet has %d of %s", c.ID, c.Want, len(values), at))
		return
	}
	w := map[string][]string{"check": {c.ID}, "value": values, "at": {at}, model.Sure: {"yes"}}
	for name, field := range map[string]string{"instrument": "with", "witness": "witness", "seen": "seen"} {
		if v := r.get(first, field); v != "" {
			w[name] = []string{v}
		}
	}
	if c.Kind == model.Measurement {
		if odd := c.ReadBack(values, r.build.Settings.Style()); odd != "" {
			r.odd(first, "%s", odd)
		}
	} else {
		delete(w, model.Sure)
	}
	for _, name := range []string{"before", "after"} {
		v := r.get(first, name)
		switch {
		case v == "" && c.Proof:
			l.State, l.Why = Wrong, append(l.Why, fmt.Sprintf("%s is missing: what the tester showed on a known source", name))
		case v != "" && c.Proof:
			w[name] = []string{r.readingValue(&draft{Line: l, row: first}, c, v)}
		}
	}
	note := r.get(first, "note")
	if by := r.get(first, "by"); by != "" {
		note = join(note, "read by "+by)
	}
	if note != "" {
		w["note"] = []string{note}
	}
	says := append([]string{c.ID, at}, values...)
	said := strings.Join(says, "\x00")
	r.seen[said]++
	key := model.RowKey(r.kind.name, says, r.seen[said])
	l.Says, l.Row = fmt.Sprintf("reading of %s, %s: %s", c.ID, at, strings.Join(values, ", ")), &model.Row{Key: key, Line: first + 1, Wish: "read", Values: w}
	if r.build.HasRow(key) {
		for _, i := range rows {
			r.line(i).State = Here
		}
		l.Why = append(l.Why, "in the logbook already")
	}
}
