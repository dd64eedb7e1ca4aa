package main

import (
	"fmt"

	"ampwright/model/plan"

	"github.com/spf13/cobra"
)

type plansJSON struct {
	Schema string     `json:"schema"`
	Plans  []planJSON `json:"plans"`
}

type planJSON struct {
	Name    string `json:"name"`
	Version int    `json:"version"`
	Title   string `json:"title"`
	Notes   string `json:"notes"`
	Tasks   int    `json:"tasks"`
	Hash    string `json:"hash"` // SHA-256 of the plan's file
}

func (p *program) plans() *cobra.Command {
	return &cobra.Command{
		Use: "plans", Short: "the plans a build can start from",
		Example: "  ampwright plans\n  ampwright start kart-chain \"Club kart\" --currency EUR", Args: atMost(0),
		RunE: func(*cobra.Command, []string) error {
			body := plansJSON{"ampwright/plans/1", []planJSON{}}
			for _, l := range plan.List() {
				body.Plans = append(body.Plans, planJSON{l.ID, l.Version, l.Title, l.Notes, len(l.Tasks), l.Hash})
			}
			return p.answer(body, func(pg *page) {
				for _, l := range body.Plans {
					pg.row(l.Name, fmt.Sprintf("version %d", l.Version), fmt.Sprintf("%d tasks", l.Tasks), l.Title)
					pg.under("", l.Notes)
				}
			})
		},
	}
}
