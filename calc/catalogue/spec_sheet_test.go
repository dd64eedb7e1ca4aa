package catalogue

import (
	"encoding/json"
	"os"
	"strconv"
	"testing"

	"ampwright/calc/formula"
	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
)

// A name means the same on the spec sheet of a build and here: with the
// sheet's values every output that the sheet has too comes out the same.
func TestAgreesWithSpecSheet(t *testing.T) {
	data, err := os.ReadFile("../../model/plan/small-motorcycle-hub.1.json")
	require.NoError(t, err)
	var plan struct {
		Inputs []struct {
			ID, Unit string
			Default  float64
		}
		Derived []struct{ ID, Unit, Formula string }
	}
	require.NoError(t, json.Unmarshal(data, &plan))
	value, units, derived := map[string]float64{}, map[string]string{}, map[string]bool{}
	for _, in := range plan.Inputs {
		value[in.ID], units[in.ID] = in.Default, in.Unit
	}
	for _, d := range plan.Derived {
		e, err := formula.Parse(d.Formula)
		require.NoError(t, err, d.ID)
		v, err := e.Eval(func(name string) (float64, bool) { v, ok := value[name]; return v, ok })
		require.NoError(t, err, d.ID)
		value[d.ID], units[d.ID], derived[d.ID] = v, d.Unit, true
	}
	compared := map[string]bool{}
	for _, c := range All() {
		typed := map[string]string{}
		for _, in := range c.Inputs {
			if v, ok := value[in.Name]; ok && !in.List && len(in.Choices) == 0 {
				v, err := unit.Convert(v, units[in.Name], in.Unit)
				if err == nil { // rho is a resistivity too
					typed[in.Name] = strconv.FormatFloat(v, 'f', -1, 64)
				}
			}
		}
		res, err := c.Run(typed, unit.Style{})
		if err != nil {
			continue // it wants what no sheet has
		}
		for _, o := range res.Out {
			if derived[o.Name] {
				want, err := unit.Convert(value[o.Name], units[o.Name], o.Unit)
				require.NoError(t, err)
				require.InEpsilon(t, want, o.Number, 1e-8, "%s: %s", c.Name, o.Name)
				compared[o.Name] = true
			}
		}
	}
	for _, name := range []string{
		"pack_max_V", "pack_charge_V", "pack_nom_V", "pack_min_V", "cell_count", "pack_mohm", "short_A", "sag_V",
		"top_noload_kmh", "drag_N", "roll_N", "wh_km", "range_km", "energy_need_kWh", "charge_h", "cost_per_100km_cents",
	} {
		require.True(t, compared[name], "%s was not compared", name)
	}
}
