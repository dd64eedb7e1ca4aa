package main

import (
	"strconv"
	"time"

	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/spf13/cobra"
)

type buildsJSON struct {
	head
	Builds []buildJSON `json:"builds"` // in the order they were started
}

type buildJSON struct {
	ID            uuid.UUID  `json:"id"`
	Title         string     `json:"title"`
	Plan          string     `json:"plan"`
	StartedAt     *time.Time `json:"startedAt"`
	LoggedMinutes int64      `json:"loggedMinutes"`
	TasksOpen     int        `json:"tasksOpen"`
	Entries       int        `json:"entries"`
	Error         string     `json:"error"` // why it cannot be shown
}

func (p *program) builds() *cobra.Command {
	return &cobra.Command{
		Use: "builds", Short: "the builds of the garage",
		Long:    "Lists the builds, oldest first. Commands are about the newest one unless --build\nnames another: by its title, words of it, or the first letters of its ID.",
		Example: "  ampwright builds\n  ampwright show --build heron", Args: atMost(0),
		RunE: func(*cobra.Command, []string) error {
			return p.lookAround(func(v view) error {
				body := buildsJSON{v.head("builds"), []buildJSON{}}
				for _, id := range v.log.BuildIDs() {
					j := buildJSON{ID: id, Entries: v.log.Count(id)}
					if b, err := v.log.Build(id, v.now, plan.Builtin); err != nil {
						j.Error = err.Error()
					} else {
						j.Title, j.Plan, j.StartedAt, j.LoggedMinutes = b.Title, b.Plan.ID, when(b.StartAt), b.Hours.Logged
						for _, t := range b.Tasks {
							if t.Open() {
								j.TasksOpen++
							}
						}
					}
					body.Builds = append(body.Builds, j)
				}
				return p.answer(body, func(pg *page) {
					if len(body.Builds) == 0 {
						pg.line(`none yet: ampwright start small-motorcycle-hub "Trail bike" --currency EUR`)
					}
					for _, b := range body.Builds {
						if b.Error != "" {
							pg.row(b.ID.String()[:8], b.Error)
							continue
						}
						pg.row(b.ID.String()[:8], dayOf(b.StartedAt), v.hours(b.LoggedMinutes), strconv.Itoa(b.TasksOpen)+" open", b.Title)
					}
				})
			})
		},
	}
}
