package bolt

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"ampwright/model"
)

// Healed is what came of Heal.
type Healed struct {
	Entries int    // in the logbook now
	Kept    int    // of them, read from the damaged file
	Left    int    // entries that read, but follow one that is nowhere; they stay in the file Aside
	Aside   string // the file as it was
}

// Salvage returns the entries that can be read of a logbook's file, whole or
// damaged, and what is wrong with it. It changes nothing. The error is for a
// file that cannot be looked at, as [Verify] says.
func Salvage(path string) (raws [][]byte, damage []string, err error) {
	s, err := salvageFile(path)
	return s.raws, s.damage, err
}

// A salvaged is what reads of a file, and why the rest does not. Nobody has
// checked the seals.
type salvaged struct {
	raws   [][]byte
	seals  []model.Seal
	damage []string
}

func salvageFile(path string) (s salvaged, err error) {
	f, err := openFile(path, true)
	if cannotLook(err) {
		return s, err
	}
	if err == nil {
		defer f.Close()
		s.read(f.handle)
		return s, nil
	}
	s.fail(err.Error()) // bbolt does not open it, but pages may read
	h, err := os.Open(path)
	if err != nil {
		return s, err
	}
	defer h.Close()
	s.read(h)
	return s, nil
}

// cannotLook tells an error that says nothing of the file's content.
func cannotLook(err error) bool {
	var held *HeldError
	return errors.As(err, &held) || errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrPermission)
}

func (s *salvaged) fail(what string) { s.damage = append(s.damage, what) }

func (s *salvaged) read(f io.ReaderAt) {
	m, warnings, err := readMeta(f)
	s.damage = append(s.damage, warnings...)
	if err != nil {
		s.fail(err.Error())
		return
	}
	w := walk{f: f, meta: m, damage: s.fail, bucket: func([]byte, uint64) {}}
	w.item = func(bucket, key, value []byte) {
		seal, ok, err := sealIn(bucket, key, value)
		switch {
		case err != nil || bytes.Equal(bucket, aboutBucket) || bytes.Equal(key, packKey):
		case ok:
			s.seals = append(s.seals, seal)
		default:
			err = model.UnpackRun(value, func(raw string, _ model.ID) error {
				s.raws = append(s.raws, []byte(raw))
				return nil
			})
		}
		if err != nil {
			s.fail(err.Error())
		}
	}
	w.run()
}

// Heal puts a whole logbook in the place of a damaged one: it holds the entries
// that read of the old file, and raws, which a backup or another device has; an
// entry whose chain has a hole before it is left out. So it is with the seals of
// the two, as far as they verify. The old file is kept aside
// under another name. Before the end of it all the old file stands, after it the
// new one, whenever the power goes.
//
// The new file has another mark, for the last entries of this device may be
// among the lost: a garage goes on under a new replica name.
func Heal(dir string, raws [][]byte, cfg Config, seals ...model.Seal) (Healed, error) {
	h, err := heal(dir, raws, seals, cfg)
	if err != nil && !cannotLook(err) {
		err = fmt.Errorf("heal the logbook in %s: %w", dir, err)
	}
	return h, err
}

func heal(dir string, raws [][]byte, seals []model.Seal, cfg Config) (h Healed, err error) {
	path := filepath.Join(dir, dataFile)
	// The lock is shared: bbolt must not write to what it should not trust. A
	// file it does not open at all is open nowhere else.
	lock, err := openFile(path, true)
	if cannotLook(err) {
		return h, err
	}
	locked := err == nil
	if locked {
		defer func() { lock.Close() }()
	}
	old, err := salvageFile(path)
	if err != nil {
		return h, err
	}
	whole, kept, left, err := unbroken(old.raws, raws)
	if err != nil {
		return h, err
	}
	h = Healed{Entries: len(whole), Kept: kept, Left: left}
	temp, err := os.MkdirTemp(dir, "healing-*")
	if err != nil {
		return h, err
	}
	defer os.RemoveAll(temp)
	if err := fill(temp, whole, verified(whole, slices.Concat(old.seals, seals)), cfg); err != nil {
		return h, err
	}
	if h.Aside, err = setAside(path, cfg); err != nil {
		return h, err
	}
	if runtime.GOOS == "windows" && locked { // which does not replace an open file
		lock.Close()
	}
	if err := os.Rename(filepath.Join(temp, dataFile), path); err != nil {
		return h, err
	}
	return h, syncDir(dir)
}

