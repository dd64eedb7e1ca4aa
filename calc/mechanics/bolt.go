package mechanics

// A strength is what a property class promises up to a diameter.
type strength struct {
	class          string
	upTo           float64 // mm, included
	proof, tensile float64 // MPa
	inch           bool    // a grade of SAE J429, for Unified threads
}

const ksi = 6.894757293168 // MPa, from 1 lb = 0.45359237 kg, 1 in = 25.4 mm, 9.80665 m/s²

// strengths: ISO 898-1:2013 table 3, proof stress nominal and tensile strength
// minimal (a maker's reproduction read). SAE J429: proof stress of grades 2, 5
// and 8 read in reproductions; grade 2 above 3/4 in and the tensile strengths
// are from memory.
var strengths = []strength{
	{"4.6", 39, 225, 400, false},
	{"4.8", 39, 310, 420, false},
	{"5.6", 39, 280, 500, false},
	{"5.8", 39, 380, 520, false},
	{"6.8", 39, 440, 600, false},
	{"8.8", 16, 580, 800, false},
	{"8.8", 39, 600, 830, false},
	{"9.8", 16, 650, 900, false},
	{"10.9", 39, 830, 1040, false},
	{"12.9", 39, 970, 1220, false},
	{"grade 2", 0.75 * 25.4, 55 * ksi, 74 * ksi, true},
	{"grade 2", 1.5 * 25.4, 33 * ksi, 60 * ksi, true},
	{"grade 5", 1 * 25.4, 85 * ksi, 120 * ksi, true},
	{"grade 5", 1.5 * 25.4, 74 * ksi, 105 * ksi, true},
	{"grade 8", 1.5 * 25.4, 120 * ksi, 150 * ksi, true},
}

func classes() (list []string) {
	for i, s := range strengths {
		if i == 0 || s.class != strengths[i-1].class {
			list = append(list, s.class)
		}
	}
	return list
}

// Strength returns the proof stress and the least tensile strength in MPa of a
// property class ("8.8": ISO 898-1, to 39 mm) or grade ("grade 5": SAE J429,
// to 1 1/2 in) for a thread of that kind and diameter. ok is false where the
// standard has no such bolt.
func Strength(class string, t Thread) (proofMPa, tensileMPa float64, ok bool) {
	for _, s := range strengths {
		if s.class == class && s.inch != t.Metric() && t.D <= s.upTo {
			return s.proof, s.tensile, true
		}
	}
	return 0, 0, false
}

// Torque returns the tightening torque in N·m for a preload in N on a thread
// of nominal diameter dMM: T = K d F. K, the nut factor, is about 0.20 plain
// and dry, 0.17 zinc-plated dry, 0.15 lubricated (torque table after SAE J429).
func Torque(k, dMM, preloadN float64) float64 { return k * dMM / 1000 * preloadN }

// Preload returns the preload in N that a torque in N·m gives: the inverse of
// [Torque].
func Preload(k, dMM, torqueNm float64) float64 { return torqueNm / (k * dMM / 1000) }

// shearFactor is alpha_v of EN 1993-1-8 table 3.4 for a shear plane through
// the thread, and fub, the nominal tensile strength of table 3.1 in MPa. 8.8
// and 10.9 were read in a bolt table, the others are from memory. The standard
// stops at 10.9.
var shearFactor = map[string]struct{ alpha, fub float64 }{
	"4.6": {0.6, 400}, "4.8": {0.5, 400}, "5.6": {0.6, 500}, "5.8": {0.5, 500},
	"6.8": {0.5, 600}, "8.8": {0.6, 800}, "10.9": {0.5, 1000},
}

// BoltShear returns the design shear resistance in N of one plane through the
// thread: alpha_v fub As / gammaM2, EN 1993-1-8 table 3.4. areaMM2 is the
// tensile stress area, fubMPa the nominal tensile strength. Static load only.
func BoltShear(alphaV, fubMPa, areaMM2, gammaM2 float64) float64 {
	return alphaV * fubMPa * areaMM2 / gammaM2
}
