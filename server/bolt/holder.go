package bolt

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"time"
)

const heldFile = "held.json"

// A Holder says which program has a logbook open, and how to reach it.
type Holder struct {
	PID     int       `json:"pid"`
	Program string    `json:"program"`
	Address string    `json:"address,omitempty"` // where it serves the logbook
	Token   string    `json:"token,omitempty"`   // what lets the same user in there; never printed
	Since   time.Time `json:"since"`
}

// A HeldError says that another program has the logbook open. Holder is zero if
// that program did not say who it is.
type HeldError struct {
	Path   string
	Holder Holder
}

func (e *HeldError) Error() string {
	h := e.Holder
	if h.PID == 0 {
		return fmt.Sprintf("%s is open in another program: close it there first", e.Path)
	}
	at := ""
	if h.Address != "" {
		at = " at " + h.Address
	}
	return fmt.Sprintf("%s is open in %s, process %d%s, since %s: close it there first", e.Path, h.Program, h.PID, at, h.Since.Format(time.DateTime))
}

// ReadHolder returns who has the logbook in a folder open, or last had it and
// ended without closing it.
func ReadHolder(dir string) (Holder, error) {
	var h Holder
	b, err := os.ReadFile(filepath.Join(dir, heldFile))
	if err == nil {
		err = json.Unmarshal(b, &h)
	}
	if err != nil {
		return Holder{}, fmt.Errorf("read holder: %w", err)
	}
	return h, nil
}

// runs reports whether a process runs, as far as can be told: one of another PID
// namespace or user may seem to or not. A server that was killed still has its
// address here, and what it had open may be open for a moment longer.
func runs(pid int) bool {
	p, err := os.FindProcess(pid)
	return err == nil && !errors.Is(p.Signal(syscall.Signal(0)), os.ErrProcessDone)
}

// SetHolder changes what other programs are told, such as the address once it is
// known. PID, Program and Since keep their values where h leaves them zero.
func (s *Store) SetHolder(h Holder) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if h.PID == 0 {
		h.PID = s.holder.PID
	}
	if h.Program == "" {
		h.Program = s.holder.Program
	}
	if h.Since.IsZero() {
		h.Since = s.holder.Since
	}
	if err := writeHolder(s.dir, h); err != nil {
		return err
	}
	s.holder = h
	return nil
}

func writeHolder(dir string, h Holder) error {
	b, err := json.Marshal(h)
	if err != nil {
		return fmt.Errorf("write holder: %w", err)
	}
	path := filepath.Join(dir, heldFile)
	err = os.WriteFile(path+".new", append(b, '\n'), 0o600)
	if err == nil {
		err = os.Chmod(path+".new", 0o600) // an old one keeps its mode
	}
	if err == nil {
		err = os.Rename(path+".new", path)
	}
	if err != nil {
		return fmt.Errorf("write holder: %w", err)
	}
	return nil
}
