// Package catalogue lists every calculation of the engineering desk.
package catalogue

import (
	"fmt"
	"strings"

	"ampwright/calc/desk"
	"ampwright/calc/electric"
	"ampwright/calc/figures"
	"ampwright/calc/mechanics"
	"ampwright/calc/pack"
	"ampwright/calc/ride"
)

// All returns the calculations, group by group.
func All() []*desk.Calc {
	var all []*desk.Calc
	for _, part := range [][]*desk.Calc{
		electric.Calcs(),
		mechanics.Calcs(),
		pack.Calcs(),
		ride.Calcs(),
		figures.Calcs(),
	} {
		all = append(all, part...)
	}
	return all
}

// Find returns a calculation by name; the error names those that are near.
func Find(name string) (*desk.Calc, error) {
	var near []string
	for _, c := range All() {
		if c.Name == name {
			return c, nil
		}
		for n := min(len(name), 6); n >= 3; n-- {
			if strings.Contains(c.Name, name[:n]) {
				near = append(near, c.Name)
				break
			}
		}
	}
	if len(near) > 0 {
		return nil, fmt.Errorf("%q is no calculation; there is %s", name, strings.Join(near, ", "))
	}
	return nil, fmt.Errorf("%q is no calculation: ampwright calc --list shows them", name)
}

// Gives returns the first calculation with an output of this name and unit, or
// nil: names are those of the spec sheet, so it is where a value of the sheet
// shows its working and its source.
func Gives(output, unit string) *desk.Calc {
	for _, c := range All() {
		for _, o := range c.Outputs {
			if o.Name == output && o.Unit == unit {
				return c
			}
		}
	}
	return nil
}
