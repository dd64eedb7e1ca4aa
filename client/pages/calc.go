package pages

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"ampwright/calc/catalogue"
	"ampwright/calc/desk"
	"ampwright/calc/unit"
	"ampwright/client/words"
)

// calcsPage is all that calcs.html can see: the engineering desk.
type calcsPage struct {
	*frame
	Groups []calcGroup
	Count  string
}

type calcGroup struct {
	Title string
	Calcs []calcLine
}

type calcLine struct{ Href, Title, Name, Gives, Source string }

// calcs lists the calculations with the source of each.
func (v *visit) calcs() (Response, error) {
	p := calcsPage{frame: v.frame("spec sheet", "engineering desk")}
	all := catalogue.All()
	for _, c := range all {
		if len(p.Groups) == 0 || p.Groups[len(p.Groups)-1].Title != c.Group {
			p.Groups = append(p.Groups, calcGroup{Title: c.Group})
		}
		g := &p.Groups[len(p.Groups)-1]
		var gives []string
		for _, o := range c.Outputs {
			gives = append(gives, words.Lower(o.Title))
		}
		g.Calcs = append(g.Calcs, calcLine{v.at() + "/calc/" + c.Name, c.Title, c.Name, strings.Join(gives, ", "), c.Source})
	}
	p.Count = count(len(all), "calculation", "calculations")
	return v.render(statusOK, "calcs.html", p)
}

// maxVariants is how many ways a calculation is tried side by side.
const maxVariants = 3

// calcPage is all that calc.html can see: one calculation, tried up to three
// ways side by side. Nothing on it is written down.
type calcPage struct {
	*frame
	Name, Heading2 string
	Formula        []string
	Source, Valid  string
	Cautions       []string
	Back           string
	Inputs         []calcInput
	Columns        []int // 1, 2, 3
	Results        []calcOutput
	Variants       []calcVariant
	More           string // address with one more column; "" at the most
	Asked          bool
	Twins          []twin
}

type calcInput struct {
	Name, Title, Unit, Range string
	Choices                  []string
	Boxes                    []calcBox
}

type calcBox struct {
	Field, Value, From, Err string
	Nth                     string // its column: A, B, C
	Text                    bool   // no unit, letters too
}

type calcOutput struct {
	Title string
	Cells []string
}

type calcVariant struct {
	Nth    string
	Err    string
	Lines  []desk.Line
	Shown  []string // values of the lines, with units
	Notes  []string
	Curves []curve
}

// boxName is the name of a variant's box: the input's own for the first.
func boxName(name string, variant int) string {
	if variant == 0 {
		return name
	}
	return name + "." + strconv.Itoa(variant+1)
}

// nth is the letter of a column.
func nth(variant int) string { return string(rune('A' + variant)) }

