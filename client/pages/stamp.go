package pages

import (
	"strings"

	"ampwright/model"
)

// A stamp is where something stands, as it is stamped on paper: a word, and a
// shape that tells it from the others where the colour does not.
type stamp struct{ Word, Shape string }

var verdictShapes = map[model.Verdict]string{
	model.NotTaken: "none", model.Within: "within", model.Out: "out", model.NotShown: "doubt", model.Incomplete: "part",
	model.Stale: "stale", model.Conceded: "conceded", model.Superseded: "past",
}

func verdictStamp(v model.Verdict) stamp {
	word := map[model.Verdict]string{model.Within: "WITHIN", model.Out: "OUT"}[v]
	if word == "" {
		word = strings.ToUpper(string(v))
	}
	return stamp{word, verdictShapes[v]}
}

// checkStamp stamps a check by what it is worth today.
func checkStamp(c *model.Check) stamp {
	if !c.Applies {
		return stamp{"DOES NOT APPLY", "past"}
	}
	if c.Verdict == model.Within && !c.Cleared() {
		return stamp{"NO WITNESS", "held"}
	}
	s := verdictStamp(c.Verdict)
	if c.Kind != model.Measurement && c.Verdict == model.Within {
		s.Word = "SEEN"
	}
	return s
}

var held = stamp{"HELD", "held"}

func taskStamp(t *model.Task) stamp {
	switch t.State {
	case model.Finished:
		return stamp{"FINISHED", "within"}
	case model.NotNeeded:
		return stamp{"NOT NEEDED", "past"}
	case model.InHand:
		return stamp{"IN HAND", "hand"}
	case model.Ready:
		return stamp{"READY", "ready"}
	}
	return stamp{"WAITING", "none"}
}

func partStamp(s model.PartState) stamp {
	shape := map[model.PartState]string{
		model.PartWanted: "none", model.PartOrdered: "hand", model.PartHere: "ready", model.PartFitted: "within",
		model.PartSold: "past", model.PartNo: "past",
	}[s]
	return stamp{strings.ToUpper(string(s)), shape}
}
