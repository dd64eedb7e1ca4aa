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

// A place is a value of the file; its path reads like "tasks[12].checks[0].max".
type place struct {
	report *report
	path   string
}

func (p place) field(name string) place {
	if p.path != "" {
		name = p.path + "." + name
	}
	return place{p.report, name}
}

func (p place) index(i int) place {
	return place{p.report, fmt.Sprintf("%s[%d]", p.path, i)}
}

func (p place) errorf(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if p.path != "" {
		text = p.path + ": " + text
	}
	p.report.faults = append(p.report.faults, fmt.Errorf("%s: %s", p.report.file, text))
}

// number writes v as a person would: 1000000, not 1e+06.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
