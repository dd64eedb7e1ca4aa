package bms_test

import (
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"runtime"
	"strings"
	"testing"

	"ampwright/calc/bms"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func read(t testing.TB, text string) *bms.Run {
	r, err := bms.Read(context.Background(), strings.NewReader(text), bms.Options{})
	require.NoError(t, err)
	return r
}

// A run by hand: 10 s at rest at 80 V, 60 s at 20 A and 78 V, 10 s of 5 A back at
// 81 V, then rest. Energy by the trapezoidal rule: 78*20*59 s, and half a step
// at either end of it.
func steady(sep, mark string, sign float64) string {
	var out strings.Builder
	fmt.Fprintf(&out, "Time%[1]sPack V%[1]sCurrent%[1]sCell 1%[1]sCell 2%[1]sT1\n", sep)
	line := func(at int, v, a, c1, c2, temp float64) {
		text := fmt.Sprintf("%d|%.2f|%.2f|%.3f|%.3f|%.1f\n", at, v, a*sign, c1, c2, temp)
		out.WriteString(strings.NewReplacer("|", sep, ".", mark).Replace(text))
	}
	for at := range 120 {
		switch {
		case at < 10:
			line(at, 80, 0, 4.000, 4.002, 20)
		case at < 70:
			line(at, 78, 20, 3.900, 3.930, 25.5)
		case at < 80:
			line(at, 81, -5, 4.050, 4.060, 25)
		default:
			line(at, 80, 0, 3.998, 4.001, 24)
		}
	}
	return out.String()
}

func TestByHand(t *testing.T) {
	for _, tt := range []struct {
		sep, mark string
		sign      float64
	}{{",", ".", 1}, {",", ".", -1}, {";", ",", 1}, {"\t", ",", -1}, {";", ".", -1}} {
		r := read(t, "\xef\xbb\xbf"+strings.ReplaceAll(steady(tt.sep, tt.mark, tt.sign), "\n", "\r\n"))
		require.Equal(t, 120, r.Rows)
		require.Equal(t, 2, r.Cells)
		require.EqualValues(t, tt.sign, r.Sign, "the pack sags under load")
		require.InDelta(t, 119, r.Seconds, 1e-9)
		require.InDelta(t, 20, r.Discharge, 1e-9)
		require.InDelta(t, 5, r.Charge, 1e-9)
		require.InDelta(t, 5, r.Regen, 1e-9)
		require.InDelta(t, 2, r.Sag, 1e-9)
		require.InDelta(t, 0.003, r.RestSpread, 1e-9)
		require.InDelta(t, 0.003, r.MostRest, 1e-9)
		require.InDelta(t, 0.030, r.MostLoad, 1e-9)
		require.InDeltaSlice(t, []float64{3.998, 4.001}, r.Rest, 1e-9)
		require.InDelta(t, 25.5, r.Hottest, 1e-9)
		// by hand: 59 steps of 1560 W; from 0 to 1560 W in one; from 1560 to -405 W in
		// one, of which 1560/1965 above zero
		out := (59*1560 + 1560.0/2 + 1560.0/2*1560/1965) / 3600
		back := (9*405 + 405.0/2 + 405.0/2*405/1965) / 3600
		require.InDelta(t, out, r.OutWh, 1e-9)
		require.InDelta(t, back, r.BackWh, 1e-9)
		require.InDelta(t, (out-back)/0.5, r.WhPerKm(0.5), 1e-9)
		require.Empty(t, r.Odd)
		require.NoError(t, xml.Unmarshal([]byte(r.Picture()), new(struct{})))
	}
}

// Each trap of the trade once (common practice, no published source).
func TestTraps(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		rows       int
		odd        []string
		seconds    float64
	}{
		{"header again", "time,voltage,current\n0,80,1\n1,80,1\ntime,voltage,current\n2,80,1\n3,80,1\n", 4, []string{"line 4: the header again, as after a reconnection"}, 2},
		{"clock back", "time,voltage,current\n100,80,1\n101,80,1\n5,80,1\n6,80,1\n", 4, []string{"line 4: the clock runs back"}, 2},
		{"clock ahead", "time,voltage,current\n0,80,1\n1,80,1\n4000,80,1\n", 3, []string{"line 4: the clock jumps ahead by more than a minute"}, 1},
		{"cut short", "time,voltage,current\n0,80,1\n1,80,1\n2,8", 2, []string{"line 4: the last line is cut short: left out"}, 1},
		{"missing cells", "time,voltage,current,c1,c2,c3\n0,12,1,3.9,0,65535\n1,12,1,3.9,,4.0\n", 2, []string{"2 times, first in line 2: cells without a value (empty, 0 or 65535)"}, 1},
		{"unreadable time", "time,voltage,current\nnoon,80,1\n1,80,1\n2,80,1\n", 2, []string{"line 2: a time that cannot be read: left out"}, 1},
		{"impossible", "time,voltage,current\n0,65535,1\n1,80,1\n", 2, []string{"line 2: a pack voltage or current that cannot be: left out"}, 1},
		{"words above", "logger 3\nfirmware 1\n\ntime;volts;current\n0;80;1\n1;80;1\n", 2, nil, 1},
		{"dates", "timestamp,voltage,current\n2026-12-31 23:59:59,80,1\n2027-01-01 00:00:00,80,1\n2027-01-01T00:00:01.500,80,1\n", 3, nil, 2.5},
		{"days first", "date,voltage,current\n28.02.2028 23:59:58,80,1\n29.02.2028 00:00:00,80,1\n", 2, nil, 2},
		{"milliseconds", "ms,voltage,current\n0,80,1\n500,80,1\n1500,80,1\n", 3, nil, 1.5},
		{"no time", "voltage,current\n80,1\n80,1\n", 2, []string{"line 2: no column of times: taken for a line a second"}, 1},
		{"other columns", "time,voltage,current\n0,80,1\ntime,current,voltage\n1,2,79\n2,2,79\n", 3, []string{"line 3: another header: columns are read by it from here on"}, 1},
	} {
		r := read(t, tt.text)
		require.Equal(t, tt.rows, r.Rows, tt.name)
		require.InDelta(t, tt.seconds, r.Seconds, 1e-9, tt.name)
		var odd []string
		for _, o := range r.Odd {
			odd = append(odd, o.String())
		}
		require.Equal(t, tt.odd, odd, tt.name)
	}
	r := read(t, "time,voltage,current,speed,c1,c2\n0,80,1,36,3900,3950\n10,80,1,36,3900,3950\n")
	require.InDelta(t, 0.1, r.Km, 1e-9, "by hand: 36 km/h for 10 s; of the step the speed at its end")
	require.InDelta(t, 3.95, r.CellHigh, 1e-9, "mV")
	r = read(t, "time,voltage,current,soc,odo\n0,80,-1,90,100\n1,80,-1,88,101.5\n")
	require.Equal(t, -1, r.Sign)
	require.InDelta(t, 1.5, r.Km, 1e-9)
	_, err := bms.Read(context.Background(), strings.NewReader("a,b\n1,2\n"), bms.Options{})
	require.ErrorIs(t, err, bms.ErrNoLog)
	_, err = bms.Read(context.Background(), strings.NewReader(strings.Repeat("x", 1<<17)), bms.Options{})
	require.ErrorContains(t, err, "longer than 65536 bytes")
}

