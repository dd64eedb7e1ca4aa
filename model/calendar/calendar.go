// Package calendar writes a build's dates as iCalendar (RFC 5545): the days to
// order by, deliveries that are expected, and checks that fall due again.
package calendar

import (
	"bufio"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"ampwright/model"
)

// An Event is a whole day.
type Event struct {
	UID     string // the same in every export
	Day     string // 2006-01-02
	Summary string
	Text    string
}

// Events returns a build's dates in order.
func Events(b *model.Build) []Event {
	var all []Event
	add := func(kind, key, day, summary, text string) {
		all = append(all, Event{UID: kind + "-" + key + "-" + b.ID.String() + "@ampwright", Day: day, Summary: summary, Text: text})
	}
	for _, o := range b.OrderDates() {
		add("order-by", o.Part.ID, o.OrderBy.Format(time.DateOnly), "order by today: "+o.Part.Title,
			"needed on "+o.NeedBy.Format(time.DateOnly)+" for "+o.Part.Task.ID+", "+o.Part.Task.Title)
	}
	for _, o := range b.Orders {
		if o.Arrived == nil && o.PromiseAt != "" {
			add("order", o.ID.String(), o.PromiseAt, "expected: "+o.Label+" "+o.What, o.Vendor)
		}
	}
	for _, c := range b.Checks {
		if due, ok := c.DueOn(); ok {
			add("check", c.ID, due.Format(time.DateOnly), "measure again: "+c.Title, c.ID+" of "+c.Task.ID)
		}
	}
	slices.SortStableFunc(all, func(x, y Event) int { return strings.Compare(x.Day+x.UID, y.Day+y.UID) })
	return all
}

// Write writes a calendar. now stands in each event as the moment of the export.
func Write(w io.Writer, title string, events []Event, now time.Time) error {
	out := bufio.NewWriter(w)
	line := func(s string) { out.WriteString(fold(s)) }
	line("BEGIN:VCALENDAR")
	line("VERSION:2.0")
	line("PRODID:-//ampwright//EN")
	line("X-WR-CALNAME:" + escape(title))
	for _, e := range events {
		line("BEGIN:VEVENT")
		line("UID:" + e.UID)
		line("DTSTAMP:" + now.UTC().Format("20060102T150405Z"))
		line("DTSTART;VALUE=DATE:" + strings.ReplaceAll(e.Day, "-", ""))
		line("SUMMARY:" + escape(e.Summary))
		if e.Text != "" {
			line("DESCRIPTION:" + escape(e.Text))
		}
		line("TRANSP:TRANSPARENT")
		line("END:VEVENT")
	}
	line("END:VCALENDAR")
	return out.Flush()
}

// escape writes a text value: RFC 5545, section 3.3.11. Controls, which no value
// may hold, are left out.
func escape(s string) string {
	s = strings.NewReplacer("\r\n", `\n`, "\r", `\n`, "\n", `\n`, `\`, `\\`, ";", `\;`, ",", `\,`).Replace(s)
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' || r == 0x7f || r == utf8.RuneError {
			return -1
		}
		return r
	}, s)
}

// fold breaks a line after at most 75 octets, between characters: RFC 5545,
// section 3.1.
func fold(s string) string {
	const most = 75
	var out strings.Builder
	for room := most; len(s) > room; room = most - 1 {
		n := room
		for !utf8.RuneStart(s[n]) {
			n--
		}
		out.WriteString(s[:n] + "\r\n ")
		s = s[n:]
	}
	out.WriteString(s + "\r\n")
	return out.String()
}
