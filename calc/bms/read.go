package bms

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"math"
	"strings"
)

// Options are what a person says about a log.
type Options struct {
	Sign     int                         // 1: its current is above zero while discharging, -1: below; 0: find out
	Progress func(bytes int64, rows int) // called now and then; may be nil
}

// maxLine bounds one line of a log.
const maxLine = 64 << 10

// ErrNoLog is returned for a file in which no line names the columns of a log.
var ErrNoLog = errors.New("no line names the columns of a log: want a time, a pack voltage, a current or cells, such as time,voltage,current,cell1,cell2")

// Read reads a log to its end, or until ctx is done. A log of which only a part
// can be read is no error: what was odd stands in the run.
func Read(ctx context.Context, in io.Reader, o Options) (*Run, error) {
	r := &reader{
		Run: &Run{Hottest: math.NaN(), VoltsLow: math.Inf(1), VoltsHigh: math.Inf(-1), CellLow: math.Inf(1), CellHigh: math.Inf(-1)},
		sum: sha256.New(), odd: map[string]int{}, step: 1, last: math.NaN(), restSince: math.NaN(), lastAt: [2]float64{math.Inf(-1), math.Inf(-1)}, odo0: math.NaN(), soc0: math.NaN(),
	}
	buf := bufio.NewReaderSize(io.TeeReader(in, r.sum), maxLine) // a line is read in place
	for line := 1; ; line++ {
		text, err := buf.ReadSlice('\n')
		r.Bytes += int64(len(text))
		if errors.Is(err, bufio.ErrBufferFull) {
			return nil, fmt.Errorf("line %d: longer than %d bytes: no log of a battery", line, maxLine)
		}
		if err != nil && err != io.EOF {
			return nil, fmt.Errorf("line %d: %w", line, err)
		}
		r.line(text, line, err == io.EOF)
		if err == io.EOF {
			break
		}
		if line%8192 == 0 {
			if ctx.Err() != nil {
				return nil, context.Cause(ctx)
			}
			if o.Progress != nil {
				o.Progress(r.Bytes, r.Rows)
			}
		}
	}
	if r.sep == 0 {
		return nil, ErrNoLog
	}
	r.finish(o)
	return r.Run, nil
}

// A reader is a log while it is read. Sums over both signs of the current are
// kept until it is known which is discharge.
type reader struct {
	*Run
	sum    hash.Hash
	sep    byte
	cols   columns
	header []byte
	odd    map[string]int // what -> place in Odd
	fields [][]byte
	cells  []float64

	last       float64 // moment of the line before; NaN for none
	lastV      float64
	lastA      float64
	have       bool // the line before had volts and amps
	tell       float64
	wh, ah     [2]float64 // above zero, below zero
	peak       [2]float64
	peakV      [2]float64 // volts at that peak
	restV      float64    // volts in the last line at rest
	restBefore [2]float64 // restV at the peak
	restSince  float64    // moment since when there is no load; NaN under load
	soc0, soc1 float64
	lastAt     [2]float64 // when the current was last on either side
	regen      [2]float64 // largest current of a side within 30 s after the other side
	odo0, odo1 float64
	speedKm    float64
	step       int // lines in a point of the trace
	inStep     int
	now        Point
	loads      [32]float64 // largest spread by |current|, in steps of the logarithm
}

// note counts something odd.
func (r *reader) note(line int, what string) {
	i, ok := r.odd[what]
	if !ok {
		i = len(r.Odd)
		r.odd[what] = i
		r.Odd = append(r.Odd, Odd{What: what, Line: line})
	}
	r.Odd[i].Count++
}

