package plan

import (
	"fmt"
	"strconv"
)

// A report collects what is wrong with one file.
type report struct {
	file   string
	faults []error
}

// A place is a value of the file: a field, or one of a list.
type place struct {
	report *report
	in     *place // nil for the whole file
	name   string // of a field
	nth    int    // of a list; -1 for a field
}

func (p place) field(name string) place { return place{p.report, &p, name, -1} }

func (p place) index(i int) place { return place{p.report, &p, "", i} }

// path reads like "tasks[12].checks[0].max". It is put together only for a fault.
func (p place) path() string {
	switch {
	case p.in == nil:
		return ""
	case p.nth >= 0:
		return fmt.Sprintf("%s[%d]", p.in.path(), p.nth)
	case p.in.in == nil:
		return p.name
	}
	return p.in.path() + "." + p.name
}

func (p place) errorf(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if path := p.path(); path != "" {
		text = path + ": " + text
	}
	p.report.faults = append(p.report.faults, fmt.Errorf("%s: %s", p.report.file, text))
}

// number writes v as a person would: 1000000, not 1e+06.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
