package main

import (
	"fmt"

	"ampwright/model"
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
	Own     bool   `json:"own"`   // carried by the logbook, not built in
	Entry   string `json:"entry"` // that added it, where it is one's own
	Added   string `json:"added"` // by whom and when
	News    string `json:"news"`  // what is new in it
	Error   string `json:"error"` // why it cannot be used here
}

func (p *program) plans() *cobra.Command {
	return &cobra.Command{
		Use: "plans", Short: "the plans a build can start from",
		Example: "  ampwright plans\n  ampwright start kart-chain \"Club kart\" --currency EUR", Args: atMost(0),
		RunE: func(*cobra.Command, []string) error {
			body := plansJSON{"ampwright/plans/1", []planJSON{}}
			for _, l := range plan.List() {
				newest, _ := plan.Builtin(l.ID, 0)
				body.Plans = append(body.Plans, planJSON{Name: l.ID, Version: l.Version, Title: l.Title, Notes: l.Notes, Tasks: len(l.Tasks), Hash: l.Hash, Older: l != newest})
			}
			err := p.withPlans(func(l *model.Logbook) error {
				body.Plans = append(body.Plans, ownPlans(l)...)
				return nil
			})
			if err != nil {
				return err
			}
			return p.answer(body, func(pg *page) {
				for _, l := range body.Plans {
					if l.Error != "" {
						pg.row(l.Name, fmt.Sprintf("version %d", l.Version), l.Error)
						continue
					}
					pg.row(l.Name, fmt.Sprintf("version %d", l.Version), fmt.Sprintf("%d tasks", l.Tasks), l.Title)
					if l.Own {
						pg.under("your own, added by ", l.Added)
						pg.under("new in it: ", l.News)
					}
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
