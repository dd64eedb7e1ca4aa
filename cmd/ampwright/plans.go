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
	Hash    string `json:"hash"`  // SHA-256 of the plan's file
	Older   bool   `json:"older"` // there is a newer version: builds begun with this one keep it
}

func (p *program) plans() *cobra.Command {
	return &cobra.Command{
		Use: "plans", Short: "the plans a build can start from",
		Example: "  ampwright plans\n  ampwright start kart-chain \"Club kart\" --currency EUR", Args: atMost(0),
		RunE: func(*cobra.Command, []string) error {
			body := plansJSON{"ampwright/plans/1", []planJSON{}}
			for _, l := range plan.List() {
				newest, _ := plan.Builtin(l.ID, 0)
				body.Plans = append(body.Plans, planJSON{l.ID, l.Version, l.Title, l.Notes, len(l.Tasks), l.Hash, l != newest})
			}
			return p.answer(body, func(pg *page) {
				for _, l := range body.Plans {
					pg.row(l.Name, fmt.Sprintf("version %d", l.Version), fmt.Sprintf("%d tasks", l.Tasks), l.Title)
					if l.Older {
						pg.under("", "older: builds begun with it keep it, new ones begin with the newest")
						continue
					}
					pg.under("", l.Notes)
				}
			})
		},
	}
}
