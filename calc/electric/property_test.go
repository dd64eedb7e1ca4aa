package electric

import (
	"math"
	"testing"

	"ampwright/calc/desk/desktest"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWorking(t *testing.T) {
	desktest.Working(t, Calcs(), desktest.Options{Texts: map[string][]string{
		"wire":   {"4/0", "10 AWG", "25 mm2", "1.3 mm2", "40 AWG", "600 mm2", "10", "x"},
		"states": {"101 100 110 010 011 001", "111", "2"},
		"code":   {"IP67", "IPXXB", "IP"},
	}, Unread: map[string]string{
		"insulation-test": "it is a table", "hall-states": "it is a pattern", "ip-code": "it is a table of words",
	}})
}

// There is no electric work without something to beware of.
func TestCautions(t *testing.T) {
	for _, c := range Calcs() {
		require.NotEmpty(t, c.Cautions, c.Name)
	}
}

// The end points of ASTM B258: 0.46 in at 4/0 and 0.005 in at 36.
func TestGaugeEnds(t *testing.T) {
	require.InEpsilon(t, 0.46, AWGDiameter(-3), 1e-15)
	require.InEpsilon(t, 0.005, AWGDiameter(36), 1e-15)
}

func TestParseWire(t *testing.T) {
	for text, want := range map[string]int{
		"2/0 AWG": -1, "2/0": -1, "00": -1, "00 awg": -1, "AWG 00": -1, "4/0": -3, "0000 AWG": -3, "1/0": 0, "0 AWG": 0,
		"10 AWG": 10, "awg10": 10, "AWG 10": 10, "#10": 10, "40 AWG": 40, " 2 / 0 AWG ": -1,
	} {
		w, err := ParseWire(text)
		require.NoError(t, err, text)
		require.Equal(t, Wire{true, want, AWGArea(want)}, w, text)
	}
	for text, want := range map[string]float64{"25 mm2": 25, "25mm²": 25, "2,5 mm²": 2.5, "0.75 mm2": 0.75, "0.05 in2": 32.258} {
		w, err := ParseWire(text)
		require.NoError(t, err, text)
		require.False(t, w.Gauge)
		require.InEpsilon(t, want, w.MM2, 1e-9, text)
	}
	// A number alone could be a gauge or an area.
	for _, text := range []string{"", "10", "25", "2,5", "0", "5/0", "0/0", "10/0", "00000", "41 AWG", "-1 AWG", "+1 AWG", "AWG", "25 mm", "0 mm2", "-4 mm2", "5000 mm2", "25 V", "x"} {
		_, err := ParseWire(text)
		require.ErrorContains(t, err, `"`+text+`": want a gauge`, text)
	}
	n, err := ParseAWG("0")
	require.NoError(t, err)
	require.Equal(t, 0, n)
	for _, text := range []string{"", "25 mm2", "41", "-3", "1.5"} {
		_, err := ParseAWG(text)
		require.Error(t, err, text)
	}
}

func TestGaugeNamesAreRead(t *testing.T) {
	for n := thickestAWG; n <= thinnestAWG; n++ {
		w, err := ParseWire(AWGName(n))
		require.NoError(t, err)
		require.Equal(t, n, w.AWG)
		require.Equal(t, AWGName(n), w.String())
		got, ok := thinnerAWG(w.MM2)
		require.True(t, ok)
		require.Equal(t, n, got)
		if n > thickestAWG {
			require.Less(t, AWGArea(n), AWGArea(n-1))
		}
	}
}

// A cable of class 5 may have less copper than its size says, never so much
// that it beats solid copper; thicker has less resistance.
func TestClass5AboveSolidCopper(t *testing.T) {
	last := math.Inf(1)
	for _, c := range class5 {
		require.Greater(t, c.mohmPerM, Resistance(CopperRho, c.mm2), c.mm2)
		require.Less(t, c.mohmPerM, last, c.mm2)
		last = c.mohmPerM
	}
	_, ok := Class5(1.3)
	require.False(t, ok)
}

func TestDropIsProportional(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i, l, r := draw(t, "A", 0, 1000), draw(t, "m", 0, 100), draw(t, "mohm/m", 0, 100)
		v := VoltageDrop(i, l, r)
		require.InDelta(t, 2*v, VoltageDrop(2*i, l, r), 1e-9*(1+v))
		require.InDelta(t, 2*v, VoltageDrop(i, 2*l, r), 1e-9*(1+v))
		require.Zero(t, VoltageDrop(0, l, r))
		require.Zero(t, VoltageDrop(i, 0, r))
	})
}

