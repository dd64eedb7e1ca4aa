package main

import (
	"strconv"
	"time"

	"ampwright/client/words"
	"ampwright/server/garage"

	"github.com/spf13/cobra"
)

type devicesJSON struct {
	head
	Devices []deviceJSON `json:"devices"`
}

type deviceJSON struct {
	Replica     string     `json:"replica"`
	Name        string     `json:"name"`
	Person      string     `json:"person"`
	Here        bool       `json:"here"` // the one this folder writes as
	Entries     int        `json:"entries"`
	LastWritten time.Time  `json:"lastWritten"`
	MetAt       *time.Time `json:"metAt"`         // last meeting on record
	OffsetMs    int64      `json:"clockOffsetMs"` // its clock minus the other's at that meeting
}

func (p *program) devices() *cobra.Command {
	return &cobra.Command{
		Use: "devices", Short: "the devices that wrote in this logbook",
		Long:    "Lists the copies of the logbook that wrote in it: how many entries of each are\nhere, and when the last one was written.",
		Example: "  ampwright devices\n  ampwright devices --json", Args: atMost(0),
		RunE: func(*cobra.Command, []string) error {
			dir, err := p.place()
			if err != nil {
				return err
			}
			return p.lookAround(func(v view) error {
				own, _ := garage.ReadDevice(dir) // none yet, or damaged: then nobody is here
				_, devices := v.log.Garage()
				body := devicesJSON{v.head("devices"), []deviceJSON{}}
				for _, d := range devices {
					body.Devices = append(body.Devices, deviceJSON{
						d.Replica.String(), d.Name, d.Person, d.Replica == own.Replica, d.Entries, d.Last.Time().In(v.now.Location()), when(d.Met), d.Offset.Milliseconds(),
					})
				}
				return p.answer(body, func(pg *page) {
					for _, d := range body.Devices {
						here := ""
						if d.Here {
							here = "this copy"
						}
						entries := strconv.Itoa(d.Entries) + " " + plural(d.Entries, "entry", "entries")
						pg.row(d.Replica, d.Name, d.Person, entries, "last "+d.LastWritten.Format(minute), here)
						if d.MetAt != nil {
							pg.under("met "+d.MetAt.Format(minute), ", its clock "+words.Ahead(time.Duration(d.OffsetMs)*time.Millisecond))
						}
					}
				})
			})
		},
	}
}
