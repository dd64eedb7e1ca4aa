package backup

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
)

const (
	format       = "ampwright-backup/1"
	formatPrefix = "ampwright-backup/"
	headerPrefix = `{"format":"` + formatPrefix // as it is written

	maxHeader = 1 << 20
	maxRun    = 17 << 20 // [keep.MaxRun] entries of 16 KiB, and what a run adds
)

// A Header says what a backup holds.
type Header struct {
	Format  string    `json:"format"`
	Made    time.Time `json:"made"`
	Program string    `json:"program"`
	Replica uuid.UUID `json:"replica"` // of the copy it was made of
	Device  string    `json:"device"`  // what that device is called
	Entries int       `json:"entries"`
	Seals   int       `json:"seals,omitempty"`
	Blobs   int       `json:"blobs"`
	Chains  []Chain   `json:"chains"` // by replica
}

// A Chain is where the entries of a replica end.
type Chain struct {
	Replica uuid.UUID `json:"replica"`
	Heads   []Head    `json:"heads"`
}

// A Head is the last entry of a chain.
type Head struct {
	Seq uint64 `json:"seq"`
	ID  string `json:"id"`
}

// chainsOf puts heads in the header's order.
func chainsOf(heads map[uuid.UUID][]model.Head) []Chain {
	chains := []Chain{}
	for _, replica := range slices.SortedFunc(maps.Keys(heads), func(a, b uuid.UUID) int { return bytes.Compare(a[:], b[:]) }) {
		c := Chain{Replica: replica}
		for _, h := range heads[replica] {
			c.Heads = append(c.Heads, Head{h.Seq, h.ID.String()})
		}
		chains = append(chains, c)
	}
	return chains
}

// parseHeader reads a header line.
func parseHeader(line []byte) (h Header, err error) {
	if err := json.Unmarshal(line, &h); err != nil {
		return h, fmt.Errorf("its first line is no header: %w", err)
	}
	if rest, ours := strings.CutPrefix(h.Format, formatPrefix); ours && h.Format != format {
		return h, fmt.Errorf("it has format %q and was made by %q, this program reads %q: version %s wants a newer program", h.Format, h.Program, format, rest)
	} else if !ours {
		return h, fmt.Errorf("its format is %q, want %q", h.Format, format)
	}
	return h, nil
}

// check compares what the header promises with what was read. It says the first
// thing that is missing or too much.
func (h Header) check(log Log, entries, seals, blobs int) error {
	heads, err := log.Heads()
	if err != nil {
		return err
	}
	got := map[string]bool{}
	for _, c := range chainsOf(heads) {
		for _, head := range c.Heads {
			got[c.Replica.String()+head.ID] = true
		}
	}
	for _, c := range h.Chains {
		for _, head := range c.Heads {
			key := c.Replica.String() + head.ID
			if !got[key] {
				return fmt.Errorf("entry %d of replica %s with the name %s is missing, which its header names as the last of a chain", head.Seq, c.Replica, head.ID)
			}
			delete(got, key)
		}
	}
	switch {
	case len(got) > 0:
		return fmt.Errorf("it holds %d ends of chains that its header does not name", len(got))
	case entries != h.Entries:
		return fmt.Errorf("it holds %d entries, its header promises %d", entries, h.Entries)
	case seals != h.Seals:
		return fmt.Errorf("it holds %d seals, its header promises %d", seals, h.Seals)
	case blobs != h.Blobs:
		return fmt.Errorf("it holds %d blobs, its header promises %d", blobs, h.Blobs)
	}
	return nil
}

// A Log is what a backup is made of, and read into.
type Log interface {
	Runs(f func(run []byte) error) error
	Seals(f func(model.Seal) error) error
	Heads() (map[uuid.UUID][]model.Head, error)
}

var _ Log = keep.Log(nil)
