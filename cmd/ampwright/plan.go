package main

import (
	"fmt"
	"strings"

	"ampwright/model/plan"

	"github.com/spf13/cobra"
)

type planLintJSON struct {
	Schema  string           `json:"schema"`
	File    string           `json:"file"`
	Remarks []planRemarkJSON `json:"remarks"`
	Mend    int              `json:"mend"` // how many must be mended
}

type planRemarkJSON struct {
	Rule  string `json:"rule"`
	Place string `json:"place"`
	Text  string `json:"text"`
	Must  bool   `json:"must"`
}

func (p *program) plan() *cobra.Command {
	c := &cobra.Command{
		Use: "plan", Short: "look at a plan's file, or bring one of your own into the logbook",
		Long: `A plan is a data file that a person can read and edit: spec sheet, tasks, checks
and checklists. "plan show" writes one out, to be changed; "plan lint" says what is
wrong with a file, and what makes its checklists hard or dangerous to work by;
"plan add" puts it into the logbook, where every device has it; "plan next" makes
one of a build, from its own hours and prices. A plan that builds stand on is never
changed: give the file a new name or version. "plan move" moves a build to a newer
version, and first shows what that changes.`,
		Example: "  ampwright plan show kart-chain\n  ampwright plan lint my-plan.1.json 2>/dev/null || echo not yet",
		Args:    exactly(1, "show, lint, add, next, diff or move"),
		RunE: func(c *cobra.Command, args []string) error {
			return wrong("ampwright plan --help shows how it is used", "%q is none of show, lint, add, next, diff and move", args[0])
		},
	}
	c.AddCommand(p.planShow(), &cobra.Command{
		Use: "lint FILE", Aliases: []string{"check"}, Short: "what is wrong with a plan's file", Example: "  ampwright plan lint my-kart.1.json",
		Long:                  "Says what is wrong with a plan's file, and what makes its checklists hard or\ndangerous to work by. Exits with 3 when something must be mended.",
		DisableFlagsInUseLine: true, Args: exactly(1, "FILE"), RunE: func(_ *cobra.Command, args []string) error { return p.planLint(args[0]) },
	}, p.planAdd(), p.planNext(), p.planDiff(), p.planMove())
	return c
}

// planFaults is what is wrong with a plan's file, a line each.
func planFaults(err error) error {
	return &usageError{lines: strings.Split(err.Error(), "\n"), hint: "the format stands in the package comment of model/plan"}
}

func (p *program) planLint(file string) error {
	data, err := p.readPlanFile(file)
	if err != nil {
		return err
	}
	remarks, err := plan.Lint(file, data)
	if err != nil {
		return planFaults(err)
	}
	body := planLintJSON{"ampwright/plan-lint/1", file, []planRemarkJSON{}, 0}
	for _, r := range remarks {
		body.Remarks = append(body.Remarks, planRemarkJSON(r))
		if r.Must {
			body.Mend++
		}
	}
	err = p.answer(body, func(pg *page) {
		for _, r := range remarks {
			pg.line("%s", r.String())
		}
		pg.line("%s", fmt.Sprintf("%s: %d to mend, %d to look at", file, body.Mend, len(remarks)-body.Mend))
	})
	if err == nil && body.Mend > 0 {
		return errNotMet
	}
	return err
}
