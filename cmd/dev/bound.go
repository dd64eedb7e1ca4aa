package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
)

// A cold case is one in which nothing is finished, beside the forecast of the
// constants fitted without its fold. What flexible models make of it says how
// good a forecast of the estimates alone can be.
type cold struct {
	dataset, source string
	fold            int
	weight          float64 // each data set weighs the same
	features        []float64
	q               [5]float64 // ln of the forecast's quantiles
	left            float64    // ln of the hours that came
}

// score is the headline score with the quantiles moved by shift, and spread about
// the middle as much as the exponential of wide more.
func (c cold) score(shift, wide float64) float64 {
	var q [5]float64
	grow := math.Exp(wide)
	for i := range q {
		q[i] = c.q[2] + shift + (c.q[i]-c.q[2])*grow
	}
	return crps(q, c.left)
}

// coldCases picks the cold cases among all samples and their forecasts.
func coldCases(all []sample, rows []scored) []cold {
	var list []cold
	count := map[string]float64{}
	for i, s := range all {
		if s.checkpoint > 0 {
			continue
		}
		c := cold{dataset: s.dataset, source: s.source, fold: s.fold, features: coldFeatures(s), left: math.Log(s.left + logFloor)}
		for k, h := range rows[i].quantiles() {
			c.q[k] = math.Log(h + logFloor)
		}
		count[s.dataset]++
		list = append(list, c)
	}
	for i := range list {
		list[i].weight = 1 / count[list[i].dataset] / float64(len(count))
	}
	return list
}

// coldFeatures describe a list of estimates: how many, how big, how uneven, how
// round.
func coldFeatures(s sample) []float64 {
	var logs []float64
	var sum, most, whole, half, none float64
	distinct := map[float64]bool{}
	for _, t := range s.tasks {
		if t.Likely == 0 {
			none++
			continue
		}
		logs = append(logs, math.Log(t.Likely))
		sum += t.Likely
		most = max(most, t.Likely)
		distinct[t.Likely] = true
		if t.Likely == math.Trunc(t.Likely) {
			whole++
		}
		if 2*t.Likely == math.Trunc(2*t.Likely) {
			half++
		}
	}
	n := float64(len(logs))
	slices.Sort(logs)
	at := func(p float64) float64 { return logs[int(p*(n-1))] }
	mean, square := 0.0, 0.0
	for _, l := range logs {
		mean += l / n
	}
	for _, l := range logs {
		square += (l - mean) * (l - mean) / n
	}
	e := s.evidence
	return []float64{math.Log(n + none), math.Log(sum), mean, math.Sqrt(square), at(0.1), at(0.5), at(0.9), most / sum,
		whole / n, half / n, float64(len(distinct)) / n, none / (n + none), e.Crowd, e.Copied}
}

// printBounds says how good cold starts can be forecast: with figures that no
// forecast has, and by models that learn freely from the other projects.
func printBounds(w io.Writer, list []cold) {
	mean := func(f func(c cold) float64) float64 {
		sum := 0.0
		for _, c := range list {
			sum += c.weight * f(c)
		}
		return sum
	}
	row := func(name string, score float64) { fmt.Fprintf(w, "%-80s %.3f\n", name, score) }
	fmt.Fprintln(w, "\nCold start, lCRPS (macro):")
	row("constants fitted without the case's project", mean(func(c cold) float64 { return c.score(0, 0) }))
	row("and each data set's own best shift and spread, known beforehand", bestBy(list, func(c cold) string { return c.dataset }, true))
	row("and each project's own best shift, known beforehand", bestBy(list, func(c cold) string { return c.source }, false))
	row("and each project's own best shift and spread, known beforehand", bestBy(list, func(c cold) string { return c.source }, true))
	learnt, seen := boost(list)
	least := slices.Min(learnt)
	row(fmt.Sprintf("and boosted trees, learnt without the case's fold, best after %d of %d rounds", slices.Index(learnt, least), boostRounds), least)
	row("    fitted to the very cases, for comparison", seen)
	row("and as the nearest cases of other folds, best number of 10, 40 and 160", slices.Min(neighbours(list, 10, 40, 160)))
}

// bestBy is the score with the best shift, and spread, of each group.
func bestBy(list []cold, group func(cold) string, spread bool) float64 {
	groups := map[string][]cold{}
	for _, c := range list {
		groups[group(c)] = append(groups[group(c)], c)
	}
	total := 0.0
	for _, name := range slices.Sorted(maps.Keys(groups)) {
		_, _, score := bestMove(groups[name], spread)
		total += score
	}
	return total
}