func (r *reader) line(text []byte, line int, end bool) {
	text = bytes.TrimRight(text, "\r\n")
	if line == 1 {
		text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	}
	if len(bytes.TrimSpace(text)) == 0 {
		return
	}
	if r.sep == 0 || bytes.Equal(text, r.header) {
		if r.sep == 0 {
			r.begin(text)
		} else {
			r.note(line, "the header again, as after a reconnection")
			r.have, r.last = false, math.NaN()
		}
		return
	}
	r.split(text)
	if len(r.fields) < r.width() {
		what := "fewer columns than the header names: left out"
		if end {
			what = "the last line is cut short: left out"
		}
		r.note(line, what)
		return
	}
	at, okTime := r.value(r.cols.time)
	if !okTime && r.cols.time >= 0 {
		if c, again := readHeader(asTexts(r.fields)); again {
			r.note(line, "another header: columns are read by it from here on")
			r.cols, r.header = c, bytes.Clone(text)
			r.have, r.last = false, math.NaN()
			return
		}
	}
	r.values(line, at, okTime)
}

// begin takes the first line that names columns for the header.
func (r *reader) begin(text []byte) {
	for _, sep := range []byte{';', '\t', ','} {
		r.sep = sep
		r.split(text)
		if c, ok := readHeader(asTexts(r.fields)); ok {
			r.cols, r.header = c, bytes.Clone(text)
			return
		}
	}
	r.sep = 0
}

func asTexts(fields [][]byte) []string {
	out := make([]string, len(fields))
	for i, f := range fields {
		out[i] = strings.Trim(string(f), `" `)
	}
	return out
}

func (r *reader) split(text []byte) {
	r.fields = r.fields[:0]
	for {
		i := bytes.IndexByte(text, r.sep)
		if i < 0 {
			r.fields = append(r.fields, text)
			return
		}
		r.fields = append(r.fields, text[:i])
		text = text[i+1:]
	}
}

// width is how many fields a line must have.
func (r *reader) width() int {
	w := max(r.cols.time, r.cols.volts, r.cols.amps) + 1
	for _, c := range r.cols.cells {
		w = max(w, c+1)
	}
	return w
}

// value returns the field of a column as a number; a time that is none is read
// as a moment.
func (r *reader) value(col int) (float64, bool) {
	if col < 0 || col >= len(r.fields) {
		return 0, false
	}
	if col == r.cols.time {
		return moment(r.fields[col], r.cols.millis)
	}
	return number(r.fields[col])
}

// values takes one line of values in.
func (r *reader) values(line int, at float64, okTime bool) {
	volts, okV := r.value(r.cols.volts)
	amps, okA := r.value(r.cols.amps)
	if r.cols.time >= 0 && !okTime {
		r.note(line, "a time that cannot be read: left out")
		return
	}
	if r.cols.time < 0 {
		at = float64(r.Rows) // a line a second
		if r.Rows == 0 {
			r.note(line, "no column of times: taken for a line a second")
		}
	}
	if volts == 65535 || amps == 65535 || okV && (volts <= 0 || volts > 1000) {
		r.note(line, "a pack voltage or current that cannot be: left out")
		okV, okA = false, false
	}
	r.Rows++
	dt := at - r.last
	switch {
	case math.IsNaN(dt):
		dt = 0
	case dt < 0:
		r.note(line, "the clock runs back")
		dt, r.have, r.restSince = 0, false, math.NaN()
	case dt > longGap:
		r.note(line, "the clock jumps ahead by more than a minute")
		dt, r.have, r.restSince = 0, false, math.NaN()
	}
	r.Seconds += dt
	spread, whole := r.cellsOf(line, &volts, &okV)
	if soc, ok := r.value(r.cols.soc); ok && soc >= 0 && soc <= 100 {
		if math.IsNaN(r.soc0) {
			r.soc0 = soc
		}
		r.soc1 = soc
	}
	r.heat()
	r.distance(dt)
	if okV && okA {
		r.power(at, dt, volts, amps)
	}
	if okA {
		r.spreads(at, amps, spread, whole)
	}
	if okV {
		r.VoltsLow, r.VoltsHigh = min(r.VoltsLow, volts), max(r.VoltsHigh, volts)
	}
	r.trace(volts, amps, spread, okV, okA)
	r.last = at
	r.lastV, r.lastA, r.have = volts, amps, okV && okA
}

