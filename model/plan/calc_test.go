package plan

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// worked is the small plan with a value that a calculation gives, and a part
// that is bought by the cell.
var worked = strings.NewReplacer(
	`ampwright-plan/1`, `ampwright-plan/2`,
	`"formula": "cells * cell_V"`, `"calc": "pack-window", "output": "pack_nom_V", "with": {"cells_series": "cells", "cell_V_nom": "cell_V"}`,
	`"qty": 1,`, `"qty": 4, "qty_of": "cells",`,
).Replace(small)

func TestCalculation(t *testing.T) {
	p, err := Load("cart.json", []byte(worked))
	require.NoError(t, err)
	d := p.Derived[0]
	require.Equal(t, "pack_V", d.ID)
	require.Empty(t, d.Formula)
	require.Equal(t, "pack-window", d.Figure.Calc.Name)
	require.Equal(t, []string{"cells", "cell_V"}, d.Names)
	v := p.Sheet().Get("half_V")
	require.Empty(t, v.Err)
	require.Equal(t, 7.0, v.Value) // by hand: 4 x 3.5 V / 2
	require.Equal(t, "cells", p.Tasks[1].Parts[0].QtyOf)
}

func TestCalculationFaults(t *testing.T) {
	const with = `"with": {"cells_series": "cells", "cell_V_nom": "cell_V"}`
	for _, tt := range []struct{ name, old, new, want string }{
		{"in the first format", `ampwright-plan/2`, `ampwright-plan/1`, `derived[1]: a calculation, want format "ampwright-plan/2" for it
tasks[1].parts[0].qty_of: "cells", want format "ampwright-plan/2" for it`},
		{"formula as well", `"calc": "pack-window"`, `"formula": "14", "calc": "pack-window"`, `derived[1]: want either formula or calc`},
		{"neither", `"calc": "pack-window", `, ``, `derived[1]: want either formula or calc`},
		{"formula with an output", `"calc": "pack-window"`, `"formula": "14"`, `derived[1]: output and with belong to a calculation, leave them out`},
		{"no such calculation", `"pack-window"`, `"pack-windows"`, `derived[1].calc: "pack-windows" is no calculation; there is `},
		{"no such output", `"pack_nom_V"`, `"pack_V"`, `derived[1].output: "pack_V" is no output of pack-window, want one of `},
		{"answer in words", `"pack_nom_V"`, `"voltage_class"`, `derived[1].output: "voltage_class" of pack-window is an answer in words, want a number`},
		{"another unit", `"title": "Pack voltage", "unit": "V"`, `"title": "Pack voltage", "unit": "mV"`, `derived[1].unit: "mV", want "V" as pack-window gives it`},
		{"unknown name", `"cell_V_nom": "cell_V"`, `"cell_V_nom": "cell_W"`, `derived[1].with.cell_V_nom: "cell_W" is not an input or derived value of the spec sheet`},
		{"input it does not rest on", `"cell_V_nom": "cell_V"`, `"cell_V_nom": "cell_V", "cell_V_max": "cell_V"`, `derived[1].with.cell_V_max: pack_nom_V of pack-window does not rest on it`},
		{"given twice", `"cell_V_nom": "cell_V"`, `"cell_V_nom": "cell_V", "cell_V_nom": "cell_V"`, `derived[1].with.cell_V_nom: given twice`},
		{"no text", `"cell_V_nom": "cell_V"`, `"cell_V_nom": 4`, `derived[1].with.cell_V_nom: 4 where text is wanted`},
		{"no object", with, `"with": ["cells"]`, `derived[1].with: a list where an object is wanted`},
		{"input in another unit", `"cell_V_nom": "cell_V"`, `"cell_V_nom": "cells"`, `derived[1]: cells is in count, want V as pack-window takes it`},
		{"input that is missing", `"calc": "pack-window", "output": "pack_nom_V", ` + with, `"calc": "flat-force", "output": "flat_force_N"`,
			`derived[1]: flat-force wants motor_peak_Nm, which is not on the spec sheet: want its name there in with`},
		{"in a circle", `"cell_V_nom": "cell_V"`, `"cell_V_nom": "half_V"`, `derived: a value is computed from itself: half_V from pack_V from half_V`},
		{"out of range", `"default": 4,`, `"default": 400.5,`, `derived[1].calc: with the defaults: pack-window: cells_series "400.5": want 1 to 400`},
		{"number of no name", `"qty_of": "cells"`, `"qty_of": "cell"`, `tasks[1].parts[0].qty_of: "cell" is not an input or derived value of the spec sheet`},
		{"another number", `"qty": 4`, `"qty": 5`, `tasks[1].parts[0].qty_of: "cells" is 4 with the defaults, want qty 5`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			require.Equal(t, 1, strings.Count(worked, tt.old))
			_, err := Load("cart.json", []byte(strings.Replace(worked, tt.old, tt.new, 1)))
			for _, line := range strings.Split(tt.want, "\n") {
				require.ErrorContains(t, err, "cart.json: "+line)
			}
		})
	}
}
