package electric

import (
	"fmt"
	"math/bits"
	"strings"

	"ampwright/calc/desk"
)

// ReadHalls reads the states of three hall sensors in the order seen, as
// "101 100 110": three digits of 0 or 1 each, separated by spaces or commas.
func ReadHalls(text string) ([]int, error) {
	var states []int
	for _, f := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,;>-\t\n", r) }) {
		if len(f) != 3 || strings.Trim(f, "01") != "" {
			return nil, fmt.Errorf("hall state %q: %s", f, wantHalls)
		}
		states = append(states, int(f[0]-'0')<<2|int(f[1]-'0')<<1|int(f[2]-'0'))
	}
	if len(states) == 0 || len(states) > 1000 {
		return nil, fmt.Errorf("%d hall states: %s", len(states), wantHalls)
	}
	return states, nil
}

const wantHalls = "want states of three digits 0 or 1 in the order seen, as 101 100 110 010 011 001"

// HallPattern judges the states of three hall sensors seen while the wheel is
// turned slowly one way. A motor goes through six states, one sensor changing
// at a time, and leaves out two that are opposite: 000 and 111 with the sensors
// 120 electrical degrees apart, another pair (010 and 101 in the usual order)
// with 60 degrees. spacing is 120, 60 or, where the states do not say, 0; valid
// tells that all six came round in order; why says what is wrong or missing.
func HallPattern(states []int) (spacing int, valid bool, why string) {
	var turn []int // as seen, without repeats
	var seen [8]bool
	distinct := 0
	for _, s := range states {
		if len(turn) == 0 || turn[len(turn)-1] != s {
			turn = append(turn, s)
		}
		if !seen[s] {
			seen[s] = true
			distinct++
		}
	}
	if seen[0] || seen[7] {
		spacing, why = 60, "not 120 degrees: 000 or 111 means 60 degree spacing, lost supply or a broken wire; "
	}
	for i := 1; i < len(turn); i++ {
		if n := bits.OnesCount(uint(turn[i-1] ^ turn[i])); n != 1 {
			return spacing, false, why + fmt.Sprintf("%03b to %03b: %d sensors change at once, a state was missed or a sensor fails", turn[i-1], turn[i], n)
		}
		if i > 1 && turn[i] == turn[i-2] {
			return spacing, false, why + fmt.Sprintf("%03b, %03b and back: turn one way only, or a sensor flickers", turn[i], turn[i-1])
		}
	}
	switch {
	case distinct > 6:
		return 0, false, fmt.Sprintf("%d different states, a motor has six", distinct)
	case distinct == len(turn) && distinct < 6:
		return spacing, false, why + fmt.Sprintf("%d of 6 states seen", distinct)
	case distinct < 6:
		return spacing, false, why + fmt.Sprintf("only %d different states come round: %s", distinct, stuck(turn))
	}
	for i := 6; i < len(turn); i++ {
		if turn[i] != turn[i-6] {
			return spacing, false, why + "the states do not repeat after six"
		}
	}
	for s := range 4 { // a round of six leaves out two opposite states
		if !seen[s] && !seen[7-s] {
			if s == 0 {
				return 120, true, ""
			}
			return 60, true, ""
		}
	}
	return spacing, false, why + "the two states left out are not opposite"
}

// stuck names the sensors that never changed.
func stuck(turn []int) string {
	var still []string
	for i, bit := range [...]int{4, 2, 1} {
		changed := false
		for _, s := range turn {
			changed = changed || s&bit != turn[0]&bit
		}
		if !changed {
			still = append(still, fmt.Sprintf("sensor %d never changes", i+1))
		}
	}
	if len(still) == 0 {
		return "a sensor fails"
	}
	return strings.Join(still, ", ")
}

func hallStates() *desk.Calc {
	return &desk.Calc{
		Name: "hall-states", Title: "Hall sensors of the motor: states seen", Group: groupCommission,
		Inputs: []desk.Input{
			{Name: "states", Title: "States of three digits 0 or 1 in the order seen, as 101 100 110 010 011 001", Text: true},
			desk.Choice("expected", "Spacing the controller is set to, electrical degrees", "120", "120", "60"),
		},
		Outputs: []desk.Output{
			desk.Out("spacing_deg", "Spacing, electrical degrees", "deg"), desk.Out("pattern", "Pattern", ""), desk.Out("verdict", "Sensors", ""),
		},
		Formula: []string{
			"120 degrees: six states, one sensor changes at a time, never 000 or 111",
			"60 degrees: six states, one sensor changes at a time, 000 and 111 among them, never 010 or 101 (another pair if the wires are in another order)",
		},
		Source:   "120 degrees: a published text on latching hall sensors (read); 60 degrees from memory",
		Valid:    "wheel turned slowly one way through at least one electrical turn; inverting the middle sensor turns one pattern into the other",
		Cautions: []string{"a hall fault can give full drive at once: wheel off the ground, machine strapped, low current limit, kill switch in hand"},
		Do: func(s *desk.Sheet) {
			states, err := ReadHalls(s.Text("states"))
			if err != nil {
				s.Fail("states", wantHalls)
				return
			}
			spacing, valid, why := HallPattern(states)
			if spacing > 0 && valid {
				s.Out("spacing_deg", float64(spacing), "from the two patterns left out")
			}
			pattern := why
			if valid {
				pattern = fmt.Sprintf("valid %d degrees", spacing)
			}
			s.Say("pattern", pattern)
			switch want := s.Text("expected"); {
			case valid && fmt.Sprint(spacing) == want:
				s.Say("verdict", "holds")
			case valid:
				s.Say("verdict", fmt.Sprintf("fails: %d degree sensors, the controller is set to %s", spacing, want))
			case why != "" && strings.HasSuffix(why, "of 6 states seen") && (spacing == 0 || want == "60"):
				s.Say("verdict", "not shown: "+why)
			default:
				s.Say("verdict", "fails: "+why)
			}
		},
	}
}
