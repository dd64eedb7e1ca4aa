package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"ampwright/server/backup"
	"ampwright/server/bolt"
	"ampwright/server/garage"

	"github.com/spf13/cobra"
)

type verifyJSON struct {
	Schema   string      `json:"schema"`
	File     string      `json:"file"`
	Whole    bool        `json:"whole"`
	Layout   int         `json:"layout"` // version of the file's layout
	MadeBy   string      `json:"madeBy"`
	Entries  int         `json:"entries"`
	Unknown  int         `json:"unknown"` // of a kind this program does not know
	Replicas []chainJSON `json:"replicas"`
	Damage   []string    `json:"damage"`
}

type chainJSON struct {
	Replica string `json:"replica"`
	Entries int    `json:"entries"`
	Forks   int    `json:"forks"` // entries that are not the only ones to follow the one before them
	Holes   int    `json:"holes"`
}

func (p *program) verify() *cobra.Command {
	return &cobra.Command{
		Use: "verify [FILE|FOLDER]", Short: "read a logbook's file from end to end and say if it is whole",
		Long: `Reads every page, every entry by its hash and every chain, and says what is
damaged. Nothing is changed. Exits with 3 when there is damage. Without a file it
verifies the garage's own, which no other program may have open. A backup is read
as ampwright backup verify does.`,
		Example: "  ampwright verify\n  ampwright verify ./copy/logbook.db && echo whole", Args: atMost(1),
		RunE: func(_ *cobra.Command, args []string) error {
			path, err := p.logbookFile(args)
			if err != nil {
				return err
			}
			if backup.Is(path) {
				return p.verifyBackup(path)
			}
			r, err := bolt.Verify(path)
			var held *bolt.HeldError
			switch {
			case errors.As(err, &held):
				return &garage.BusyError{Held: held}
			case errors.Is(err, fs.ErrNotExist):
				return wrong("name a logbook.db or the folder it is in", "there is no logbook at %s", path)
			case err != nil:
				return err
			}
			body := newVerify(path, r)
			if err := p.answer(body, body.words); err != nil {
				return err
			}
			if !body.Whole {
				return errNotMet
			}
			return nil
		},
	}
}

// logbookFile returns the file meant by a command line.
func (p *program) logbookFile(args []string) (string, error) {
	path := ""
	if len(args) == 1 {
		path = args[0]
	} else {
		var err error
		if path, err = p.place(); err != nil {
			return "", err
		}
	}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		path = filepath.Join(path, "logbook.db")
	}
	return path, nil
}

func newVerify(path string, r bolt.Report) verifyJSON {
	body := verifyJSON{
		Schema: "ampwright/verify/1", File: path, Whole: len(r.Damage) == 0, Layout: r.Schema, MadeBy: r.MadeBy, Entries: r.Entries, Unknown: r.Unknown,
		Replicas: []chainJSON{}, Damage: []string{},
	}
	for _, c := range r.Replicas {
		body.Replicas = append(body.Replicas, chainJSON{c.Replica.String(), c.Entries, c.Forks, c.Holes})
	}
	for _, d := range r.Damage {
		body.Damage = append(body.Damage, d.String())
	}
	return body
}

func (b verifyJSON) words(pg *page) {
	if b.Whole {
		pg.line("%s is whole: %d %s of %d %s", b.File, b.Entries, plural(b.Entries, "entry", "entries"), len(b.Replicas), plural(len(b.Replicas), "device", "devices"))
	} else {
		pg.line("%s is damaged: %d %s can be read", b.File, b.Entries, plural(b.Entries, "entry", "entries"))
	}
	for _, d := range b.Damage {
		pg.row(d)
	}
	for _, c := range b.Replicas {
		forks := ""
		if c.Forks > 0 {
			forks = fmt.Sprintf("%d %s: it was copied or restored", c.Forks, plural(c.Forks, "fork", "forks"))
		}
		pg.row(c.Replica, fmt.Sprintf("%d %s", c.Entries, plural(c.Entries, "entry", "entries")), forks)
	}
}
