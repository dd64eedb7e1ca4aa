package pages_test

import (
	"testing"

	"ampwright/calc/catalogue"

	"github.com/stretchr/testify/require"
)

// A calculation begins with the spec sheet's figures and shows its working with
// the numbers in it.
func TestCalcPage(t *testing.T) {
	g := heron(t)
	doc := g.page(g.at + "/calc/speed-torque-trade")
	box := find(doc, "input[name=motor_kv]")
	require.Len(t, box, 1)
	value, _ := attr(box[0], "value")
	require.Equal(t, "9.4", value)
	words := text(doc)
	require.Contains(t, words, "from the spec sheet")
	require.Contains(t, words, "9.4 rpm/V * 74 V * 1.98 m * 0.06") // by hand: 82.64 km/h
	require.Contains(t, words, "82.64 km/h")
	require.NotContains(t, words, "Change of speed", "nothing was typed for the other motor")

	// Side by side: another winding is faster and pulls less.
	doc = g.page(g.at + "/calc/speed-torque-trade?work=1&cols=2&motor_kv=9.4&motor_kv.2=18.8")
	words = text(doc)
	require.Contains(t, words, "82.64 km/h")
	require.Contains(t, words, "165.3 km/h")
	require.Contains(t, words, "152.4 N·m")
	require.Contains(t, words, "76.19 N·m")
}

// Wrong values are named beside their box, and the others stay.
func TestCalcWrong(t *testing.T) {
	g := heron(t)
	resp := g.get(g.at + "/calc/speed-torque-trade?work=1&motor_kv=0&tyre_circ_m=1.98")
	require.Equal(t, 422, resp.Status)
	words := text(parse(t, resp.Body))
	require.Contains(t, words, "“0”: want 0.1 to 20000 rpm/V")
	resp = g.get(g.at + "/calc/speed-torque-trade?work=1&motor_kv=9.4+Nm")
	require.Equal(t, 422, resp.Status)
	require.Contains(t, text(parse(t, resp.Body)), "9.4 Nm")
	require.Equal(t, 404, g.get(g.at+"/calc/perpetual-motion").Status)
}

// The desk lists every calculation with its source.
func TestCalcList(t *testing.T) {
	g := heron(t)
	doc := g.page(g.at + "/calc")
	all := catalogue.All()
	require.GreaterOrEqual(t, len(all), 50)
	for _, c := range all {
		line := find(doc, "#"+c.Name)
		require.Len(t, line, 1, c.Name)
		require.Contains(t, text(line[0]), c.Source)
	}
}

// Another series count, side by side: by hand 24 x 4.2 V = 100.8 V, and the 90 V
// controller of the demo no longer stands 5 % above it.
func TestWhatIfPage(t *testing.T) {
	g := heron(t)
	before := g.entries()
	doc := g.page(g.at + "/whatif?work=1&vary=cells_series&cells_series.1=24&cells_series.2=20")
	words := text(doc)
	require.Contains(t, words, "Highest pack voltage 84.0 V 101 V 84.0 V")
	require.Contains(t, words, "WITHIN OUT WITHIN")
	require.NotContains(t, words, "Force at the torque-arm anchor", "it does not move")
	require.Equal(t, before, g.entries())
	resp := g.get(g.at + "/whatif?work=1&vary=cells_series&cells_series.1=lots")
	require.Equal(t, 422, resp.Status)
	require.Contains(t, text(parse(t, resp.Body)), "“lots”: ")
}

// The number of cells against range and money. By hand: 20 x 3 + 6 = 66 cells, 20
// more at 11.30 to 27.20; 74 V x 63 Ah = 4.662 kWh, of which 85 % at (62.5 N +
// 0.015 x 208 kg x 9.81 m/s²) / 0.8 / 3.6 = 32.33 Wh/km last 122.6 km.
func TestWhatIfMoney(t *testing.T) {
	g := heron(t)
	words := text(g.page(g.at + "/whatif?work=1&vary=cells_parallel&vary=motor_kv&cells_parallel.1=3&motor_kv.2=9"))
	require.Contains(t, words, "Range on the usable share 81.7 km 123 km 81.7 km")
	require.Contains(t, words, "Salvaged automotive lithium cells of 20-30 Ah, in modules 46 pc 66 pc 46 pc")
	require.Contains(t, words, "Against the build as it is no difference +226.00 to +544.00 no difference")
	require.Contains(t, words, "in EUR")
	require.NotContains(t, words, "No part of this build's plan is counted")
	// Fewer cells cost less.
	words = text(g.page(g.at + "/whatif?work=1&vary=cells_series&cells_series.1=19"))
	require.Contains(t, words, "no difference -22.60 to -54.40")
}

// A value of the spec sheet leads to its calculation, asked with the sheet's own
// figures under their names there. By hand: 2 x 21 Ah.
func TestCalcOfSpecValue(t *testing.T) {
	g := heron(t)
	line := find(g.page(g.at+"/spec"), "#pack_Ah_design")[0]
	require.Contains(t, text(line), "pack_Ah_design = cells_parallel * cell_Ah_design = 2 * 21 Ah")
	require.Contains(t, text(line), "source: definition of energy")
	href, _ := attr(find(line, "a")[0], "href")
	words := text(g.page(href))
	require.Contains(t, words, "pack_Ah = cells_parallel * cell_Ah_rated = 2 * 21 Ah = 42 Ah")
}
