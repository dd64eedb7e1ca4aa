package main

import (
	"strings"

	"ampwright/calc/unit"
	"ampwright/model"

	"github.com/spf13/cobra"
)

type sheetJSON struct {
	head
	Inputs  []specJSON `json:"inputs"`
	Derived []specJSON `json:"derived"`
}

type specJSON struct {
	Name    string   `json:"name"`
	Title   string   `json:"title"`
	Unit    string   `json:"unit"`
	Value   *float64 `json:"value"`   // null when there is none
	Default bool     `json:"default"` // the plan's placeholder stands: nobody has typed it
	Basis   string   `json:"basis"`
	Source  string   `json:"source"` // the note it was written with; of a calculation, its source
	Calc    string   `json:"calc"`   // the calculation that gives it; "" for inputs and formulas of the plan
	Formula string   `json:"formula"`
	Working string   `json:"working"`
	Error   string   `json:"error"`
}

func (p *program) sheet() *cobra.Command {
	return &cobra.Command{
		Use: "sheet [WORD]", Short: "the spec sheet: inputs, and what follows from them",
		Long:    "Shows the inputs of the spec sheet (write one with ampwright spec) and the\nvalues computed from them. With a WORD only lines that hold it.",
		Example: "  ampwright sheet\n  ampwright sheet pack\n  ampwright sheet --json", Args: atMost(1),
		RunE: p.look(func(v view, args []string) error {
			word := strings.ToLower(strings.Join(args, ""))
			body := sheetJSON{v.head("sheet"), v.specLines(v.build.Spec.Inputs, word), v.specLines(v.build.Spec.Derived, word)}
			if len(body.Inputs)+len(body.Derived) == 0 {
				return wrong("ampwright sheet shows all of it", "%q is nowhere on the spec sheet", args[0])
			}
			return p.answer(body, func(pg *page) {
				pg.line("%s", v.title())
				section(pg, "typed", len(body.Inputs))
				for _, s := range body.Inputs {
					from := s.Source
					if s.Default {
						from = "placeholder of the plan"
					}
					pg.row(s.Name, v.specValue(s), s.Title, from)
				}
				section(pg, "computed", len(body.Derived))
				for _, s := range body.Derived {
					pg.row(s.Name, v.specValue(s), s.Title, s.Working, s.Calc)
				}
			})
		}),
	}
}

func (v view) specLines(values []*model.SpecValue, word string) []specJSON {
	out := []specJSON{}
	for _, s := range values {
		if !strings.Contains(strings.ToLower(s.ID+" "+s.Title), word) {
			continue
		}
		line := specJSON{Name: s.ID, Title: s.Title, Unit: s.Unit, Default: s.Default, Basis: s.Basis, Error: s.Err}
		if s.Err == "" {
			line.Value = &s.Value
		}
		if w := s.Field.Value(); w != nil {
			line.Source = w.Note
		}
		if s.Formula != "" {
			work := v.build.Spec.Working(s, v.style)
			line.Formula, line.Working = work.Formula, work.Numbers
		}
		if s.Calc != nil {
			line.Calc, line.Source = s.Calc.Name, s.Calc.Source
		}
		out = append(out, line)
	}
	return out
}

func (v view) specValue(s specJSON) string {
	if s.Value == nil {
		return s.Error
	}
	return unit.Format(*s.Value, s.Unit, v.style)
}