// The sign of the current changes nothing but the sign that is told.
func TestEitherSign(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var one, two strings.Builder
		one.WriteString("time,voltage,current\n")
		two.WriteString("time,voltage,current\n")
		for i := range rapid.IntRange(2, 60).Draw(t, "lines") {
			a := float64(rapid.IntRange(-300, 300).Draw(t, "a")) / 10
			v := 80 - a*0.05
			fmt.Fprintf(&one, "%d,%.3f,%.1f\n", i, v, a)
			fmt.Fprintf(&two, "%d,%.3f,%.1f\n", i, v, -a)
		}
		x, err := bms.Read(context.Background(), strings.NewReader(one.String()), bms.Options{})
		require.NoError(t, err)
		y, err := bms.Read(context.Background(), strings.NewReader(two.String()), bms.Options{})
		require.NoError(t, err)
		require.Equal(t, x.Sign, -y.Sign)
		if x.Sign != 0 {
			require.InDelta(t, x.OutWh, y.OutWh, 1e-9)
			require.InDelta(t, x.BackWh, y.BackWh, 1e-9)
			require.InDelta(t, x.Regen, y.Regen, 1e-9)
			require.InDelta(t, x.Sag, y.Sag, 1e-9)
		}
	})
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(steady(",", ".", 1)))
	f.Add([]byte("time;voltage;current;c1;c2\n2026-01-01 00:00:00;80;1,5;3,9;65535\n"))
	f.Add([]byte("ms,i,u,t1\n1,2,3,4\nms,i,u,t1\n0,,,\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := bms.Read(context.Background(), bytes.NewReader(data), bms.Options{})
		if err != nil {
			return
		}
		for _, v := range []float64{r.Seconds, r.OutWh, r.BackWh, r.OutAh, r.BackAh, r.Discharge, r.Charge, r.Regen, r.Sag, r.MostRest, r.MostLoad, r.VoltsLow, r.VoltsHigh, r.Km} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("a figure of %+v is no number", r)
			}
		}
		if len(r.Trace) > 1200 || r.OutWh < 0 || r.BackWh < 0 {
			t.Fatalf("%d steps, %g Wh out, %g Wh back", len(r.Trace), r.OutWh, r.BackWh)
		}
	})
}

// rows makes a log of n lines with 20 cells as it is read.
type rows struct {
	n, at int
	buf   bytes.Buffer
}

func (r *rows) Read(b []byte) (int, error) {
	for r.buf.Len() < len(b) && r.at < r.n+1000 {
		if r.at == 0 {
			r.buf.WriteString("time,voltage,current,soc")
			for c := range 20 {
				fmt.Fprintf(&r.buf, ",cell%d", c+1)
			}
			r.buf.WriteString(",t1,t2\n")
		} else {
			r.buf.Write(block)
		}
		r.at += 1000
	}
	if r.buf.Len() == 0 {
		return 0, io.EOF
	}
	return r.buf.Read(b)
}

var tail = strings.Repeat(",3.912", 20) + ",24.5,25.0\n"

// A block of lines is made once and given again and again: the clock of the log
// begins anew with each, which is one of the traps.
var block = func() []byte {
	var out bytes.Buffer
	for at := range 1000 {
		fmt.Fprintf(&out, "%d.5,78.%02d,%d.%d,9%d.5%s", at, at%100, at%40-5, at%10, at%10, tail)
	}
	return out.Bytes()
}()

// Benchmark of a log of a million lines, about 170 MB; MB is the memory that the
// reader holds at its end.
func BenchmarkMillion(b *testing.B) {
	for range b.N {
		in := &rows{n: 1_000_000}
		r, err := bms.Read(context.Background(), in, bms.Options{})
		require.NoError(b, err)
		require.Equal(b, 1_000_000, r.Rows)
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		b.ReportMetric(float64(m.Sys)/1e6, "MB")
		b.SetBytes(r.Bytes)
	}
}
