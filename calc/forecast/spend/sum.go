package spend

// A sum is what is needed of an amount that is not certain: its first three
// cumulants (mean, variance, third central moment). Those of independent
// amounts add.
type sum [3]float64

func (s sum) plus(t sum) sum { return sum{s[0] + t[0], s[1] + t[1], s[2] + t[2]} }

// times returns the sum at k times the price.
func (s sum) times(k float64) sum {
	return sum{float64(k * s[0]), float64(k * k * s[1]), float64(k * k * k * s[2])}
}

// raw are the moments about 0.
type raw [3]float64

func (s sum) raw() raw {
	m := s[0]
	return raw{m, s[1] + float64(m*m), s[2] + float64(3*m*s[1]) + float64(m*m*m)}
}

func (r raw) sum() sum {
	m := r[0]
	return sum{m, max(r[1]-float64(m*m), 0), r[2] - float64(3*m*r[1]) + float64(2*float64(m*m*m))}
}

// product is of independent amounts.
func (r raw) product(q raw) raw {
	return raw{float64(r[0] * q[0]), float64(r[1] * q[1]), float64(r[2] * q[2])}
}