// Thicker wire, hotter insulation and fewer neighbours never carry less.
func TestAmpacityGrows(t *testing.T) {
	for i, ins := range boatColumns {
		last := 0.0
		for _, row := range boatTable {
			a := BoatAmpacity(row.awg, ins, false)
			require.GreaterOrEqual(t, a, last, "%d AWG %d °C", row.awg, ins)
			require.LessOrEqual(t, BoatAmpacity(row.awg, ins, true), a)
			if i > 0 {
				require.GreaterOrEqual(t, a, BoatAmpacity(row.awg, boatColumns[i-1], false))
			}
			last = a
		}
	}
	for i, ins := range codeColumns {
		last := [3]float64{}
		for _, row := range codeTable {
			now := [3]float64{CodeAmpacity(row.awg, ins, false, false), CodeAmpacity(row.awg, ins, true, false), CodeAmpacity(row.awg, ins, false, true)}
			for k := range now {
				require.GreaterOrEqual(t, now[k], last[k], "%d AWG %d °C", row.awg, ins)
			}
			require.GreaterOrEqual(t, now[1], now[0], "free air")
			if i > 0 {
				require.GreaterOrEqual(t, now[0], CodeAmpacity(row.awg, codeColumns[i-1], false, false))
			}
			last = now
		}
	}
	require.Zero(t, CodeAmpacity(20, 75, false, false))
	require.Zero(t, CodeAmpacity(18, 60, false, false))
	require.Zero(t, BoatAmpacity(10, 100, false))
	for n := 1; n < 60; n++ {
		require.LessOrEqual(t, BoatBundle(n+1), BoatBundle(n))
		require.LessOrEqual(t, CodeBundle(n+1), CodeBundle(n))
	}
}

// NFPA 70 table 310.15(B)(2)(b), base 40 °C (read in reproduction), whole up to
// 80 °C, and table 310.15(B)(1), base 30 °C, up to 60 °C (read in reproduction).
func TestAmbientTables(t *testing.T) {
	for conductor, want := range map[float64][]float64{ // bands of 10, 15, ... °C
		60: {1.58, 1.50, 1.41, 1.32, 1.22, 1.12, 1.00, 0.87, 0.71, 0.50},
		75: {1.36, 1.31, 1.25, 1.20, 1.13, 1.07, 1.00, 0.93, 0.85, 0.76, 0.65, 0.53, 0.38},
		90: {1.26, 1.22, 1.18, 1.14, 1.10, 1.05, 1.00, 0.95, 0.89, 0.84, 0.77, 0.71, 0.63, 0.55, 0.45},
	} {
		for i, w := range want {
			upper := 10 + 5*float64(i)
			require.InDelta(t, w, TableFactor(conductor, upper, 40), 1e-9, "%g °C at %g", conductor, upper)
			require.Equal(t, TableFactor(conductor, upper, 40), TableFactor(conductor, upper-4, 40))
		}
	}
	for conductor, want := range map[float64][]float64{
		60: {1.29, 1.22, 1.15, 1.08, 1, 0.91, 0.82, 0.71, 0.58, 0.41},
		75: {1.20, 1.15, 1.11, 1.05, 1, 0.94, 0.88, 0.82, 0.75, 0.67, 0.58},
		90: {1.15, 1.12, 1.08, 1.04, 1, 0.96, 0.91, 0.87, 0.82, 0.76, 0.71},
	} {
		for i, w := range want {
			require.InDelta(t, w, TableFactor(conductor, 10+5*float64(i), 30), 1e-9, "%g °C at %d", conductor, 10+5*i)
		}
	}
	require.Zero(t, TableFactor(60, 57, 30), "the band ends at the insulation's temperature")
	require.Equal(t, 1.0, AmbientFactor(75, 30, 30))
}

func TestFuseSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := draw(t, "A", 15, 300)
		up, ok := FuseAtLeast(a)
		require.True(t, ok)
		down, ok := FuseAtMost(a)
		require.True(t, ok)
		require.LessOrEqual(t, down, a*(1+1e-9))
		require.GreaterOrEqual(t, up, a*(1-1e-9))
	})
	_, ok := FuseAtLeast(301)
	require.False(t, ok)
	_, ok = FuseAtMost(14)
	require.False(t, ok)
	for _, r := range steps {
		up, _ := FuseAtLeast(r)
		down, _ := FuseAtMost(r)
		require.Equal(t, r, up)
		require.Equal(t, r, down)
	}
}

