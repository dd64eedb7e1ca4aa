package model

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
)

// Label returns what people call a device: its name, with the first letters of its
// replica where others have that name too, such as its copies and what it was before
// a restore. A device that is not among them is called by these letters alone.
func Label(devices []Device, replica uuid.UUID) string {
	short := replica.String()[:8]
	at := slices.IndexFunc(devices, func(d Device) bool { return d.Replica == replica })
	if at < 0 || devices[at].Name == "" || devices[at].Name == short {
		return short
	}
	name := devices[at].Name
	if slices.ContainsFunc(devices, func(d Device) bool { return d.Name == name && d.Replica != replica }) {
		return name + " (" + short + ")"
	}
	return name
}

// Next returns the labels of the devices that continue one under new names: of
// several, its files were copied.
func Next(devices []Device, replica uuid.UUID) []string {
	var labels []string
	for _, d := range devices {
		if d.Was == replica && replica != uuid.Nil {
			labels = append(labels, Label(devices, d.Replica))
		}
	}
	return labels
}

// Twice says of a device that was duplicated, in words, what happened and what
// became of the copies.
func (f *Fork) Twice(next []string) string {
	became := "each copy takes a name of its own once it hears of the other"
	switch len(next) {
	case 0:
	case 1:
		became = "one copy goes on as " + next[0] + ", the other takes a name of its own once it hears of it"
	default:
		became = "the copies go on as " + strings.Join(next, " and ")
	}
	return fmt.Sprintf("exists twice: its files were copied, or a backup put back, and both wrote on under one name; from entry no. %d on there are %d lines, which end in %s; all are kept; %s", f.Number, len(f.Heads), headsText(f.Heads), became)
}

// Apart writes how far two clocks are apart, to the second below two hours, to the
// minute below two days, to the hour above: "4 min 05 s", "5 h 02 min", "3 days 4 h".
func Apart(offset time.Duration) string {
	s := int64(offset.Round(time.Second).Abs() / time.Second)
	const hour, day = 3600, 24 * 3600
	switch {
	case s < 60:
		return fmt.Sprintf("%d s", s)
	case s < 2*hour:
		return fmt.Sprintf("%d min %02d s", s/60, s%60)
	case s < 2*day:
		return fmt.Sprintf("%d h %02d min", s/hour, s%hour/60)
	}
	return fmt.Sprintf("%d days %d h", s/day, s%day/hour)
}
