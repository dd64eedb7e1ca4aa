package model

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ampwright/calc/unit"
)

// Sure is the field by which a person confirms a reading that was read back.
const Sure = "sure"

// outByTen is how far from the expected figure a reading is read back before it
// is written down: 8 times or an eighth, so that a slipped decimal mark or a
// wrong prefix is caught. Out-by-ten slips: Thimbleby and Cairns 2010; the 8 is
// our own choice.
const outByTen = 8

// Nominal returns the figure a reading of the check is expected near, and where
// it is from; "" if nothing says. In this order: the middle of a limit with two
// sides; the check's own last reading within limits, for that is of this very
// machine; the plan's example; the target. A limit with one side alone says
// nothing: a good reading may be far inside it.
func (c *Check) Nominal() (v float64, from string) {
	if c.Kind != Measurement {
		return 0, ""
	}
	if c.Min != nil && c.Max != nil && c.Min.Value*c.Max.Value > 0 {
		return (c.Min.Value + c.Max.Value) / 2, "the middle of the limit"
	}
	for _, r := range slices.Backward(c.Readings) {
		if m := median(r.Points); r.Measured == Within && !r.Derived && m != 0 {
			return m, "the reading of " + r.At.Time().Format("2 Jan 2006")
		}
	}
	if c.ExamplePass != nil && *c.ExamplePass != 0 {
		return *c.ExamplePass, "the plan's example"
	}
	if c.Target != nil && c.Target.Err == "" && c.Target.Value != 0 {
		return c.Target.Value, "the target"
	}
	return 0, ""
}

func median(list []float64) float64 {
	if len(list) == 0 {
		return 0
	}
	s := slices.Sorted(slices.Values(list))
	if n := len(s); n%2 == 0 {
		return (s[n/2-1] + s[n/2]) / 2
	}
	return s[len(s)/2]
}

// ReadBack says which values, as they were typed, look out by ten and ought to be
// read again; "" if none does, or if they cannot be read at all.
func (c *Check) ReadBack(typed []string, st unit.Style) string {
	var values []unit.Decimal
	for _, text := range typed {
		d, err := unit.Parse(text, c.Unit, st.Mark)
		if err != nil {
			return ""
		}
		values = append(values, d)
	}
	return c.readBack(values, st)
}

// readBack says which values look out by ten; "" if none does. Zero is never
// one: no slip of a decimal mark makes it.
func (c *Check) readBack(values []unit.Decimal, st unit.Style) string {
	nominal, from := c.Nominal()
	if from == "" {
		return ""
	}
	var odd []string
	for i, d := range values {
		ratio := math.Abs(d.Float() / nominal)
		if ratio == 0 || ratio < outByTen && ratio > 1.0/outByTen {
			continue
		}
		text := unit.FormatDecimal(d, c.Unit, st)
		if len(values) > 1 {
			text = "point " + c.PointLabel(i) + ", " + text + ","
		}
		odd = append(odd, text+" is "+times(ratio)+" that")
	}
	if len(odd) == 0 {
		return ""
	}
	if len(odd) > 3 {
		odd = append(odd[:3], fmt.Sprintf("%d more like that", len(odd)-3))
	}
	return fmt.Sprintf("expected about %s (%s); %s: read the instrument again", unit.Format(nominal, c.Unit, st), from, strings.Join(odd, ", "))
}

// times writes a ratio far from one: "10 times", "1/10 of".
func times(ratio float64) string {
	if ratio < 1 {
		return "1/" + strconv.FormatFloat(round2(1/ratio), 'f', -1, 64) + " of"
	}
	return strconv.FormatFloat(round2(ratio), 'f', -1, 64) + " times"
}

// round2 keeps two figures.
func round2(v float64) float64 {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 2, 64), 64)
	return v
}

// PointLabel names a point of a check, counted from 0.
func (c *Check) PointLabel(i int) string {
	if i < len(c.Points) {
		return c.Points[i]
	}
	return strconv.Itoa(i + 1)
}
