package pages

import (
	"slices"
	"strings"
)

// A signal is a panel of hazards under one signal word. WARNING: could result
// in death or serious injury; CAUTION: in minor or moderate injury (ANSI
// Z535.4, from memory).
type signal struct{ Word, Class, Text string }

// moderate are the hazards of the plans that are no more than that. Which they
// are is the builder's own judgement, no published source; what is not listed
// counts as the worse kind.
var moderate = []string{"brake dust", "hot surfaces", "lifting", "pinch", "sharp edges", "shock from tester"}

// signals puts hazards under their signal words, the worse first.
func signals(hazards []string) []signal {
	var worse, rest []string
	for _, h := range hazards {
		if slices.Contains(moderate, h) {
			rest = append(rest, h)
		} else {
			worse = append(worse, h)
		}
	}
	var list []signal
	if len(worse) > 0 {
		list = append(list, signal{"WARNING", "warning", strings.Join(worse, ", ")})
	}
	if len(rest) > 0 {
		list = append(list, signal{"CAUTION", "caution", strings.Join(rest, ", ")})
	}
	return list
}