// unbroken returns the entries of old and more that follow one another from the
// first, in the order of their chains; how many of them are among old; and how
// many of old are left out.
func unbroken(old, more [][]byte) (whole [][]byte, kept, left int, err error) {
	type entry struct {
		model.Link
		raw []byte
		old bool
	}
	all := map[model.ID]entry{}
	for i, raw := range slices.Concat(old, more) {
		link, err := model.LinkOf(raw)
		if err != nil {
			return nil, 0, 0, err
		}
		if _, ok := all[link.ID]; !ok {
			all[link.ID] = entry{link, raw, i < len(old)}
		}
	}
	order := make([]entry, 0, len(all))
	for _, e := range all {
		order = append(order, e)
	}
	slices.SortFunc(order, func(a, b entry) int {
		return cmp.Or(bytes.Compare(a.Replica[:], b.Replica[:]), cmp.Compare(a.Seq, b.Seq), bytes.Compare(a.ID[:], b.ID[:]))
	})
	in := map[model.ID]model.Link{}
	for _, e := range order {
		before := in[e.Prev]
		if e.Seq > 1 && (before.Replica != e.Replica || before.Seq+1 != e.Seq) {
			if e.old {
				left++
			}
			continue
		}
		in[e.ID] = e.Link
		whole = append(whole, e.raw)
		if e.old {
			kept++
		}
	}
	return whole, kept, left, nil
}

// verified returns the seals of these entries that verify.
func verified(raws [][]byte, seals []model.Seal) []model.Seal {
	var c model.SealCheck
	for _, raw := range raws {
		if link, err := model.LinkOf(raw); err == nil {
			c.Show(raw, link)
		}
	}
	return slices.DeleteFunc(seals, func(s model.Seal) bool { return c.Check(s) != nil })
}

// fill makes a logbook of these entries and reads it back.
func fill(dir string, raws [][]byte, seals []model.Seal, cfg Config) error {
	s, err := Open(dir, cfg)
	if err != nil {
		return err
	}
	err = s.Append(raws, seals...)
	if err == nil {
		err = s.Pack()
	}
	if err := errors.Join(err, s.Close()); err != nil {
		return err
	}
	r, err := Verify(filepath.Join(dir, dataFile))
	switch {
	case err != nil:
		return err
	case len(r.Damage) > 0:
		return fmt.Errorf("the new file is damaged: %s", r.Damage[0])
	case r.Entries != len(raws):
		return fmt.Errorf("the new file holds %d entries, want %d", r.Entries, len(raws))
	}
	return nil
}

// setAside gives the file at path a second, durable name.
func setAside(path string, cfg Config) (string, error) {
	now := time.Now
	if cfg.Now != nil {
		now = cfg.Now
	}
	base := path + ".damaged-" + now().UTC().Format("20060102T150405Z")
	for n := 1; n < 100; n++ {
		aside := base
		if n > 1 {
			aside = fmt.Sprintf("%s-%d", base, n)
		}
		err := os.Link(path, aside)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil { // not every file system has links
			err = copyFile(aside, path)
		}
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		return aside, errors.Join(err, syncDir(filepath.Dir(path)))
	}
	return "", fmt.Errorf("there are 99 files %s* already: move them away", base)
}

// copyFile copies a file to one that must not be there yet.
func copyFile(to, from string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}
