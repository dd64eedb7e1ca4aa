package main

import (
	"fmt"
	"strconv"
	"time"

	"ampwright/client/words"
	"ampwright/model"
	"ampwright/server/garage"

	"github.com/google/uuid"
	"github.com/spf13/cobra"
)

type devicesJSON struct {
	head
	Devices []deviceJSON `json:"devices"`
	Alone   int          `json:"onThisDeviceOnly"` // entries no other device is known to hold; 0 with --as-of
	Oldest  *time.Time   `json:"oldestOfThem"`     // when the first of them was written
	State   string       `json:"state"`            // the same on two devices that hold the same entries
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
	Continues   string     `json:"continues"`     // the replica it continues after a restore
	Closed      *closeJSON `json:"closed"`        // who struck it off
	Held        int        `json:"held"`          // entries of it that are held back
	Fork        *forkJSON  `json:"fork"`          // it was duplicated
	HeardAt     *time.Time `json:"heardAt"`       // when it last said what it holds; null if never, or with --as-of
	Lacks       int        `json:"lacks"`         // entries here that it is not known to hold, if it was heard
	Beyond      int        `json:"beyond"`        // devices of which it was heard to hold entries that are not here
	Unsealed    int        `json:"unsealed"`      // entries without a seal, passed on only as a file; 0 with --as-of
}

type closeJSON struct {
	Entry  string     `json:"entry"`
	At     *time.Time `json:"at"`
	Who    string     `json:"who"`
	Reason string     `json:"reason"`
	Upto   uint64     `json:"upto"` // number of its last entry that counts; 0 for none
}

type forkJSON struct {
	Number uint64   `json:"number"` // the first that two entries bear
	Heads  []string `json:"heads"`  // last entries of its lines
}

func newDevice(d model.Device, here bool, now time.Time) deviceJSON {
	j := deviceJSON{
		Replica: d.Replica.String(), Name: d.Name, Person: d.Person, Here: here, Entries: d.Entries, LastWritten: d.Last.Time().In(now.Location()),
		MetAt: when(d.Met), OffsetMs: d.Offset.Milliseconds(), Held: d.Held,
	}
	if d.Was != uuid.Nil {
		j.Continues = d.Was.String()
	}
	if c := d.Closed; c != nil {
		j.Closed = &closeJSON{c.ID.String(), when(c.ReplicaClose.At), c.Person, c.Reason, c.Last.Seq}
	}
	if f := d.Fork; f != nil {
		j.Fork = &forkJSON{Number: f.Number}
		for _, h := range f.Heads {
			j.Fork.Heads = append(j.Fork.Heads, h.ID.String())
		}
	}
	return j
}

func (p *program) devices() *cobra.Command {
	return &cobra.Command{
		Use: "devices", Short: "the devices that wrote in this logbook",
		Long:    "Lists the copies of the logbook that wrote in it: how many entries of each are\nhere, and when the last one was written; which were struck off or duplicated,\nand how many of their entries are held back. Of each that was linked with this\ncopy: when it last said what it holds, and what it lacked then. The last lines\nare the state, by which two devices are compared, and what is on this device only.",
		Example: "  ampwright devices\n  ampwright devices --json", Args: atMost(0),
		RunE: func(*cobra.Command, []string) error {
			dir, err := p.place()
			if err != nil {
				return err
			}
			return p.lookAround(func(v view) error {
				own, _ := garage.ReadDevice(dir) // none yet, or damaged: then nobody is here
				_, devices := v.log.Garage()
				body := devicesJSON{head: v.head("devices"), Devices: []deviceJSON{}, State: model.DigestText(v.log.Digest())}
				heard := p.heard()
				if v.kept != nil {
					var oldest model.Stamp
					if body.Alone, oldest = v.kept.Alone(); body.Alone > 0 {
						at := oldest.Time().In(v.now.Location())
						body.Oldest = &at
					}
				}
				unsealed := v.log.Unsealed()
				for _, d := range devices {
					j := newDevice(d, d.Replica == own.Replica, v.now)
					if p.asOf == "" { // a seal of then may have been dropped for a later one
						j.Unsealed = unsealed[d.Replica]
						if peer, ok := heard[d.Replica]; ok && !j.Here {
							at := peer.Heard.In(v.now.Location())
							j.HeardAt, j.Lacks, j.Beyond = &at, v.log.Lacks(peer.Vector), v.log.Beyond(peer.Vector)
						}
					}
					body.Devices = append(body.Devices, j)
				}
				return p.answer(body, func(pg *page) {
					for i, d := range body.Devices {
						here := ""
						if d.Here {
							here = "this copy"
						}
						entries := strconv.Itoa(d.Entries) + " " + plural(d.Entries, "entry", "entries")
						pg.row(d.Replica, d.Name, d.Person, entries, "last "+d.LastWritten.Format(minute), here)
						for _, remark := range words.Remarks(v.wording(), devices[i]) {
							pg.under("", remark)
						}
						if n := d.Unsealed; n > 0 {
							pg.under("", fmt.Sprintf("%d %s without a seal: %s passed on only as a file", n, plural(n, "entry", "entries"), plural(n, "it is", "they are")))
						}
						if d.HeardAt != nil && len(model.Next(devices, devices[i].Replica)) == 0 {
							pg.under("heard "+d.HeardAt.Format(minute), ", "+words.Lacks(d.Lacks, d.Beyond))
						}
						if d.MetAt != nil {
							pg.under("met "+d.MetAt.Format(minute), ", its clock "+words.Ahead(time.Duration(d.OffsetMs)*time.Millisecond))
						}
					}
					pg.line("state %s: a device that shows the same holds the same entries", body.State)
					if alone := v.aloneWords(); alone != "" {
						pg.line("%s", alone)
					}
				})
			})
		},
	}
}
