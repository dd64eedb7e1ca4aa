package pages

import (
	"math"
	"strconv"
)

// A dotPlot shows a distribution as dots of equal chance: 50 on a wide page, 20
// on a narrow one. The eight in ten in the middle are filled, one in ten on
// either side hollow. People who see dots judge a chance better than by a curve
// or a band (M. Kay and others, "When (ish) is my bus?", CHI 2016; M. Fernandes
// and others, "Uncertainty displays using quantile dotplots", CHI 2018).
type dotPlot struct {
	Class         string // "wide", "narrow"
	Says          string // the picture in a sentence
	Width, Height int
	Base          string // where the dots stand
	R             string // radius of a dot
	Dots          []dot
	Ticks         []tick
	NumbersY      string
	Marks         []dotMark // moments or sums a person set, such as a ceiling
}

type dot struct {
	X, Y string
	Out  bool // among the one in ten on either side
}

// A dotMark is a stop across the picture.
type dotMark struct{ X, Top, Bottom, Text, TextX, TextY, Anchor string }

// A line is a place on the axis, in the unit of the quantiles.
type line struct {
	at   float64
	text string
}

// Measures of a dot plot in the units of its picture.
const (
	dotsHigh  = 104 // at most, of the stacks
	dotsFoot  = 26  // axis and its numbers
	dotsHead  = 18  // room for the words of a mark
	dotWidest = 5.4 // radius
)

// An outlook is what a dot plot shows: the value at a probability from 0 to 1,
// never falling.
type outlook struct {
	says     string
	quantile func(p float64) float64
	lines    func(from, to float64) []line // graduation between two values
	marks    []line
}

// dotPlots draws an outlook for two widths of page; a style sheet shows one.
func (o outlook) dotPlots() []dotPlot {
	return []dotPlot{o.draw("wide", 50, 380), o.draw("narrow", 20, 328)}
}

func (o outlook) draw(class string, n, width int) dotPlot {
	p := dotPlot{Class: class, Says: o.says, Width: width}
	values := make([]float64, n)
	for i := range values {
		values[i] = o.quantile((float64(i) + 0.5) / float64(n))
	}
	from, to := values[0], values[n-1]
	for _, m := range o.marks { // a mark not far off belongs in the picture
		if span := max(to-from, 1); m.at > from-span/2 && m.at < to+span/2 {
			from, to = min(from, m.at), max(to, m.at)
		}
	}
	r := dotWidest
	var stacks []stack
	for ; ; r *= 0.9 {
		stacks = pile(values, from, to, float64(width), r)
		tall := 0
		for _, s := range stacks {
			tall = max(tall, s.n)
		}
		if float64(tall)*2*r <= dotsHigh {
			break
		}
	}
	tall := 0
	for _, s := range stacks {
		tall = max(tall, s.n)
	}
	head := 4
	if len(o.marks) > 0 {
		head = dotsHead
	}
	base := head + int(math.Ceil(float64(tall)*2*r))
	p.Height, p.Base, p.R, p.NumbersY = base+dotsFoot, strconv.Itoa(base), px(r-0.4), strconv.Itoa(base+20)
	i, aside := 0, n/10
	for _, s := range stacks {
		for k := range s.n {
			p.Dots = append(p.Dots, dot{px(s.x), px(float64(base) - r - float64(k)*2*r), i < aside || i >= n-aside})
			i++
		}
	}
	x := func(v float64) float64 { return scaled(v, from, to, float64(width), r) }
	for _, l := range o.lines(from, to) {
		if at := x(l.at); at >= 0 && at <= float64(width) {
			p.Ticks = append(p.Ticks, tick{px(at), l.text})
		}
	}
	for _, m := range o.marks {
		at := x(m.at)
		if at < 0 || at > float64(width) {
			continue
		}
		mark := dotMark{X: px(at), Top: "4", Bottom: p.Base, Text: m.text, TextX: px(at - 5), TextY: "13", Anchor: "end"}
		if at < float64(width)/2 {
			mark.TextX, mark.Anchor = px(at+5), "start"
		}
		p.Marks = append(p.Marks, mark)
	}
	return p
}

// scaled is where a value stands in a picture, with room for a dot at the ends.
func scaled(v, from, to, width, r float64) float64 {
	if to <= from {
		return width / 2
	}
	return 2*r + (v-from)/(to-from)*(width-4*r)
}

// A stack is dots one above the other.
type stack struct {
	x float64
	n int
}

// pile puts values, in order, into stacks no nearer to each other than a dot is
// wide (L. Wilkinson, "Dot plots", The American Statistician 53, 1999): a stack
// takes what falls within a dot's width of its first value and stands at the
// middle of them.
func pile(values []float64, from, to, width, r float64) []stack {
	var stacks []stack
	for i := 0; i < len(values); {
		first := scaled(values[i], from, to, width, r)
		j := i + 1
		for j < len(values) && scaled(values[j], from, to, width, r) < first+2*r {
			j++
		}
		x := (first + scaled(values[j-1], from, to, width, r)) / 2
		if n := len(stacks); n > 0 {
			x = max(x, stacks[n-1].x+2*r)
		}
		stacks = append(stacks, stack{x, j - i})
		i = j
	}
	return stacks
}

// roundLines returns a graduation at round figures, at most about six.
func roundLines(from, to float64, text func(float64) string) []line {
	span := to - from
	if span <= max(abs(from), abs(to))*1e-9 { // no figure would tell the lines apart
		return []line{{from, text(from)}}
	}
	step := math.Pow(10, math.Floor(math.Log10(span)))
	for _, f := range []float64{0.1, 0.2, 0.5, 1, 2, 5} {
		if span/(step*f) <= 6 {
			step *= f
			break
		}
	}
	var lines []line
	first := math.Ceil(from / step)
	for i := range 8 {
		if at := (first + float64(i)) * step; at <= to {
			lines = append(lines, line{at, text(at)})
		}
	}
	return lines
}
