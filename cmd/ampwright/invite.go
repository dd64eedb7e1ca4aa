package main

import (
	"errors"
	"strings"
	"time"

	"ampwright/server/garage"

	"github.com/spf13/cobra"
)

type inviteJSON struct {
	Schema     string    `json:"schema"`
	Invitation string    `json:"invitation"` // a secret
	Until      time.Time `json:"until"`
	Address    string    `json:"address"` // to give there to ampwright sync
	Others     []string  `json:"others"`  // more addresses of this computer
}

func (p *program) invite() *cobra.Command {
	c := &cobra.Command{
		Use: "invite", Short: "let another device join this garage",
		Long: `Asks the server of this garage (ampwright serve) for an invitation and prints it:
26 letters and digits, good for five minutes and for the first device that takes
it up. Whoever has it can read and write the whole logbook, so say it to nobody
else. On the other device it is given to ampwright sync. To send a device away
later: ampwright strike-off.

With --network it is for a laptop on the local network: 77 letters and digits, in
which the other finds by what certificate it knows this one. From then on the
server answers other laptops there, by https alone, whenever it runs; it lets in
those the garage knows or has invited. --network=false ends that.`,
		Example: "  ampwright invite\n  ampwright invite --network",
		Args:    atMost(0),
	}
	network := c.Flags().Bool("network", false, "for a laptop on the local network")
	c.RunE = func(c *cobra.Command, _ []string) error {
		dir, err := p.place()
		if err != nil {
			return err
		}
		var v garage.Invitation
		switch away := c.Flags().Changed("network") && !*network; {
		case away:
			err = garage.SendLaptopsAway(dir)
		case *network:
			v, err = garage.InviteLaptop(dir)
		default:
			v, err = garage.Invite(dir)
		}
		if errors.Is(err, garage.ErrNotServed) {
			return &adviceError{err, "start ampwright serve first, in another window"}
		}
		if err != nil {
			return err
		}
		if v.Text == "" {
			p.talk("other laptops on the local network are answered no more")
			return nil
		}
		body := inviteJSON{"ampwright/invite/1", v.Text, v.Until, v.Address, []string{}}
		for i, at := range v.At {
			if at = "wss://" + at; i == 0 {
				body.Address = at
			} else {
				body.Others = append(body.Others, at)
			}
		}
		err = p.answer(body, func(pg *page) { pg.line("%s", body.Invitation) })
		if !p.json {
			p.talk("good until %s for one device; there: ampwright sync %s --invitation", v.Until.Local().Format(time.TimeOnly), body.Address)
			if len(body.Others) > 0 {
				p.talk("this computer is also at %s", strings.Join(body.Others, ", "))
			}
		}
		return err
	}
	return c
}