func (v *visit) calc() (Response, error) {
	c, err := catalogue.Find(v.args[0])
	if err != nil {
		return Response{}, missing("there is no calculation %q", v.args[0])
	}
	query := asMeant(v.req.Query)
	n := 1
	if cols, err := strconv.Atoi(query.Get("cols")); err == nil {
		n = max(1, min(cols, maxVariants))
	}
	p := calcPage{
		frame: v.frame("spec sheet", c.Title), Name: c.Name, Heading2: c.Title, Formula: c.Formula, Source: c.Source, Valid: c.Valid,
		Cautions: c.Cautions, Back: v.at() + "/calc", Asked: query.Get("work") != "",
	}
	typed := make([]map[string]string, n)
	for i := range typed {
		typed[i] = map[string]string{}
		p.Columns = append(p.Columns, i+1)
	}
	for _, in := range c.Inputs {
		line := calcInput{Name: in.Name, Title: in.Title, Unit: unit.Symbol(in.Unit), Range: in.Range(), Choices: in.Choices}
		if in.Unit == "count" || in.Unit == "ratio" {
			line.Unit = ""
		}
		for i := range n {
			box := calcBox{Field: boxName(in.Name, i), Nth: nth(i), Text: in.Text}
			switch {
			case query.Has(box.Field):
				box.Value = query.Get(box.Field)
			case i > 0 && query.Has(in.Name):
				box.Value = query.Get(in.Name) // the new column begins as the first
			default:
				box.Value, box.From = v.fromSheet(in)
			}
			typed[i][in.Name] = box.Value
			line.Boxes = append(line.Boxes, box)
		}
		p.Inputs = append(p.Inputs, line)
	}
	results := make([]desk.Result, n)
	for i := range n {
		r, err := c.Run(typed[i], v.style())
		variant := calcVariant{Nth: nth(i)}
		if err != nil {
			p.blame(err, i, &variant)
			p.Twins = append(p.Twins, v.twins(err, c, i)...)
		}
		results[i] = r
		for _, l := range r.Lines {
			variant.Lines = append(variant.Lines, l)
			variant.Shown = append(variant.Shown, v.result(l.Value, l.Unit))
		}
		variant.Notes = r.Notes
		for _, k := range r.Curves {
			variant.Curves = append(variant.Curves, v.curve(k))
		}
		p.Variants = append(p.Variants, variant)
	}
	for _, o := range c.Outputs {
		line := calcOutput{Title: o.Title}
		for i := range n {
			cell := ""
			if got, ok := results[i].Get(o.Name); ok {
				cell = got.Text
				if o.Unit != "" {
					cell = v.result(got.Number, o.Unit)
				}
			}
			line.Cells = append(line.Cells, cell)
		}
		if strings.Join(line.Cells, "") != "" { // what was left out gives nothing
			p.Results = append(p.Results, line)
		}
	}
	if n < maxVariants {
		q := url.Values{}
		for k, vs := range query {
			q[k] = vs
		}
		q.Set("cols", strconv.Itoa(n+1))
		p.More = v.at() + "/calc/" + c.Name + "?" + q.Encode()
	}
	status := statusOK
	if p.Asked && p.Variants[0].Err != "" {
		status = statusUnprocessable
	}
	return v.render(status, "calc.html", p)
}

// blame puts an error beside the box it is about. A form that was only opened
// asks for what is missing without calling it wrong.
func (p *calcPage) blame(err error, i int, variant *calcVariant) {
	variant.Err = err.Error()
	bad, ok := err.(*desk.InputError)
	if !ok {
		return
	}
	for k := range p.Inputs {
		if !p.Asked && bad.Value == "" {
			if p.Inputs[k].Name == bad.Input {
				variant.Err = "fill in: " + words.Lower(p.Inputs[k].Title)
			}
			continue
		}
		if p.Inputs[k].Name == bad.Input {
			p.Inputs[k].Boxes[i].Err = bad.Want
			if bad.Value != "" {
				p.Inputs[k].Boxes[i].Err = "“" + bad.Value + "”: " + bad.Want
			}
		}
	}
}

// twins are the two readings of the value an error is about, if it has two.
func (v *visit) twins(err error, c *desk.Calc, variant int) []twin {
	bad, ok := err.(*desk.InputError)
	if !ok {
		return nil
	}
	for _, in := range c.Inputs {
		if in.Name == bad.Input && !in.Text && !in.List && len(in.Choices) == 0 {
			if t, ok := v.twinOf(boxName(in.Name, variant), bad.Value, in.Unit); ok {
				return []twin{t}
			}
		}
	}
	return nil
}