// bestMove finds the shift, and the spread if it may change, at which cases score
// best.
func bestMove(some []cold, spread bool) (shift, wide, score float64) {
	wides := []float64{0}
	for w := -1.2; spread && w < 1.3; w += 0.2 {
		wides = append(wides, w)
	}
	score = math.Inf(1)
	for s := -1.0; s < 1.01; s += 0.05 {
		for _, w := range wides {
			sum := 0.0
			for _, c := range some {
				sum += c.weight * c.score(s, w)
			}
			if sum < score {
				shift, wide, score = s, w, sum
			}
		}
	}
	return shift, wide, score
}

const (
	boostRounds = 80
	boostDepth  = 2 // of 1, 2 and 3 none did better
	boostRate   = 0.05
	boostLeaf   = 8 // cases in a leaf at least
)

// boost fits trees to the slopes of the score, one after the other (J. H.
// Friedman, "Greedy function approximation: a gradient boosting machine", Annals
// of Statistics 29 (2001) 1189-1232, from memory), once for each fold without it.
// It returns the score of the cases left out after each round, and that of all
// cases where all were fitted to.
func boost(list []cold) (learnt []float64, seen float64) {
	learnt = make([]float64, boostRounds+1)
	for fold := -1; fold < fitFolds; fold++ {
		var in []int
		for i, c := range list {
			if c.fold != fold {
				in = append(in, i)
			}
		}
		move := make([][2]float64, len(list))
		count := func() (sum float64) {
			for i, c := range list {
				if fold < 0 || c.fold == fold {
					sum += c.weight * c.score(move[i][0], move[i][1])
				}
			}
			return sum
		}
		for round := range boostRounds + 1 {
			if fold >= 0 {
				learnt[round] += count()
			}
			if round == boostRounds {
				break
			}
			for axis := range 2 {
				slope := make([]float64, len(list))
				for _, i := range in {
					const h = 0.01
					a, b := move[i], move[i]
					a[axis] -= h
					b[axis] += h
					slope[i] = (list[i].score(b[0], b[1]) - list[i].score(a[0], a[1])) / (2 * h)
				}
				grow(list, slope, in, boostDepth, func(value float64, belongs func(cold) bool) {
					for i, c := range list {
						if belongs(c) {
							move[i][axis] -= boostRate * value
						}
					}
				})
			}
		}
		if fold < 0 {
			seen = count()
		}
	}
	return learnt, seen
}

// grow splits cases by the feature and place that tell their slopes apart best,
// and hands out the mean slope of each leaf.
func grow(list []cold, slope []float64, in []int, depth int, leaf func(float64, func(cold) bool)) {
	var sum, weight float64
	for _, i := range in {
		sum += list[i].weight * slope[i]
		weight += list[i].weight
	}
	best, feature, place := 0.0, -1, 0.0
	for f := 0; depth > 0 && f < len(list[0].features); f++ {
		order := slices.Clone(in)
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(list[a].features[f], list[b].features[f]) })
		var left, under float64
		for k, i := range order[:len(order)-1] {
			left += list[i].weight * slope[i]
			under += list[i].weight
			x, next := list[i].features[f], list[order[k+1]].features[f]
			if x == next || k+1 < boostLeaf || len(order)-k-1 < boostLeaf {
				continue
			}
			if gain := left*left/under + (sum-left)*(sum-left)/(weight-under) - sum*sum/weight; gain > best {
				best, feature, place = gain, f, (x+next)/2
			}
		}
	}
	if feature < 0 {
		leaf(sum/weight, func(cold) bool { return true })
		return
	}
	for _, low := range []bool{true, false} {
		side := func(c cold) bool { return c.features[feature] <= place == low }
		var some []int
		for _, i := range in {
			if side(list[i]) {
				some = append(some, i)
			}
		}
		grow(list, slope, some, depth-1, func(value float64, belongs func(cold) bool) {
			leaf(value, func(c cold) bool { return side(c) && belongs(c) })
		})
	}
}

// neighbours is the score if each case is moved by the best shift and spread of
// so many cases of other folds, those most like it; for each of the numbers.
func neighbours(list []cold, numbers ...int) []float64 {
	scale := make([]float64, len(list[0].features))
	for f := range scale {
		var sum, squares float64
		for _, c := range list {
			sum += c.features[f]
			squares += c.features[f] * c.features[f]
		}
		n := float64(len(list))
		scale[f] = max(squares/n-sum/n*sum/n, 1e-12)
	}
	total := make([]float64, len(numbers))
	for _, c := range list {
		near := slices.DeleteFunc(slices.Clone(list), func(o cold) bool { return o.fold == c.fold })
		far := func(o cold) (sum float64) {
			for f, s := range scale {
				sum += (o.features[f] - c.features[f]) * (o.features[f] - c.features[f]) / s
			}
			return sum
		}
		slices.SortStableFunc(near, func(a, b cold) int { return cmp.Compare(far(a), far(b)) })
		for i, n := range numbers {
			shift, wide, _ := bestMove(near[:min(n, len(near))], true)
			total[i] += c.weight * c.score(shift, wide)
		}
	}
	return total
}
