package main

import (
	"fmt"
	"strconv"
	"strings"

	"ampwright/calc/catalogue"
	"ampwright/calc/desk"
	"ampwright/calc/unit"

	"github.com/spf13/cobra"
)

type calcListJSON struct {
	Schema       string         `json:"schema"`
	Calculations []calcKindJSON `json:"calculations"`
}

type calcKindJSON struct {
	Name     string       `json:"name"`
	Title    string       `json:"title"`
	Group    string       `json:"group"`
	Inputs   []inputJSON  `json:"inputs"`
	Outputs  []outputJSON `json:"outputs"`
	Formula  []string     `json:"formula"`
	Source   string       `json:"source"`
	Valid    string       `json:"valid,omitempty"`
	Cautions []string     `json:"cautions,omitempty"`
}

type inputJSON struct {
	Name    string   `json:"name"`
	Title   string   `json:"title"`
	Kind    string   `json:"kind"` // number, numbers, choice, text
	Unit    string   `json:"unit,omitempty"`
	Min     *float64 `json:"min,omitempty"`
	Max     *float64 `json:"max,omitempty"`
	Choices []string `json:"choices,omitempty"`
	Default string   `json:"default,omitempty"`
	Needed  bool     `json:"needed"`
}

type outputJSON struct {
	Name  string `json:"name"`
	Title string `json:"title"`
	Unit  string `json:"unit,omitempty"`
}

type calcJSON struct {
	Schema   string        `json:"schema"`
	Name     string        `json:"name"`
	In       []valueJSON   `json:"in"`
	Out      []valueJSON   `json:"out"`
	Working  []workingJSON `json:"working"`
	Notes    []string      `json:"notes,omitempty"`
	Cautions []string      `json:"cautions,omitempty"`
	Source   string        `json:"source"`
}

type valueJSON struct {
	Name    string    `json:"name"`
	Unit    string    `json:"unit,omitempty"`
	Value   *float64  `json:"value,omitempty"`
	Values  []float64 `json:"values,omitempty"`
	Text    string    `json:"text,omitempty"`
	Default bool      `json:"default,omitempty"`
}

type workingJSON struct {
	Name    string  `json:"name"`
	Formula string  `json:"formula"`
	Numbers string  `json:"numbers"`
	Value   float64 `json:"value"`
	Unit    string  `json:"unit,omitempty"`
}

func (p *program) calc() *cobra.Command {
	list := false
	c := &cobra.Command{
		Use: "calc [NAME] [INPUT=VALUE]...", Short: "a calculation of the trade, with its working and its source",
		Example: "  ampwright calc --list\n  ampwright calc precharge pack_max_V=84 precharge_ohm=220 controller_cap_uF=2200\n  ampwright calc bolt-torque --json thread=M8x1.25 class=8.8",
		RunE: func(c *cobra.Command, args []string) error {
			if list || len(args) == 0 {
				if len(args) > 0 {
					return wrong("ampwright calc --list shows them all", "%q is one word too many beside --list", args[0])
				}
				return p.listCalcs()
			}
			return p.runCalc(args[0], args[1:])
		},
	}
	c.Flags().BoolVar(&list, "list", false, "list the calculations")
	return c
}

func (p *program) listCalcs() error {
	body := calcListJSON{Schema: "ampwright/calc-list/1"}
	for _, c := range catalogue.All() {
		body.Calculations = append(body.Calculations, kindJSON(c))
	}
	return p.answer(body, func(pg *page) {
		group := ""
		for _, c := range catalogue.All() {
			if c.Group != group {
				group = c.Group
				pg.head("%s", group)
			}
			pg.row(c.Name, c.Title)
		}
	})
}