// cellsOf reads the cells of a line. Where the log has no pack voltage their sum
// is.
func (r *reader) cellsOf(line int, volts *float64, okV *bool) (spread float64, whole bool) {
	if len(r.cols.cells) == 0 {
		return 0, false
	}
	r.cells = r.cells[:0]
	low, high, sum, missing := math.Inf(1), math.Inf(-1), 0.0, 0
	for i, col := range r.cols.cells {
		v, ok := r.value(col)
		if v > 100 && v < 6000 {
			v /= 1000 // mV
		}
		if !ok || v < cellLow || v > cellHigh {
			missing++
			r.cells = append(r.cells, math.NaN())
			continue
		}
		r.cells = append(r.cells, v)
		sum += v
		if v < low {
			low = v
		}
		if v > high {
			high = v
		}
		if v < r.CellLow {
			r.CellLow, r.LowCell = v, i+1
		}
		if v > r.CellHigh {
			r.CellHigh, r.HighCell = v, i+1
		}
	}
	if missing > 0 {
		r.note(line, "cells without a value (empty, 0 or 65535)")
	}
	whole = missing == 0
	if whole && r.cols.volts < 0 {
		*volts, *okV = sum, true
	}
	r.Cells = max(r.Cells, len(r.cells))
	if len(r.cells)-missing < 2 {
		return 0, false
	}
	return high - low, whole
}

func (r *reader) heat() {
	for i, col := range r.cols.temps {
		v, ok := r.value(col)
		if !ok || v < -60 || v > 250 {
			continue
		}
		r.Temps = max(r.Temps, i+1)
		if !(v <= r.Hottest) {
			r.Hottest, r.HotSensor = v, i+1
		}
	}
}

func (r *reader) distance(dt float64) {
	if v, ok := r.value(r.cols.distance); ok {
		if math.IsNaN(r.odo0) {
			r.odo0 = v
		}
		r.odo1 = v
	}
	if v, ok := r.value(r.cols.speed); ok && v >= 0 && v < 400 {
		r.speedKm += v * dt / 3600
	}
}

// side is 0 for a current of zero or more, 1 below.
func side(amps float64) int {
	if amps < 0 {
		return 1
	}
	return 0
}

// power takes current and voltage in: energy by the trapezoidal rule, peaks, and
// what tells which sign is discharge.
func (r *reader) power(at, dt, volts, amps float64) {
	s := side(amps)
	if r.have {
		r.tell += (amps - r.lastA) * (volts - r.lastV)
		p0, p1 := r.lastV*r.lastA, volts*amps
		r.add(dt/3600, p0, p1, &r.wh)
		r.add(dt/3600, r.lastA, amps, &r.ah)
	}
	if math.Abs(amps) < restAmps {
		r.restV = volts
		return
	}
	if math.Abs(amps) > r.peak[s] {
		r.peak[s], r.peakV[s], r.restBefore[s] = math.Abs(amps), volts, r.restV
	}
	if since := at - r.lastAt[1-s]; since >= 0 && since <= 30 {
		r.regen[s] = max(r.regen[s], math.Abs(amps))
	}
	r.lastAt[s] = at
}

// add integrates a straight line from a to b over a step, above and below zero
// apart.
func (r *reader) add(step, a, b float64, to *[2]float64) {
	switch {
	case a >= 0 && b >= 0:
		to[0] += (a + b) / 2 * step
	case a <= 0 && b <= 0:
		to[1] -= (a + b) / 2 * step
	default:
		cross := a / (a - b)
		to[side(a)] += math.Abs(a) / 2 * cross * step
		to[side(b)] += math.Abs(b) / 2 * (1 - cross) * step
	}
}