// fromSheet returns what an input is taken to be until something is typed: the
// spec sheet's value of that name, else the calculation's own default.
func (v *visit) fromSheet(in desk.Input) (value, from string) {
	if s := v.b.Spec.Get(in.Name); s != nil && s.Err == "" && !in.Text && !in.List && len(in.Choices) == 0 {
		value = strconv.FormatFloat(s.Value, 'g', 10, 64)
		if s.Unit != in.Unit {
			value += " " + s.Unit
		}
		if _, err := unit.Parse(value, in.Unit, unit.Point); err == nil { // the same name may mean another quantity
			return v.mark(value), "from the spec sheet"
		}
	}
	if in.Default == "-" {
		return "", "may be left out"
	}
	if in.Default != "" {
		if in.Text || len(in.Choices) > 0 {
			return in.Default, "usual"
		}
		return v.mark(in.Default), "usual"
	}
	return "", ""
}

// mark writes a figure with the decimal mark of the settings.
func (v *visit) mark(s string) string {
	if v.style().Mark == unit.Comma {
		return strings.ReplaceAll(s, ".", ",")
	}
	return s
}

// result writes a result with four figures; the working shows more.
func (v *visit) result(x float64, u string) string {
	text := strconv.FormatFloat(x, 'g', 4, 64)
	if a := abs(x); a >= 1000 && a < 1e7 {
		text = strconv.FormatFloat(x, 'f', 0, 64)
	} else if strings.Contains(text, "e") && a >= 1e-6 && a < 1 {
		text = strconv.FormatFloat(x, 'f', 8, 64)
	}
	text = v.mark(text)
	if sym := unit.Symbol(u); u != "count" && u != "ratio" && sym != "" {
		text += " " + sym
	}
	return text
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}

// curve is a picture drawn by us, with its table and its sentence.
type curve struct {
	Title, Sentence string
	X, Y            string // axis titles with units
	Path            string
	XTicks, YTicks  []tick
	Rows            [][2]string
}

type tick struct {
	At   string
	Text string
}

const (
	curveWidth, curveHeight = 480, 220
	curveLeft, curveBottom  = 56, 30
)

// curve lays a curve out on paper.
func (v *visit) curve(k desk.Curve) curve {
	c := curve{Title: k.Title, Sentence: k.Sentence, X: axis(k.X), Y: axis(k.Y)}
	if len(k.Points) < 2 {
		return c
	}
	x0, x1, y0, y1 := k.Points[0][0], k.Points[0][0], 0.0, 0.0
	for _, p := range k.Points {
		x0, x1, y0, y1 = min(x0, p[0]), max(x1, p[0]), min(y0, p[1]), max(y1, p[1])
	}
	if x1 == x0 || y1 == y0 {
		return c
	}
	at := func(x, y float64) (float64, float64) {
		return curveLeft + (x-x0)/(x1-x0)*(curveWidth-curveLeft-12), (curveHeight - curveBottom) - (y-y0)/(y1-y0)*(curveHeight-curveBottom-12)
	}
	var path strings.Builder
	for i, p := range k.Points {
		px, py := at(p[0], p[1])
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		fmt.Fprintf(&path, "%s%.1f %.1f", letter, px, py)
	}
	c.Path = path.String()
	for i := range 5 {
		f := float64(i) / 4
		px, _ := at(x0+f*(x1-x0), 0)
		_, py := at(x0, y0+f*(y1-y0))
		c.XTicks = append(c.XTicks, tick{fmt.Sprintf("%.1f", px), v.mark(strconv.FormatFloat(x0+f*(x1-x0), 'g', 3, 64))})
		c.YTicks = append(c.YTicks, tick{fmt.Sprintf("%.1f", py), v.mark(strconv.FormatFloat(y0+f*(y1-y0), 'g', 3, 64))})
	}
	step := max(1, (len(k.Points)-1)/10)
	for i := 0; i < len(k.Points); i += step {
		c.Rows = append(c.Rows, [2]string{v.result(k.Points[i][0], k.X.Unit), v.result(k.Points[i][1], k.Y.Unit)})
	}
	return c
}

func axis(a desk.Axis) string {
	if sym := unit.Symbol(a.Unit); a.Unit != "count" && a.Unit != "ratio" && sym != "" {
		return a.Title + ", " + sym
	}
	return a.Title
}