func kindJSON(c *desk.Calc) calcKindJSON {
	k := calcKindJSON{
		Name: c.Name, Title: c.Title, Group: c.Group, Formula: c.Formula, Source: c.Source, Valid: c.Valid, Cautions: c.Cautions,
	}
	for _, in := range c.Inputs {
		j := inputJSON{Name: in.Name, Title: in.Title, Kind: "number", Unit: in.Unit, Choices: in.Choices, Needed: in.Default == ""}
		if in.Default != "-" {
			j.Default = in.Default
		}
		switch {
		case len(in.Choices) > 0:
			j.Kind = "choice"
		case in.Text:
			j.Kind = "text"
		default:
			j.Min, j.Max = &in.Min, &in.Max
			if in.List {
				j.Kind = "numbers"
			}
		}
		k.Inputs = append(k.Inputs, j)
	}
	for _, out := range c.Outputs {
		k.Outputs = append(k.Outputs, outputJSON{out.Name, out.Title, out.Unit})
	}
	return k
}

func (p *program) runCalc(name string, pairs []string) error {
	c, err := catalogue.Find(name)
	if err != nil {
		return wrong("ampwright calc --list shows them all", "%v", err)
	}
	typed := map[string]string{}
	for _, pair := range pairs {
		k, v, ok := strings.Cut(pair, "=")
		if !ok || k == "" {
			return wrong("ampwright calc --list --json names the inputs", "%q: want INPUT=VALUE", pair)
		}
		if _, twice := typed[k]; twice {
			return wrong("give each input once", "%s is given twice", k)
		}
		typed[k] = v
	}
	r, err := c.Run(typed, unit.Style{})
	if err != nil {
		return wrong("inputs of "+c.Name+": "+inputsOf(c), "%v", err)
	}
	body := calcJSON{
		Schema: "ampwright/calc/1", Name: c.Name, In: valuesJSON(r.In), Out: valuesJSON(r.Out), Notes: r.Notes, Cautions: c.Cautions, Source: c.Source,
	}
	for _, l := range r.Lines {
		body.Working = append(body.Working, workingJSON(l))
	}
	return p.answer(body, func(pg *page) { writeCalc(pg, &r) })
}

func inputsOf(c *desk.Calc) string {
	var list []string
	for _, in := range c.Inputs {
		list = append(list, in.Name)
	}
	return strings.Join(list, ", ")
}

func valuesJSON(values []desk.Value) []valueJSON {
	out := []valueJSON{}
	for _, v := range values {
		j := valueJSON{Name: v.Name, Unit: v.Unit, Values: v.List, Text: v.Text, Default: v.Default}
		if v.List == nil && v.Unit != "" {
			n := v.Number
			j.Value, j.Text = &n, ""
		}
		out = append(out, j)
	}
	return out
}

func writeCalc(pg *page, r *desk.Result) {
	pg.line("%s  %s", r.Calc.Name, r.Calc.Title)
	for _, in := range r.In {
		mark := ""
		if in.Default {
			mark = "taken, not typed"
		}
		pg.row(in.Name, in.Text, mark, in.Title)
	}
	if len(r.Lines) > 0 {
		pg.head("working")
	}
	for _, l := range r.Lines {
		pg.row(l.Name, "= "+l.Formula)
		pg.row("", "= "+l.Numbers)
		pg.row("", "= "+amount(l.Value, l.Unit))
	}
	pg.head("result")
	for _, v := range r.Out {
		text := v.Text
		if v.Unit != "" {
			text = amount(v.Number, v.Unit)
		}
		pg.row(v.Name, text, v.Title)
	}
	for _, n := range r.Notes {
		pg.line("note: %s", n)
	}
	pg.head("source: %s", r.Calc.Source)
	pg.line("%s", r.Calc.Valid)
	for _, c := range r.Calc.Cautions {
		pg.line("caution: %s", c)
	}
}

// amount writes a result with its unit and six figures: enough to check by hand.
func amount(v float64, u string) string {
	text := strconv.FormatFloat(v, 'g', 6, 64)
	if u == "count" || u == "ratio" {
		return text
	}
	return strings.TrimSpace(fmt.Sprintf("%s %s", text, unit.Symbol(u)))
}
