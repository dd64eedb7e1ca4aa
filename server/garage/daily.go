package garage

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"time"
)

const (
	dailyFile   = "daily.json"
	dailyFormat = "ampwright-daily/1"
)

// MaxDaily is how many daily backups can be kept.
const MaxDaily = 1000

// A Daily is where a server of the garage makes a backup each day, and how many
// it keeps. The zero Daily makes none.
type Daily struct {
	Folder string // an absolute path
	Keep   int    // 1 to MaxDaily
}

type dailyJSON struct {
	Format string `json:"format"` // "ampwright-daily/1"
	Folder string `json:"folder"`
	Keep   int    `json:"keep"`
}

// ReadDaily returns what was asked for in the garage in dir; the zero Daily if
// nothing was.
func ReadDaily(dir string) (Daily, error) {
	path := filepath.Join(dir, dailyFile)
	data, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		return Daily{}, nil
	}
	if err != nil {
		return Daily{}, err
	}
	var j dailyJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return Daily{}, fmt.Errorf("read %s: %w", path, err)
	}
	d := Daily{j.Folder, j.Keep}
	if j.Format != dailyFormat {
		return Daily{}, fmt.Errorf("read %s: format %q, want %q", path, j.Format, dailyFormat)
	}
	return d, d.check()
}

func (d Daily) check() error {
	switch {
	case !filepath.IsAbs(d.Folder):
		return fmt.Errorf("daily backups to %q: want a path from the root", d.Folder)
	case d.Keep < 1 || d.Keep > MaxDaily:
		return fmt.Errorf("%d daily backups kept: want 1 to %d", d.Keep, MaxDaily)
	}
	return nil
}

// Write asks for it in the garage in dir; the zero Daily asks for none.
func (d Daily) Write(dir string) error {
	path := filepath.Join(dir, dailyFile)
	if d == (Daily{}) {
		return dropped(os.Remove(path))
	}
	if err := d.check(); err != nil {
		return err
	}
	data, err := json.MarshalIndent(dailyJSON{dailyFormat, d.Folder, d.Keep}, "", "  ")
	if err != nil {
		return err
	}
	return replace(path, append(data, '\n'))
}

// daysFile fits the file of a day: the garage's replica and the date.
var daysFile = regexp.MustCompile(`^ampwright-[0-9a-f]{8}-\d{4}-\d\d-\d\d\.backup$`)

// Make writes the backup of today, by h's clock, unless it is there, and then
// removes the oldest of this replica's beyond those to keep. It removes none
// before the new one is read back whole. path is today's file, and made says
// whether it was written now. A replica that took a new name begins anew: what
// was made under the old one stays.
func (d Daily) Make(h Home, dir, program string) (path string, made bool, err error) {
	if err := d.check(); err != nil {
		return "", false, err
	}
	device, err := ReadDevice(dir)
	if err != nil {
		return "", false, err
	}
	name := fmt.Sprintf("ampwright-%.8s-%s.backup", device.Replica, h.Now().Format(time.DateOnly))
	path = filepath.Join(d.Folder, name)
	info, err := os.Stat(path)
	switch {
	case err == nil && !info.Mode().IsRegular():
		return path, false, fmt.Errorf("%s is in the way of today's backup: it is no file", path)
	case err == nil:
		return path, false, nil
	case !errors.Is(err, os.ErrNotExist):
		return path, false, err
	}
	if _, _, err := Backup(h, dir, path, program); err != nil {
		return path, false, err
	}
	return path, true, d.prune(name)
}

// prune removes the oldest files of the same replica as name beyond those to
// keep, never name itself.
func (d Daily) prune(name string) error {
	list, err := os.ReadDir(d.Folder) // by name, so by date
	if err != nil {
		return err
	}
	start := len(name) - len("2006-01-02.backup")
	var old []string
	for _, f := range list {
		if n := f.Name(); n != name && f.Type().IsRegular() && daysFile.MatchString(n) && n[:start] == name[:start] {
			old = append(old, n)
		}
	}
	for _, n := range old[:max(0, len(old)-d.Keep+1)] {
		if err := os.Remove(filepath.Join(d.Folder, n)); err != nil {
			return fmt.Errorf("today's backup is written, but an old one cannot be removed: %w", err)
		}
	}
	return nil
}
