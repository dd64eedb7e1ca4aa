package garage

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"ampwright/model"
	"ampwright/server/backup"
	"ampwright/server/blobs"
	"ampwright/server/bolt"
	"ampwright/sync/keep"

	"github.com/google/uuid"
)

// Restored is what came of a restore, or would come of it.
type Restored struct {
	From       backup.Header
	Here       int    // entries that were there before and read
	New        int    // entries of the backup that were not
	NewBlobs   int    // blobs of the backup that were not
	Left       int    // entries that read, but follow one that is nowhere; they stay in SafetyCopy
	Damage     string // what was wrong with the logbook that was there; "" if it was whole or there was none
	SafetyCopy string // a file with all that was there before; "" if there was nothing
	Replica    uuid.UUID
	Was        uuid.UUID // the replica this copy continues
}

// TryRestore says what Restore would do, and changes nothing.
func TryRestore(dir, path string, cfg Config) (Restored, error) {
	var r Restored
	c, err := backup.Read(path, nil)
	if err != nil {
		return r, err
	}
	r.From = c.Header
	there, damage, err := peek(dir, cfg)
	if err != nil {
		return r, err
	}
	r.Here, r.Damage = len(there), damage
	for _, raw := range c.Raws {
		if !there[model.IDOf(raw)] {
			r.New++
		}
	}
	store := blobs.In(dir)
	for _, b := range c.Blobs {
		has, err := store.Has(b.ID)
		if err != nil {
			return r, err
		}
		if !has {
			r.NewBlobs++
		}
	}
	return r, nil
}

// peek returns which entries a garage holds, whoever has it open, and what is
// wrong with its file.
func peek(dir string, cfg Config) (there map[model.ID]bool, damage string, err error) {
	there = map[model.ID]bool{}
	note := func(raw []byte) error {
		there[model.IDOf(raw)] = true
		return nil
	}
	path := filepath.Join(dir, logbookFile)
	raws, _, err := bolt.Salvage(path)
	var held *bolt.HeldError
	switch {
	case errors.As(err, &held):
		r, attachErr := Attach(dir, cfg.withDefaults().Now().Location())
		if attachErr != nil {
			return nil, "", &BusyError{held, attachErr}
		}
		return there, "", r.Read(func(l *model.Logbook) error { return l.All(note) })
	case errors.Is(err, fs.ErrNotExist):
		return there, "", nil
	case err != nil:
		return nil, "", err
	}
	for _, raw := range raws {
		note(raw)
	}
	report, err := bolt.Verify(path)
	if len(report.Damage) > 0 {
		damage = report.Damage[0].String()
	}
	return there, damage, err
}

// Restore brings a backup into the garage in dir, which is made where there is
// none. Nothing that is there is lost: a garage then holds what it held and what
// the backup holds, and before that a safety copy of it is written beside it.
// This copy goes on under a new replica name, for whoever made the backup may
// still write under the old one. A damaged logbook is healed with the backup's
// entries; its file is the safety copy then.
//
// A restore that was broken off, by a power cut even, can be done again. The
// error is a [*BusyError] if another process has the garage open.
func Restore(dir, path, program string, cfg Config) (Restored, error) {
	r, err := restore(dir, path, program, cfg)
	var held *bolt.HeldError
	if errors.As(err, &held) {
		err = &BusyError{Held: held}
	}
	return r, err
}

func restore(dir, path, program string, cfg Config) (r Restored, err error) {
	c, err := backup.Read(path, nil) // all of it, before anything is touched
	if err != nil {
		return r, err
	}
	r.From = c.Header
	here := Here(dir)
	if here {
		if err := r.heal(dir, c, cfg); err != nil {
			return r, err
		}
	} else {
		cfg.Was = c.Replica
		cfg.Person = cmp.Or(cfg.Person, keeper(c))
	}
	g, err := Open(dir, cfg)
	if err != nil {
		return r, err
	}
	defer func() { err = errors.Join(err, g.Close()) }()
	if here && r.Damage == "" {
		if err := g.secure(&r, program); err != nil {
			return r, err
		}
		if err := g.Rename("restored from " + filepath.Base(path)); err != nil {
			return r, err
		}
	}
	d := g.Device()
	r.Replica, r.Was = d.Replica, d.Was
	if _, err := backup.Read(path, func(id keep.BlobID, data []byte) error {
		has, err := g.Blobs.Has(id)
		if err == nil && !has {
			r.NewBlobs++
			_, err = g.Blobs.Put(bytes.NewReader(data))
		}
		return err
	}); err != nil {
		return r, err
	}
	n, err := g.Import(c.Raws, c.Seals...)
	r.New += n
	return r, err
}

// keeper returns who kept the copy that a backup was made of; "" if the backup
// does not say.
func keeper(c backup.Contents) string {
	for _, raw := range c.Raws {
		e, err := model.Decode(raw)
		if body, ok := e.Body.(*model.Replica); ok && err == nil && e.Replica == c.Replica {
			return body.Person
		}
	}
	return ""
}

// heal heals a damaged logbook.
func (r *Restored) heal(dir string, c backup.Contents, cfg Config) error {
	report, err := bolt.Verify(filepath.Join(dir, logbookFile))
	if err != nil || len(report.Damage) == 0 {
		return err
	}
	h, err := bolt.Heal(dir, c.Raws, bolt.Config{Program: cfg.Program, Now: cfg.Now}, c.Seals...)
	r.Damage, r.SafetyCopy = report.Damage[0].String(), h.Aside
	r.Here, r.Left, r.New = h.Kept+h.Left, h.Left, h.Entries-h.Kept
	return err
}

// secure writes the safety copy.
func (g *Garage) secure(r *Restored, program string) error {
	base := filepath.Join(g.dir, "before-restore-"+g.Now().UTC().Format("20060102T150405Z"))
	path := base + ".backup"
	for n := 2; ; n++ {
		if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
			break
		}
		path = fmt.Sprintf("%s-%d.backup", base, n)
	}
	h, _, err := Backup(g, g.dir, path, program)
	if err != nil {
		return fmt.Errorf("make a safety copy: %w", err)
	}
	r.Here, r.SafetyCopy = h.Entries, path
	return nil
}
