package main

import (
	"bufio"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"

	"ampwright/calc/forecast"
	"ampwright/calc/forecast/cases"
)

// A scored case is a forecast beside what came.
type scored struct {
	dataset    string
	checkpoint int // % of the tasks finished when the forecast was made
	left       float64
	forecast   forecast.Distribution
}

// A known case is what a forecast was asked and what came.
type known struct {
	id, dataset, project string
	checkpoint           int
	left                 float64 // hours, more than 0
	tasks                []forecast.Work
}

// runScore forecasts the cases of a folder and prints how good that was.
func runScore(_ context.Context, args []string) error {
	if len(args) != 1 {
		return fmt.Errorf("want score DIR, a folder with cases.jsonl and truth.jsonl")
	}
	list, err := readKnown(args[0])
	if err != nil {
		return err
	}
	rows := make([]scored, len(list))
	for i, k := range list {
		d, err := forecast.Hours(k.tasks)
		if err != nil {
			return fmt.Errorf("case %s: %w", k.id, err)
		}
		rows[i] = scored{k.dataset, k.checkpoint, k.left, d}
	}
	printScores(os.Stdout, rows)
	return nil
}

// readKnown reads cases.jsonl and truth.jsonl of a folder.
func readKnown(dir string) ([]known, error) {
	asked := map[string][]forecast.Work{}
	err := eachLine(filepath.Join(dir, "cases.jsonl"), func(line []byte) error {
		id, tasks, err := cases.Decode(line)
		asked[id] = tasks
		return err
	})
	if err != nil {
		return nil, err
	}
	var list []known
	err = eachLine(filepath.Join(dir, "truth.jsonl"), func(line []byte) error {
		var t struct {
			Case       string  `json:"case"`
			Dataset    string  `json:"dataset"`
			Project    string  `json:"project"`
			Checkpoint int     `json:"checkpoint"`
			Left       float64 `json:"remaining_hours"`
		}
		if err := json.Unmarshal(line, &t); err != nil {
			return err
		}
		tasks, ok := asked[t.Case]
		if !ok || !(t.Left > 0) {
			return fmt.Errorf("case %q: want one of cases.jsonl with remaining_hours above 0", t.Case)
		}
		list = append(list, known{t.Case, t.Dataset, t.Project, t.Checkpoint, t.Left, tasks})
		return nil
	})
	if err == nil && len(list) == 0 {
		err = fmt.Errorf("no case in %s", dir)
	}
	return list, err
}

func eachLine(path string, f func([]byte) error) error {
	file, err := os.Open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	in := bufio.NewScanner(file)
	in.Buffer(nil, 64<<20)
	for n := 1; in.Scan(); n++ {
		if err := f(in.Bytes()); err != nil {
			return fmt.Errorf("%s:%d: %w", path, n, err)
		}
	}
	return in.Err()
}

// figuresOf are the columns of the table, as the means of a set of cases.
type figuresOf [10]float64

var columns = [10]string{"lCRPS", "rCRPS", "nCRPS", "MdAPE", "cov80", "cov50", "medlog", "bias", "mbias", "width"}

const (
	lCRPS = 0
	cov80 = 4
	bias  = 7
)

// logFloor is added to hours, h, before a logarithm is taken.
const logFloor = 0.05

// crps approximates the continuous ranked probability score from five
// quantiles: twice the pinball losses, weighted by the midpoints of the levels
// (T. Gneiting, A. E. Raftery, J. Am. Stat. Assoc. 102 (2007) 359, section 4.2;
// from memory).
func crps(q [5]float64, y float64) float64 {
	sum := 0.0
	for i, w := range crpsWeights {
		sum += 2 * w * max(forecast.Levels[i]*(y-q[i]), (forecast.Levels[i]-1)*(y-q[i]))
	}
	return sum
}

var crpsWeights = [5]float64{0.175, 0.20, 0.25, 0.20, 0.175}

func (s scored) quantiles() [5]float64 {
	d := s.forecast
	return [5]float64{d.P10, d.P25, d.P50, d.P75, d.P90}
}

// logScore is the headline score of one case.
func (s scored) logScore() float64 {
	q := s.quantiles()
	for i := range q {
		q[i] = math.Log(q[i] + logFloor)
	}
	return crps(q, math.Log(s.left+logFloor))
}

func measure(rows []scored) figuresOf {
	var f figuresOf
	var total float64
	n := float64(len(rows))
	var off, offLog, width []float64
	for _, s := range rows {
		q, y := s.quantiles(), s.left
		total += y
		f[lCRPS] += s.logScore() / n
		f[1] += crps(q, y)
		f[2] += min(crps(q, y)/y, 20) / n
		off = append(off, math.Abs(q[2]-y)/y)
		if q[0] <= y && y <= q[4] {
			f[cov80] += 1 / n
		}
		if q[1] <= y && y <= q[3] {
			f[5] += 1 / n
		}
		offLog = append(offLog, math.Log((q[2]+logFloor)/(y+logFloor)))
		f[bias] += q[2] - y
		f[8] += s.forecast.Mean - y
		width = append(width, math.Log((q[4]+logFloor)/(q[0]+logFloor)))
	}
	f[1] /= total
	f[3], f[6], f[9] = middle(off), middle(offLog), middle(width)
	f[bias] /= total
	f[8] /= total
	return f
}

func middle(v []float64) float64 {
	slices.Sort(v)
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}

// macro is the plain mean over the data sets.
func macro(rows []scored) (f figuresOf) {
	names := datasets(rows)
	for _, name := range names {
		for i, x := range measure(only(rows, func(s scored) bool { return s.dataset == name })) {
			f[i] += x / float64(len(names))
		}
	}
	return f
}

func datasets(rows []scored) []string {
	var names []string
	for _, s := range rows {
		names = append(names, s.dataset)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

func only(rows []scored, keep func(scored) bool) []scored {
	var out []scored
	for _, s := range rows {
		if keep(s) {
			out = append(out, s)
		}
	}
	return out
}

// printScores prints a row for each data set and checkpoint, and for all.
func printScores(w io.Writer, rows []scored) {
	fmt.Fprintf(w, "%-24s%6s", "", "cases")
	for _, c := range columns {
		fmt.Fprintf(w, " %7s", c)
	}
	fmt.Fprintln(w)
	row := func(name string, rows []scored, f func([]scored) figuresOf) {
		if len(rows) == 0 {
			return
		}
		fmt.Fprintf(w, "%-24s%6d", name, len(rows))
		for _, x := range f(rows) {
			fmt.Fprintf(w, " %7.3f", x)
		}
		fmt.Fprintln(w)
	}
	begun := only(rows, func(s scored) bool { return s.checkpoint > 0 })
	for _, name := range datasets(begun) {
		row(name, only(begun, func(s scored) bool { return s.dataset == name }), measure)
	}
	slices.SortStableFunc(begun, func(a, b scored) int { return cmp.Compare(a.checkpoint, b.checkpoint) })
	for i, s := range begun {
		if i == 0 || s.checkpoint != begun[i-1].checkpoint {
			at := only(begun, func(o scored) bool { return o.checkpoint == s.checkpoint })
			row(fmt.Sprintf("at %d%% (macro)", s.checkpoint), at, macro)
		}
	}
	row("all (macro)", begun, macro)
	row("all (pooled)", begun, measure)
	row("cold start (macro)", only(rows, func(s scored) bool { return s.checkpoint == 0 }), macro)
}