// The closed forms against the integral of i² dt by the midpoint rule.
func TestPulseAgainstIntegral(t *testing.T) {
	const peak, base, length = 40.0, 12.0, 0.003
	for shape, current := range map[string]func(x float64) float64{ // x = t / length
		Rectangle:   func(float64) float64 { return peak },
		Ramp:        func(x float64) float64 { return peak * x },
		HalfSine:    func(x float64) float64 { return peak * math.Sin(math.Pi*x) },
		Trapezoid:   func(x float64) float64 { return peak + (base-peak)*x },
		Parabola:    func(x float64) float64 { return peak * x * x },
		Exponential: func(x float64) float64 { return peak * math.Exp(-x) },
	} {
		end := 1.0
		if shape == Exponential {
			end = 30
		}
		const n = 200000
		sum := 0.0
		for k := range n {
			i := current((float64(k) + 0.5) * end / n)
			sum += i * i
		}
		require.InEpsilon(t, sum*end/n*length, PulseI2t(shape, peak, base, length), 1e-6, shape)
	}
	require.Zero(t, PulseI2t("circle", 1, 1, 1))
	require.Zero(t, PulseShare(100001))
}

func TestPrechargePairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		level := draw(t, "level", 0.0001, 0.9999)
		require.InDelta(t, level, ChargeLevel(TimeConstants(level)), 1e-12)
		higher := draw(t, "higher", level, 0.99999)
		require.GreaterOrEqual(t, TimeConstants(higher), TimeConstants(level))
		r, c, v := draw(t, "ohm", 1, 1000), draw(t, "uF", 10, 20000), draw(t, "V", 10, 800)
		// The resistor takes what the capacitor keeps: the integral of V²/R e^(-2t/RC).
		require.InEpsilon(t, v*v/r*TimeConstant(r, c)/2, CapacitorEnergy(c, v), 1e-12)
		// A bus that falls to the rest of a level takes as long as one that rises to it.
		require.InEpsilon(t, TimeConstant(r, c)*TimeConstants(level), DischargeTime(r, c, v, v*(1-level)), 1e-9)
	})
	require.Zero(t, TimeConstants(0))
	require.Zero(t, CapacitorEnergy(0, 84))
}

func TestDischargePairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, c := draw(t, "ohm", 10, 1e5), draw(t, "uF", 10, 20000)
		v := draw(t, "V", 20, 800)
		end := draw(t, "end", 10, v*0.99)
		s := DischargeTime(r, c, v, end)
		require.InEpsilon(t, end, BusVoltage(v, r, c, s), 1e-9)
		require.InEpsilon(t, r, BleedAtMost(c, v, end, s), 1e-9)
	})
	require.Zero(t, DischargeTime(1000, 1000, 50, 60))
	require.True(t, math.IsInf(BleedAtMost(1000, 50, 60, 5), 1))
	require.Equal(t, 84.0, BusVoltage(84, 1000, 1000, 0))
}

// Readings worked from the circuit: two leakages, the voltmeter across one pole,
// then R0 beside it. The method must give back the smaller leakage whatever the
// meter, the larger one with the meter known, and 571.305 never more.
func TestIsolationFromCircuit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		vb := draw(t, "pack", 20, 400)
		weak := math.Pow(10, draw(t, "log weak", 3, 7))
		strong := weak * math.Pow(10, draw(t, "log ratio", 0, 2))
		meter := math.Pow(10, draw(t, "log meter", 6, 10))
		r0 := 500 * vb * draw(t, "r0", 0.8, 1.2)
		with := func(across, other float64, beside ...float64) float64 {
			g := 1/across + 1/meter
			for _, r := range beside {
				g += 1 / r
			}
			return vb * (1 / g) / (1/g + other)
		}
		larger, smaller, third := with(strong, weak), with(weak, strong), with(strong, weak, r0)
		require.GreaterOrEqual(t, larger, smaller)
		ri := Isolation(vb, larger, third, r0)
		require.InEpsilon(t, weak, ri, 1e-7)
		require.LessOrEqual(t, Isolation571(larger, smaller, third, r0), ri*(1+1e-7))
		if meter > strong/1000 {
			require.InEpsilon(t, strong, OtherLeakage(vb, larger, ri, meter), 1e-3)
		}
	})
	require.True(t, math.IsInf(OtherLeakage(84, 84, 1e5, math.Inf(1)), 1))
}

func TestThrottleIsHeld(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rest := draw(t, "rest", 0, 2)
		full := rest + draw(t, "span", 0.1, 3)
		a, b := draw(t, "a", -1, 6), draw(t, "b", -1, 6)
		fa, fb := Throttle(min(a, b), rest, full), Throttle(max(a, b), rest, full)
		require.True(t, 0 <= fa && fa <= fb && fb <= 1)
		require.Zero(t, Throttle(rest, rest, full))
		require.Equal(t, 1.0, Throttle(full, rest, full))
	})
}

