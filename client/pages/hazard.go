package pages

import (
	"strings"

	"ampwright/model"
)

// A signal is a panel of hazards under one signal word.
type signal struct{ Word, Class, Text string }

// signals puts hazards under their signal words, the worst first. energised says
// that the machine is.
func signals(hazards []string, energised bool) []signal {
	var list []signal
	for s := model.WillKill; s >= model.DamagesThings; s-- {
		var these []string
		for _, h := range hazards {
			if of, _ := model.SeverityOf(h, energised); of == s {
				these = append(these, h)
			}
		}
		if len(these) > 0 {
			list = append(list, signal{s.Word(), strings.ToLower(s.Word()), strings.Join(these, ", ")})
		}
	}
	return list
}
