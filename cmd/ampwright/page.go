package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"ampwright/calc/unit"
	"ampwright/model"
)

const minute = "2006-01-02 15:04"

// A page writes an answer in words: lines, and rows whose columns are lined up
// with the rows above and below.
type page struct{ w *tabwriter.Writer }

func newPage(w io.Writer) *page { return &page{tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)} }

// head writes a line over what follows, set off by an empty one.
func (p *page) head(format string, args ...any) {
	fmt.Fprint(p.w, "\n")
	p.line(format, args...)
}

// line writes a line, unless it is empty.
func (p *page) line(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); strings.TrimSpace(text) != "" {
		fmt.Fprintln(p.w, oneLine(text))
	}
}

// row writes a row, set in a little.
func (p *page) row(cells ...string) {
	for len(cells) > 1 && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	for i := range cells {
		cells[i] = oneLine(cells[i])
	}
	fmt.Fprintln(p.w, "  "+strings.Join(cells, "\t"))
}

// under writes a line that belongs to the row above it, unless text is empty.
// It ends the rows that are lined up.
func (p *page) under(label, text string) {
	if text != "" {
		fmt.Fprintln(p.w, "    "+oneLine(label+text))
	}
}

// oneLine keeps what a person typed from breaking a line or steering the
// terminal.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r < ' ', r >= 0x7f && r < 0xa0: // controls
			return ' '
		case r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x2069: // turn the order of writing
			return -1
		}
		return r
	}, s)
}

// answer writes body where JSON was asked for, else calls words.
func (p *program) answer(body any, words func(*page)) error {
	if p.json {
		return p.printJSON(body)
	}
	pg := newPage(p.out)
	words(pg)
	return pg.w.Flush()
}

// title is the first line of an answer about a build.
func (v view) title() string { return v.build.Title + ", " + v.now.Format(minute) }

// figure writes a figure of zero or more with n decimals. Halves go up; the
// sixths that estimates are made of come out of a sum a hair below.
func (v view) figure(f float64, n int) string {
	p := math.Pow10(n)
	text := strconv.FormatFloat(math.Floor(f*p+0.5+1e-6)/p, 'f', n, 64)
	if v.style.Mark == unit.Comma {
		text = strings.Replace(text, ".", ",", 1)
	}
	return text
}

// short writes a figure with as many decimals as it has, at most two.
func (v view) short(f float64) string {
	text := v.figure(f, 2)
	if strings.ContainsAny(text, ".,") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".,")
	}
	return text
}

// hours writes minutes as hours: "1.5 h", or "0.83 h" where a tenth is too coarse.
func (v view) hours(minutes int64) string {
	if minutes%6 == 0 {
		return v.figure(float64(minutes)/60, 1) + " h"
	}
	return v.figure(float64(minutes)/60, 2) + " h"
}

// clock writes a moment by the clock face it was given by.
func clock(w model.When) string {
	if w.IsZero() {
		return ""
	}
	return w.Time().Format(minute)
}

func day(w model.When) string {
	if w.IsZero() {
		return ""
	}
	return w.Time().Format(time.DateOnly)
}

// moments in JSON: nil where none was given.
func when(w model.When) *time.Time {
	if w.IsZero() {
		return nil
	}
	t := w.Time()
	return &t
}