// A turning magnet and three sensors, as they are: each sees north for half an
// electrical turn. Any order of the wires and any start is found, either way
// round; inverting the middle sensor turns one spacing into the other.
func TestHallsFromMagnet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spacing := rapid.SampledFrom([]int{120, 60}).Draw(t, "spacing")
		order := rapid.Permutation([]int{0, 1, 2}).Draw(t, "order")
		start, turns := rapid.IntRange(0, 5).Draw(t, "start"), rapid.IntRange(6, 20).Draw(t, "steps")
		back := rapid.Bool().Draw(t, "backwards")
		var states, inverted []int
		for k := range turns {
			step := start + k
			if back {
				step = start + 600 - k
			}
			state := 0
			for i, sensor := range order {
				if ((step*60+30-sensor*spacing)%360+360)%360 < 180 {
					state |= 4 >> i
				}
			}
			states = append(states, state)
			mid := 0
			for i, sensor := range order {
				if sensor == 1 {
					mid = 4 >> i
				}
			}
			inverted = append(inverted, state^mid)
		}
		got, valid, why := HallPattern(states)
		require.True(t, valid, why)
		require.Equal(t, spacing, got)
		got, valid, why = HallPattern(inverted)
		require.True(t, valid, why)
		require.Equal(t, 180-spacing, got)
		stuckAt := rapid.IntRange(0, 2).Draw(t, "stuck")
		for i := range states {
			states[i] |= 4 >> stuckAt
		}
		_, valid, _ = HallPattern(states)
		require.False(t, valid, "a stuck sensor")
	})
}

func TestHallsAgainstDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		states := rapid.SliceOfN(rapid.IntRange(0, 7), 1, 12).Draw(t, "states")
		spacing, valid, why := HallPattern(states)
		require.NotEqual(t, valid, why != "")
		require.Contains(t, []int{0, 60, 120}, spacing)
		seen := map[int]bool{}
		for _, s := range states {
			seen[s] = true
		}
		if valid {
			require.Len(t, seen, 6)
			require.Equal(t, spacing == 60, seen[0] || seen[7])
		}
	})
}

func TestReadIP(t *testing.T) {
	for text, want := range map[string]IPCode{
		"IP54":   {Solids: "dust-protected", Access: "wire (1.0 mm)", Water: "splash"},
		"ip 2X":  {Solids: "objects of 12.5 mm and more", Access: "finger-proof (12 mm by 80 mm test finger)", Water: notStated},
		"IPXXD":  {Solids: notStated, Access: "wire (1.0 mm)", Water: notStated, Letter: true},
		"IP20C":  {Solids: "objects of 12.5 mm and more", Access: "tool (2.5 mm rod)", Water: "no protection", Letter: true},
		"IP68":   {Solids: "dust-tight", Access: "wire (1.0 mm)", Water: "lasting immersion, as agreed with the maker", NoJets: true},
		"IPX9":   {Solids: notStated, Access: notStated, Water: "hot high-pressure jet", NoDip: true},
		"IP23CS": {Solids: "objects of 12.5 mm and more", Access: "tool (2.5 mm rod)", Water: "spray up to 60 degrees", Letter: true},
	} {
		got, err := ReadIP(text)
		require.NoError(t, err, text)
		require.Equal(t, want, got, text)
	}
	for _, text := range []string{"", "IP", "IP5", "54", "IP74", "IP6Z", "IP67E", "IP6K9K", "IP66/IP68", "IP54BB", "IP54HH"} {
		_, err := ReadIP(text)
		require.ErrorContains(t, err, `"`+text+`"`, text)
	}
}

func FuzzTexts(f *testing.F) {
	for _, s := range []string{"2/0 AWG", "25 mm²", "101 100", "IP54", "IPXXB", "#", "/0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if w, err := ParseWire(text); err == nil && !(w.MM2 > 0 && w.MM2 <= 1000) {
			t.Errorf("ParseWire(%q) = %+v", text, w)
		}
		if n, err := ParseAWG(text); err == nil && (n < thickestAWG || n > thinnestAWG) {
			t.Errorf("ParseAWG(%q) = %d", text, n)
		}
		if states, err := ReadHalls(text); err == nil {
			HallPattern(states)
		}
		if c, err := ReadIP(text); err == nil && c.meaning() == "" {
			t.Errorf("ReadIP(%q) says nothing", text)
		}
	})
}

func draw(t *rapid.T, name string, least, most float64) float64 {
	return rapid.Float64Range(least, most).Draw(t, name)
}
