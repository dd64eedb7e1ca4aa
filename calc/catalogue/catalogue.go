// Package catalogue lists every calculation of the engineering desk.
package catalogue

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"ampwright/calc/desk"
	"ampwright/calc/electric"
	"ampwright/calc/figures"
	"ampwright/calc/mechanics"
	"ampwright/calc/pack"
	"ampwright/calc/ride"
)

// all is made when the first calculation is asked for.
var all = sync.OnceValue(func() []*desk.Calc {
	return slices.Concat(electric.Calcs(), mechanics.Calcs(), pack.Calcs(), ride.Calcs(), figures.Calcs())
})

// All returns the calculations, group by group. They are shared: they must not
// be changed.
func All() []*desk.Calc { return slices.Clone(all()) }

// Find returns a calculation by name; the error names those that are near.
func Find(name string) (*desk.Calc, error) {
	if i := slices.IndexFunc(all(), func(c *desk.Calc) bool { return c.Name == name }); i >= 0 {
		return all()[i], nil
	}
	var near []string
	for _, c := range all() {
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
	for _, c := range all() {
		for _, o := range c.Outputs {
			if o.Name == output && o.Unit == unit {
				return c
			}
		}
	}
	return nil
}
