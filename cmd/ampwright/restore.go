package main

import (
	"errors"
	"fmt"
	"io/fs"

	"ampwright/server/backup"
	"ampwright/server/garage"

	"github.com/google/uuid"
	"github.com/spf13/cobra"
)

type restoreJSON struct {
	Schema     string `json:"schema"`
	File       string `json:"file"`
	Folder     string `json:"folder"`
	DryRun     bool   `json:"dryRun"`
	Entries    int    `json:"entries"` // in the backup
	New        int    `json:"new"`     // of them, not here before
	Photos     int    `json:"photos"`
	NewPhotos  int    `json:"newPhotos"`
	Here       int    `json:"here"`       // entries that were here before
	Damage     string `json:"damage"`     // what was wrong with the logbook that was here
	Left       int    `json:"left"`       // entries of it that follow one that is nowhere
	SafetyCopy string `json:"safetyCopy"` // a file with all that was here before
	Replica    string `json:"replica"`    // the new name of this copy
	Was        string `json:"was"`        // the replica it continues
}

func (p *program) restore() *cobra.Command {
	c := &cobra.Command{
		Use: "restore FILE [FOLDER]", Short: "bring a backup into a garage",
		Long: `Verifies a backup and brings its entries and photos into the garage in FOLDER,
which is made where there is none; without FOLDER, into the garage that all
commands use. Nothing that is there is lost: a garage then holds what it held and
what the backup holds, and a safety copy is written into its folder first. A
damaged logbook is healed with the backup's entries, and its file kept aside.

This copy goes on under a new replica name, for the device the backup was made on
may still write under the old one. What was written before stands as it was.`,
		Example: "  ampwright restore ./copy/garage.backup --dry-run\n  ampwright restore ./copy/garage.backup ./copy/garage",
		Args: func(c *cobra.Command, args []string) error {
			if len(args) == 2 {
				return nil
			}
			return exactly(1, "FILE")(c, args)
		},
	}
	dry := c.Flags().Bool("dry-run", false, "only say what would come in, and what is there")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if p.asOf != "" {
			return notWhenWriting(p.asOf)
		}
		dir, err := p.place()
		if len(args) == 2 {
			if p.dir != "" {
				return wrong("leave one of the two out", "the folder is named twice: %s and --garage %s", args[1], p.dir)
			}
			dir, err = args[1], nil
		}
		if err != nil {
			return err
		}
		return p.restoreFrom(args[0], dir, *dry)
	}
	return c
}

func (p *program) restoreFrom(path, dir string, dry bool) error {
	cfg := garage.Config{Now: p.now, Person: p.by}
	var r garage.Restored
	var err error
	if dry {
		r, err = garage.TryRestore(dir, path, cfg)
	} else {
		r, err = garage.Restore(dir, path, version(), cfg)
	}
	var damaged *backup.DamagedError
	switch {
	case errors.As(err, &damaged):
		return &adviceError{err, "nothing was changed; take another backup, if there is one"}
	case errors.Is(err, fs.ErrNotExist) && r.From.Format == "":
		return noBackup(path)
	case err != nil && r.SafetyCopy != "":
		return &adviceError{err, "what was there before is in " + r.SafetyCopy + "; the same command may be given again"}
	case err != nil:
		return err
	}
	body := restoreJSON{
		"ampwright/restore/1", path, dir, dry, r.From.Entries, r.New, r.From.Blobs, r.NewBlobs, r.Here, r.Damage, r.Left, r.SafetyCopy, replicaName(r.Replica), replicaName(r.Was),
	}
	return p.answer(body, body.words)
}

// replicaName writes a replica's name, or nothing for none.
func replicaName(id uuid.UUID) string {
	if id == uuid.Nil {
		return ""
	}
	return id.String()
}

func (r restoreJSON) words(pg *page) {
	would, into := "", "restored "+r.File+" into "+r.Folder
	if r.DryRun {
		would, into = "would be ", "a restore of "+r.File+" into "+r.Folder
	}
	pg.line("%s: %d of %d %s and %d of %d %s %snew", into, r.New, r.Entries, plural(r.Entries, "entry", "entries"),
		r.NewPhotos, r.Photos, plural(r.Photos, "photo", "photos"), would)
	there := fmt.Sprintf("%d %s", r.Here, plural(r.Here, "entry", "entries"))
	switch {
	case r.DryRun && r.Damage != "":
		pg.row("there now", there+" that can be read; the logbook is damaged and would be healed: "+r.Damage)
	case r.DryRun && r.Here > 0:
		pg.row("there now", there+", of which a safety copy would be made first")
	case r.DryRun:
		pg.row("there now", "nothing")
	case r.Damage != "":
		pg.row("healed", r.Damage)
		pg.row("damaged file", "kept as "+r.SafetyCopy)
	case r.SafetyCopy != "":
		pg.row("there before", there+", kept in "+r.SafetyCopy)
	}
	if r.Left > 0 {
		pg.row("not brought back", fmt.Sprintf("%d %s that can be read there, but follow one that is nowhere", r.Left, plural(r.Left, "entry", "entries")))
	}
	if r.Replica != "" {
		pg.row("goes on as", "the new replica "+r.Replica)
	}
}
