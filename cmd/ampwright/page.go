package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"ampwright/client/words"
	"ampwright/model"
)

const minute = "2006-01-02 15:04"

// A page writes an answer in words: lines, and rows whose columns are lined up
// with the rows above and below.
type page struct{ w *tabwriter.Writer }

func newPage(w io.Writer) *page { return &page{tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)} }

// preview prints what is about to be written: beside the answer, which is the name of
// what was written, or as the answer where nothing will be.
func (p *program) preview(dry bool, show func(pg *page)) error {
	to := p.err
	if dry {
		to = p.out
	}
	pg := newPage(to)
	show(pg)
	return pg.w.Flush()
}

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

// plain writes a line of a picture as it is.
func (p *page) plain(text string) { fmt.Fprintln(p.w, text) }

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

// figure writes a figure of zero or more with n decimals.
func (v view) figure(f float64, n int) string { return words.Figure(f, n, v.style.Mark) }

// short writes a figure with as many decimals as it has, at most two.
func (v view) short(f float64) string { return words.Short(f, v.style.Mark) }

// hours writes minutes as hours: "1.5 h", or "0.83 h" where a tenth is too coarse.
func (v view) hours(minutes int64) string { return words.Hours(minutes, v.style.Mark) }

// day writes the day of a moment by the clock face it was given by.
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
