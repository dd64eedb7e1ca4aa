package main

import (
	"cmp"
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"

	"ampwright/calc/forecast"
)

// What the fit weighs.
const (
	fitFolds  = 24    // groups of source projects, each forecast from the others
	fitCold   = 0.6   // weight of a case in which nothing is finished
	fitSize   = 0.25  // a data set weighs by its number of cases to this power: a small one would fit noise
	fitRidge  = 0.002 // pull of each constant towards 0, in units of its term's deviation
	fitSmooth = 0.02  // half width, in ln hours, over which the corner of the loss is rounded
	fitSteps  = 600
)

// A sample is a known case as the fit sees it.
type sample struct {
	known
	evidence forecast.Evidence
	source   string // project the case comes from
	fold     int
	weight   float64 // the less, the more likely the hours are copied: then the constants do not matter
}

// runFit fits the constants of the forecast to the cases of a folder, prints
// them, and how well they forecast source projects they were not fitted on.
func runFit(_ context.Context, args []string) error {
	if len(args) != 1 {
		return fmt.Errorf("want fit DIR, a folder with cases.jsonl, truth.jsonl and tasks.csv")
	}
	all, err := readSamples(args[0])
	if err != nil {
		return err
	}
	rows := make([]scored, len(all))
	forecastWith := func(c forecast.Constants, fold int) {
		for i, s := range all {
			if fold < 0 || s.fold == fold {
				rows[i] = scored{s.dataset, s.checkpoint, s.left, s.evidence.Hours(c)}
			}
		}
	}
	for fold := range fitFolds {
		var others []sample
		for _, s := range all {
			if s.fold != fold {
				others = append(others, s)
			}
		}
		forecastWith(fitTo(others), fold)
	}
	fmt.Println("Source projects not fitted on:")
	printScores(os.Stdout, rows)
	cold := coldCases(all, rows)
	c := fitTo(all)
	forecastWith(c, -1)
	fmt.Println("\nFitted:")
	printScores(os.Stdout, rows)
	fmt.Printf("\nShift:  %#.4f\nSpread: %#.4f\nZ:      %#.4f\n", c.Shift, c.Spread, c.Z)
	printBounds(os.Stdout, cold)
	return nil
}

func readSamples(dir string) ([]sample, error) {
	list, err := readKnown(dir)
	if err != nil {
		return nil, err
	}
	source, err := readSources(filepath.Join(dir, "tasks.csv"))
	if err != nil {
		return nil, err
	}
	count := map[string]int{}
	for _, k := range list {
		count[k.dataset]++
	}
	total := 0.0
	for _, n := range count {
		total += math.Pow(float64(n), fitSize)
	}
	all := make([]sample, len(list))
	for i, k := range list {
		s := sample{known: k, source: source[k.project]}
		if s.source == "" {
			return nil, fmt.Errorf("case %s: project %q is not in tasks.csv", k.id, k.project)
		}
		if s.evidence, err = forecast.Read(k.tasks); err != nil {
			return nil, fmt.Errorf("case %s: %w", k.id, err)
		}
		s.weight = math.Pow(float64(count[k.dataset]), fitSize-1) / total * (1 - s.evidence.Copied)
		if k.checkpoint == 0 {
			s.weight *= fitCold
		}
		all[i] = s
	}
	deal(all)
	return all, nil
}

