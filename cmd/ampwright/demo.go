package main

import (
	"errors"
	"fmt"
	"time"

	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/server/garage"

	"github.com/spf13/cobra"
)

type demoJSON struct {
	Schema  string    `json:"schema"`
	Folder  string    `json:"folder"`
	Entries int       `json:"entries"`
	Build   string    `json:"build"`
	End     time.Time `json:"end"` // the moment the demo ends
}

func (p *program) demo() *cobra.Command {
	return &cobra.Command{
		Use: "demo FOLDER", Short: "make a garage with a made-up build to look round in",
		Long:    "Makes a garage in FOLDER that holds the logbook of an invented, half-finished\nconversion. A folder with a logbook in it is refused.",
		Example: "  ampwright demo ./heron\n  ampwright serve --garage ./heron --clock " + demo.End.Format(time.RFC3339), Args: exactly(1, "FOLDER"),
		RunE: func(_ *cobra.Command, args []string) error {
			dir := args[0]
			if garage.Here(dir) {
				return wrong("name a new folder", "there is a logbook in %s already", dir)
			}
			raws, err := demo.Heron(plan.Builtin)
			if err != nil {
				return err
			}
			seals, err := demo.Seals(raws)
			if err != nil {
				return err
			}
			person := p.by
			if person == "" {
				person = "builder" // as in the demo
			}
			g, err := garage.Open(dir, garage.Config{Now: p.now, Person: person})
			if err != nil {
				return err
			}
			n, err := g.Import(raws, seals...)
			if err := errors.Join(err, g.Close()); err != nil {
				return fmt.Errorf("make the demo in %s: %w", dir, err)
			}
			end := demo.End.Format(time.RFC3339)
			return p.answer(demoJSON{"ampwright/demo/1", dir, n, demo.Build.String(), demo.End}, func(pg *page) {
				pg.line("made %s: %d entries of an invented build, up to %s", dir, n, demo.End.Format(minute))
				pg.line("look at it as it was then:")
				pg.row("ampwright next --garage " + dir + " --as-of " + end)
				pg.row("ampwright serve --garage " + dir + " --clock " + end)
			})
		},
	}
}
