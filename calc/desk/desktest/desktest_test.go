package desktest

import (
	"testing"

	"ampwright/calc/desk"

	"github.com/stretchr/testify/require"
)

func TestTyped(t *testing.T) {
	require.Equal(t, map[string]string{"wire": "2/0 AWG", "tasks": "A 5\nB 6 after A", "by": ""}, Typed(" wire = 2/0 AWG;tasks=A 5\nB 6 after A; by="))
	require.Empty(t, Typed(""))
}

func power(w float64, formula string) []*desk.Calc {
	return []*desk.Calc{{
		Name:    "power",
		Inputs:  []desk.Input{desk.Num("batt_V", "Voltage", "V", "", 1, 100), desk.Choice("ohm", "Resistance", "2", "2", "4")},
		Outputs: []desk.Output{desk.Out("heat_W", "Heat", "W"), desk.Out("answer", "Answer", "")},
		Do: func(s *desk.Sheet) {
			s.Out("heat_W", w, formula)
			s.Say("answer", "warm")
			s.Note("by hand")
		},
	}}
}

// A line that is not what its formula says is found, whatever the words around
// it; what cannot be read is not counted.
func TestCheck(t *testing.T) {
	for _, tt := range []struct {
		w       float64
		formula string
		read    int
		wrong   string
	}{
		{72, "batt_V^2 / ohm", 1, ""}, // by hand: 12² / 2
		{72, "(batt_V + 0)^2 / ohm", 1, ""},
		{71, "batt_V^2 / ohm", 0, "power: heat_W = batt_V^2 / ohm = (12 V)^2 / 2: the line says 71, its formula 72"},
		{71, "batt_V / (ohm - 2)", 0, "division by zero"},
		{71, "of the table", 0, ""},
		{71, "batt_V^2.5", 0, ""},
		{71, "batt_A * 2", 0, ""},
	} {
		r, err := Run(power(tt.w, tt.formula), "power", "batt_V=12")
		require.NoError(t, err)
		n, err := check(r)
		require.Equal(t, tt.read, n, tt.formula)
		if tt.wrong == "" {
			require.NoError(t, err)
			continue
		}
		require.ErrorContains(t, err, tt.wrong)
	}
}

func ExampleShow() {
	Show(power(72, "batt_V^2 / ohm"), "power", "batt_V=12")
	Show(power(72, "72"), "power", "batt_V=12")
	Show(power(72, "72"), "power", "batt_V=200")
	// Output:
	// heat_W = batt_V^2 / ohm = (12 V)^2 / 2 = 72 W
	// Answer: warm
	// note: by hand
	// heat_W = 72 = 72 W
	// Answer: warm
	// note: by hand
	// power: batt_V "200": want 1 to 100 V
}
