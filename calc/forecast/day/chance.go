package day

import (
	"hash/fnv"

	"ampwright/calc/exact"
)

// mix spreads a number over all 64 bits: the last step of splitmix64 (Steele,
// Lea, Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014,
// variant 13, from memory).
func mix(z uint64) uint64 {
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

const golden = 0x9e3779b97f4a7c15

// key names the chance of a trial; with the hash of an ID it gives a draw.
func key(seed uint64, trial int) uint64 { return mix(seed + golden*uint64(trial+1)) }

func hash(kind, id string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(kind)) // never fails
	h.Write([]byte(id))
	return mix(h.Sum64())
}

// Draws are looked up in tables of so many steps.
const (
	steps    = 1024
	expSteps = 128 // of the exponential, to each unit
	expReach = 8   // units either way
)

// tables are normal deviates, one for each of equally likely steps, and the
// exponential function, right to 0.4 %: enough for chance.
type tables struct {
	normal [steps]float64
	exp    [2*expReach*expSteps + 1]float64
}

func newTables() *tables {
	t := &tables{}
	for i := range t.normal {
		t.normal[i] = exact.NormalQuantile((float64(i) + 0.5) / steps)
	}
	for i := range t.exp {
		t.exp[i] = exact.Exp(float64(i-expReach*expSteps) / expSteps)
	}
	return t
}

func (t *tables) exponential(x float64) float64 {
	const middle = expReach * expSteps
	return t.exp[min(max(int(float64(x*expSteps)+middle+0.5), 0), 2*middle)]
}

// even returns point i of a sequence that fills 0 to 1 evenly, to the base of a
// prime: the radical inverse of J. M. Hammersley, "Monte Carlo methods for
// solving multivariable problems", 1960 (from memory). What all tasks of a trial
// share is drawn so, since it decides how the trials spread.
func even(i int, base int) float64 {
	x, f := 0.0, 1.0
	for i++; i > 0; i /= base {
		f /= float64(base)
		x += float64(f * float64(i%base))
	}
	return x
}

// quantile returns the hours that are enough with probability p: linear in
// ln(p/(1-p)) and the logarithm of the hours between the quantiles, and beyond
// them as it came, as [forecast.Distribution] has it.
func quantile(logHours [5]float64, p float64) float64 {
	const ln3, ln9 = 1.0986122886681098, 2.1972245773362196
	knots := [5]float64{-ln9, -ln3, 0, ln3, ln9}
	x := exact.Log(p / (1 - p))
	i := 0
	for i < 3 && x > knots[i+1] {
		i++
	}
	share := (x - knots[i]) / (knots[i+1] - knots[i])
	return exact.Exp(logHours[i] + float64(share*(logHours[i+1]-logHours[i])))
}