// readSources maps the runs of tasks.csv to the projects they were cut from.
func readSources(path string) (map[string]string, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	in := csv.NewReader(file)
	in.ReuseRecord = true
	source := map[string]string{}
	for {
		r, err := in.Read()
		if err == io.EOF {
			return source, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		source[r[2]] = r[0] + " " + r[1]
	}
}

// deal puts whole source projects into folds, the biggest first, each into the
// fold with the fewest cases of its data set.
func deal(all []sample) {
	size := map[string]int{}
	for _, s := range all {
		size[s.source]++
	}
	order := slices.Clone(all)
	slices.SortFunc(order, func(a, b sample) int {
		return cmp.Or(cmp.Compare(size[b.source], size[a.source]), cmp.Compare(a.source, b.source))
	})
	load, fold := map[string][]int{}, map[string]int{}
	for _, s := range order {
		if _, done := fold[s.source]; done {
			continue
		}
		l := load[s.dataset]
		if l == nil {
			l = make([]int, fitFolds)
			load[s.dataset] = l
		}
		least := slices.Index(l, slices.Min(l))
		l[least] += size[s.source]
		fold[s.source] = least
	}
	for i := range all {
		all[i].fold = fold[all[i].source]
	}
}

// fitTo returns the constants with the least weighted score of samples, found
// by gradient steps of adaptive length (D. P. Kingma, J. Ba, "Adam",
// arXiv 1412.6980). The constants found at the end of the walk are averaged.
func fitTo(samples []sample) forecast.Constants {
	const shifts, spreads = 3, 6
	const n = shifts + spreads + 4 // z of the median is 0
	var mean, dev [shifts + spreads]float64
	terms := make([][shifts + spreads]float64, len(samples))
	for i, s := range samples {
		a, b := s.evidence.Shift(), s.evidence.Spread()
		copy(terms[i][:], append(a[:], b[:]...))
		for j, x := range terms[i] {
			mean[j] += x / float64(len(samples))
		}
	}
	for _, t := range terms {
		for j, x := range t {
			dev[j] += (x - mean[j]) * (x - mean[j]) / float64(len(samples))
		}
	}
	for j := range dev {
		dev[j] = math.Sqrt(dev[j])
		if j == 0 || j == shifts { // the terms held back by no ridge
			dev[j] = 1
		}
		if j <= shifts { // a shift has no constant that would take up the mean
			mean[j] = 0
		}
		for i := range terms {
			terms[i][j] = (terms[i][j] - mean[j]) / dev[j]
		}
	}
	var c, average, slope, momentum, square [n]float64
	c[shifts] = -1
	copy(c[shifts+spreads:], []float64{-1, -0.5, 0.5, 1})
	for step := 1; step <= fitSteps; step++ {
		slope = [n]float64{}
		for i, s := range samples {
			addSlope(&slope, &c, &terms[i], s)
		}
		for j := range shifts + spreads {
			if j != 0 && j != shifts {
				slope[j] += fitRidge * c[j] * map[bool]float64{true: 1, false: 0.15}[j < shifts]
			}
		}
		wide := 0.1 * (c[n-1] - c[n-4] - 2) // z and the spread share one scale: keep z10 to z90 near 2
		slope[n-1] += wide
		slope[n-4] -= wide
		rate := 0.02 * min(1, max(2*(1-float64(step)/fitSteps), 0.025))
		for j, g := range slope {
			momentum[j] = 0.9*momentum[j] + 0.1*g
			square[j] = 0.99*square[j] + 0.01*g*g
			m, v := momentum[j]/(1-math.Pow(0.9, float64(step))), square[j]/(1-math.Pow(0.99, float64(step)))
			c[j] -= rate * m / (math.Sqrt(v) + 1e-5)
			if step > fitSteps*3/4 {
				average[j] += c[j] / (fitSteps / 4)
			}
		}
	}
	var out forecast.Constants
	for j := range shifts {
		out.Shift[j] = average[j] / dev[j]
	}
	for j := range spreads {
		out.Spread[j] = average[shifts+j] / dev[shifts+j]
		out.Spread[0] -= average[shifts+j] * mean[shifts+j] / dev[shifts+j]
	}
	z := average[shifts+spreads:]
	out.Z = [5]float64{z[0], z[1], 0, z[2], z[3]}
	return out
}

// addSlope adds the slope of one sample's score to slope.
func addSlope(slope, c *[13]float64, terms *[9]float64, s sample) {
	const shifts, spreads = 3, 6
	at, wide := math.Log(s.evidence.Open), 0.0
	for j, x := range terms {
		if j < shifts {
			at += c[j] * x
		} else {
			wide += c[j] * x
		}
	}
	wide = math.Exp(wide)
	z := [5]float64{c[9], c[10], 0, c[11], c[12]}
	y := math.Log(s.left + logFloor)
	var dAt, dWide float64
	for k, level := range forecast.Levels {
		hours := math.Exp(at + z[k]*wide)
		over := math.Log(hours+logFloor) - y
		d := min(max((over+fitSmooth)/(2*fitSmooth), 0), 1) - level
		d *= 2 * crpsWeights[k] * s.weight * hours / (hours + logFloor)
		dAt += d
		dWide += d * z[k] * wide
		switch {
		case k < 2:
			slope[9+k] += d * wide
		case k > 2:
			slope[8+k] += d * wide
		}
	}
	for j, x := range terms {
		if j < shifts {
			slope[j] += dAt * x
		} else {
			slope[j] += dWide * x
		}
	}
}
