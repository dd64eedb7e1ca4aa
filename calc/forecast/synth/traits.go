package synth

import "math"

// Traits are what a build is like. Each is drawn from the range beside it; the
// ranges are assumptions, wide on purpose, no published source. Those of the
// garage are drawn once; pace, scatter, growth and rework then vary from build to
// build, the last three by a quarter and to 1.2 of the range's end at most.
type Traits struct {
	Tasks      int     // in the plan: 12 to 150
	Size       float64 // middle estimate, hours: 0.5 to 3
	SizeSpread float64 // standard deviation of ln estimate: 0.4 to 1.1
	Single     bool    // estimates are single figures: 1 build in 3
	Blind      float64 // share of tasks without estimate: 0 in half of the builds, else up to 0.2

	// Of the garage.
	Pace         float64 // middle of ln(hours/likely estimate): -0.3 to 0.5 in the garage, 0.12 from build to build
	StageSpread  float64 // standard deviation of a stage's own pace, on the log: 0 to 0.4
	Scatter      float64 // standard deviation of ln(hours/estimate) in the build: 0.3 to 0.95
	Tail         int     // degrees of freedom of that error: 4 to 12
	SizeSlope    float64 // big tasks overrun less: 0 to 0.12 on the log
	Exact        float64 // share of tasks logged as estimated: 0 to 0.4
	Nothing      float64 // share of tasks that turn out to need nothing: 0 to 0.06
	Candour      float64 // ranges given, over what they should be: 0.3 to 1.1
	Growth       float64 // hours found over hours planned: 0 to 0.45
	Early        float64 // when tasks are found: 0.6 (late) to 2 (early); 1 is evenly over the hours of the plan
	Rework       float64 // hours of rework over hours planned: 0 to 0.2
	ReworkChance float64 // share of tasks done again: 0.05 to 0.25
	Lag          float64 // rework comes within this share of the build's tasks after the finish: 0.05 to 0.6
	InHand       int     // tasks begun at one time: 1 to 4
}

func draw(garage, number uint64) Traits {
	g, b := NewChance(garage, 0, "garage"), NewChance(garage, number, "build")
	vary := func(low, high float64) float64 {
		return min(g.Float(low, high)*math.Exp(0.25*b.Normal()), 1.2*high)
	}
	return Traits{
		Tasks:        int(math.Exp(b.Float(math.Log(12), math.Log(151)))),
		Size:         b.Float(0.5, 3),
		SizeSpread:   b.Float(0.4, 1.1),
		Single:       b.Hit(1.0 / 3),
		Blind:        max(0, b.Float(-0.2, 0.2)),
		Pace:         g.Float(-0.3, 0.5) + 0.12*b.Normal(),
		StageSpread:  g.Float(0, 0.4),
		Scatter:      vary(0.3, 0.95),
		Tail:         g.Int(4, 12),
		SizeSlope:    g.Float(0, 0.12),
		Exact:        g.Float(0, 0.4),
		Nothing:      g.Float(0, 0.06),
		Candour:      g.Float(0.3, 1.1),
		Growth:       vary(0, 0.45),
		Early:        b.Float(0.6, 2),
		Rework:       vary(0, 0.2),
		ReworkChance: g.Float(0.05, 0.25),
		Lag:          g.Float(0.05, 0.6),
		InHand:       g.Int(1, 4),
	}
}
