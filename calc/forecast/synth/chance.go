package synth

import "math"

// A Chance is a stream of random numbers (splitmix64: G. L. Steele, D. Lea,
// C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014;
// constants from memory). Streams of different names are independent, so that
// one part of a build can draw more without moving another.
type Chance struct{ state uint64 }

// NewChance returns the stream of that name for a garage and one of its builds.
func NewChance(garage, build uint64, name string) *Chance {
	c := &Chance{garage}
	c.state = c.next() ^ build
	for _, b := range []byte(name) {
		c.state = c.next() ^ uint64(b)
	}
	return c
}

func (c *Chance) next() uint64 {
	c.state += 0x9e3779b97f4a7c15
	z := c.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// Float returns a number from low up to, but without, high.
func (c *Chance) Float(low, high float64) float64 {
	return low + (high-low)*float64(c.next()>>11)/(1<<53)
}

// Int returns a whole number from low to high, both included.
func (c *Chance) Int(low, high int) int {
	return low + int(c.next()%uint64(high-low+1))
}

// Hit reports true with probability p.
func (c *Chance) Hit(p float64) bool { return c.Float(0, 1) < p }

// Normal returns a normal deviate with mean 0 and standard deviation 1
// (G. E. P. Box, M. E. Muller, Ann. Math. Stat. 29 (1958) 610).
func (c *Chance) Normal() float64 {
	return math.Sqrt(-2*math.Log(1-c.Float(0, 1))) * math.Cos(c.Float(0, 2*math.Pi))
}

// Heavy returns a deviate of Student's t with df degrees of freedom, scaled to
// standard deviation 1. df is 3 or more.
func (c *Chance) Heavy(df int) float64 {
	sum := 0.0
	for range df {
		n := c.Normal()
		sum += n * n
	}
	return c.Normal() / math.Sqrt(sum/float64(df-2))
}
