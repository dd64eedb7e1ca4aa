package main

import (
	"errors"
	"fmt"
	"io/fs"
	"time"

	"ampwright/server/backup"
	"ampwright/server/garage"

	"github.com/spf13/cobra"
)

type backupJSON struct {
	Schema  string    `json:"schema"`
	File    string    `json:"file"`
	Made    time.Time `json:"made"`
	Program string    `json:"program"`
	Replica string    `json:"replica"` // of the copy it was made of
	Device  string    `json:"device"`  // what that device is called
	Devices int       `json:"devices"` // that wrote in the logbook
	Entries int       `json:"entries"`
	Photos  int       `json:"photos"`
	LeftOut []string  `json:"leftOut"` // SHA-256 of photos that did not read
}

func (p *program) newBackup(file string, h backup.Header) backupJSON {
	return backupJSON{
		"ampwright/backup/1", file, h.Made.In(p.now().Location()), h.Program, h.Replica.String(), h.Device, len(h.Chains), h.Entries, h.Blobs, []string{},
	}
}

// content says how much there is.
func (b backupJSON) content() string {
	return fmt.Sprintf("%d %s of %d %s, %d %s", b.Entries, plural(b.Entries, "entry", "entries"), b.Devices, plural(b.Devices, "device", "devices"),
		b.Photos, plural(b.Photos, "photo", "photos"))
}

func (p *program) backup() *cobra.Command {
	daily, keep := "", 7
	c := &cobra.Command{
		Use: "backup FILE", Short: "write the whole garage to one file with a checksum",
		Long: `Writes every entry and every photo to one file, as they are at this moment; a
server may run and others may write meanwhile. The file is written under another
name, read back, and only then put in its place. It holds no private key, but all
that is in the logbook: keep it where only you read it.

With --daily today's backup is written into a folder that is there, under a name
with the date, and ampwright serve writes one there each day it runs from now on.
The last --keep of them stay. --daily off ends it.`,
		Example: "  ampwright backup ./copy/garage.backup\n  ampwright backup --daily ./copy/ --keep 14\n  ampwright backup verify ./copy/garage.backup",
		Args: func(c *cobra.Command, args []string) error {
			if daily == "" {
				return exactly(1, "FILE")(c, args)
			}
			return atMost(0)(c, args)
		},
		RunE: func(c *cobra.Command, args []string) error {
			if p.asOf != "" {
				return wrong("leave --as-of out", "--as-of %q: a backup is of all that is written", p.asOf)
			}
			if c.Flags().Changed("keep") && daily == "" {
				return wrong("name a folder with --daily", "--keep %d: it is for daily backups", keep)
			}
			if keep < 1 || keep > garage.MaxDaily {
				return wrong("", "--keep %d: want 1 to %d", keep, garage.MaxDaily)
			}
			if daily != "" {
				return p.daily(daily, keep)
			}
			dir, err := p.place()
			if err != nil {
				return err
			}
			h, err := p.enter(false)
			if err != nil {
				return err
			}
			return closing(p.backupTo(args[0], h, dir), h)
		},
	}
	c.Flags().StringVar(&daily, "daily", "", "write today's into this `folder`, and have the server do so each day")
	c.Flags().IntVar(&keep, "keep", 7, "how many daily backups stay")
	verify := p.backupVerify()
	verify.DisableFlagsInUseLine = true
	c.AddCommand(verify)
	return c
}

func (p *program) backupTo(path string, home garage.Home, dir string) error {
	if err := p.overwrite(path); err != nil {
		return err
	}
	h, left, err := garage.Backup(home, dir, path, version())
	if err != nil {
		return err
	}
	body := p.newBackup(path, h)
	for _, id := range left {
		body.LeftOut = append(body.LeftOut, id.String())
		if !p.json {
			p.talk("note: photo %s does not read and was left out: fetch it from another device", id)
		}
	}
	return p.answer(body, func(pg *page) { pg.line("wrote %s: %s", path, body.content()) })
}

type backupVerifyJSON struct {
	Schema string      `json:"schema"`
	File   string      `json:"file"`
	Whole  bool        `json:"whole"`
	Damage string      `json:"damage"` // the first thing wrong
	Backup *backupJSON `json:"backup"` // null if it is not whole
}

func (p *program) backupVerify() *cobra.Command {
	return &cobra.Command{
		Use: "verify FILE", Short: "read a backup from end to end and say if it is whole",
		Long: `Computes the name of every entry, every chain, the hash of every photo and the
checksum over all anew, and says the first thing that is wrong. Nothing is
changed. Exits with 3 when the file is not whole.`,
		Example: "  ampwright backup verify ./copy/garage.backup && echo whole", Args: exactly(1, "FILE"),
		RunE: func(_ *cobra.Command, args []string) error { return p.verifyBackup(args[0]) },
	}
}

func (p *program) verifyBackup(path string) error {
	c, err := backup.Read(path, nil)
	body := backupVerifyJSON{Schema: "ampwright/backup-verify/1", File: path}
	var damaged *backup.DamagedError
	switch {
	case errors.As(err, &damaged):
		body.Damage = damaged.What
	case errors.Is(err, fs.ErrNotExist):
		return noBackup(path)
	case err != nil:
		return err
	default:
		made := p.newBackup(path, c.Header)
		body.Whole, body.Backup = true, &made
	}
	if err := p.answer(body, body.words); err != nil {
		return err
	}
	if !body.Whole {
		return errNotMet
	}
	return nil
}

func noBackup(path string) error {
	return wrong("name a file that ampwright backup wrote", "there is no backup at %s", path)
}

func (b backupVerifyJSON) words(pg *page) {
	if !b.Whole {
		pg.line("%s is no whole backup", b.File)
		pg.row(b.Damage)
		return
	}
	pg.line("%s is whole: %s", b.File, b.Backup.content())
	pg.row("made", b.Backup.Made.Format(minute)+" on "+b.Backup.Device)
	pg.row("by", b.Backup.Program)
}