// spreads files the spread of a line under rest or load.
func (r *reader) spreads(at, amps, spread float64, whole bool) {
	if math.Abs(amps) >= restAmps {
		r.restSince = math.NaN()
		if spread > 0 {
			i := min(int(4*math.Log2(math.Abs(amps))), len(r.loads)-1)
			r.loads[i] = max(r.loads[i], spread)
		}
		return
	}
	if math.IsNaN(r.restSince) {
		r.restSince = at
	}
	if at-r.restSince < restAfter && r.Rows > 1 && r.peak != [2]float64{} {
		return
	}
	r.MostRest = max(r.MostRest, spread)
	if whole {
		r.Rest = append(r.Rest[:0], r.cells...)
		r.RestSpread = spread
	}
}

// trace adds a line to the picture. When there are too many steps two become one.
func (r *reader) trace(volts, amps, spread float64, okV, okA bool) {
	if !okV && !okA {
		return
	}
	if r.inStep == 0 {
		r.now = Point{At: r.Seconds, VoltsLow: volts, Volts: volts, AmpsLow: amps, Amps: amps, Spread: spread}
	} else {
		r.now = r.now.with(Point{VoltsLow: volts, Volts: volts, AmpsLow: amps, Amps: amps, Spread: spread})
	}
	if r.inStep++; r.inStep < r.step {
		return
	}
	r.Trace, r.inStep = append(r.Trace, r.now), 0
	if len(r.Trace) >= 1200 {
		for i := range len(r.Trace) / 2 {
			r.Trace[i] = r.Trace[2*i].with(r.Trace[2*i+1])
		}
		r.Trace, r.step = r.Trace[:len(r.Trace)/2], r.step*2
	}
}

func (p Point) with(q Point) Point {
	p.VoltsLow, p.Volts = min(p.VoltsLow, q.VoltsLow), max(p.Volts, q.Volts)
	p.AmpsLow, p.Amps = min(p.AmpsLow, q.AmpsLow), max(p.Amps, q.Amps)
	p.Spread = max(p.Spread, q.Spread)
	return p
}

// finish settles the sign and all that hangs on it.
func (r *reader) finish(o Options) {
	r.Hash = hex.EncodeToString(r.sum.Sum(nil))
	if r.inStep > 0 {
		r.Trace = append(r.Trace, r.now)
	}
	soc := 0.0
	if !math.IsNaN(r.soc0) {
		soc = r.soc1 - r.soc0
	}
	r.Sign, r.SignWhy = signOf(soc, r.ah[0]-r.ah[1], r.tell)
	if o.Sign != 0 {
		r.Sign, r.SignWhy = o.Sign, "as you said"
	}
	out := 0
	if r.Sign < 0 {
		out = 1
		for i, p := range r.Trace {
			r.Trace[i].AmpsLow, r.Trace[i].Amps = -p.Amps, -p.AmpsLow
		}
	}
	r.OutWh, r.BackWh = r.wh[out], r.wh[1-out]
	r.OutAh, r.BackAh = r.ah[out], r.ah[1-out]
	r.Discharge, r.Charge, r.Regen = r.peak[out], r.peak[1-out], r.regen[1-out]
	if before := r.restBefore[out]; before > 0 {
		r.Sag = max(before-r.peakV[out], 0)
	}
	for i, spread := range r.loads {
		if math.Exp2(float64(i+1)/4) > loadShare*max(r.Discharge, r.Charge) {
			r.MostLoad = max(r.MostLoad, spread)
		}
	}
	if r.Km = r.odo1 - r.odo0; !(r.Km > 0) {
		r.Km = r.speedKm
	}
	if r.Rows == 0 || math.IsInf(r.VoltsLow, 1) {
		r.VoltsLow, r.VoltsHigh = 0, 0
	}
	if math.IsInf(r.CellLow, 1) {
		r.CellLow, r.CellHigh = 0, 0
	}
}
