package main

import (
	"errors"
	"time"

	"ampwright/server/garage"

	"github.com/spf13/cobra"
)

type inviteJSON struct {
	Schema     string    `json:"schema"`
	Invitation string    `json:"invitation"` // a secret
	Until      time.Time `json:"until"`
	Address    string    `json:"address"`
}

func (p *program) invite() *cobra.Command {
	return &cobra.Command{
		Use: "invite", Short: "let another device join this garage",
		Long: `Asks the server of this garage (ampwright serve) for an invitation and prints it:
26 letters and digits, good for five minutes and for the first device that takes
it up. Whoever has it can read and write the whole logbook, so say it to nobody
else. On the other device it is given to ampwright sync. To send a device away
later: ampwright strike-off.`,
		Example: "  ampwright invite",
		Args:    atMost(0),
		RunE: func(*cobra.Command, []string) error {
			dir, err := p.place()
			if err != nil {
				return err
			}
			v, err := garage.Invite(dir)
			if errors.Is(err, garage.ErrNotServed) {
				return &adviceError{err, "start ampwright serve first, in another window"}
			}
			if err != nil {
				return err
			}
			body := inviteJSON{"ampwright/invite/1", v.Text, v.Until, v.Address}
			err = p.answer(body, func(pg *page) { pg.line("%s", body.Invitation) })
			if !p.json {
				p.talk("good until %s for one device; there: ampwright sync %s --invitation", v.Until.Local().Format(time.TimeOnly), v.Address)
			}
			return err
		},
	}
}
