// Package lines writes a logbook as JSON Lines and reads it back. Each line is
// one entry: its parts in words for people and other programs, and its exact
// bytes in base64, from which alone it is read back. Nothing is lost either way.
package lines

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
)

// A line is one entry. Only Raw is read back; ID is compared.
type line struct {
	ID      string     `json:"id"`
	Replica string     `json:"replica"`
	Seq     uint64     `json:"seq"`
	Stamp   string     `json:"stamp"` // wall time of the hybrid clock
	Build   string     `json:"build,omitempty"`
	Kind    string     `json:"kind"`
	Author  string     `json:"author,omitempty"`
	Over    []string   `json:"over,omitempty"`
	Body    model.Body `json:"body"`
	Raw     []byte     `json:"raw"`
}

// Write writes the entries whose bytes all yields, one a line.
func Write(w io.Writer, all func(func(raw []byte) error) error) error {
	out := bufio.NewWriter(w)
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	err := all(func(raw []byte) error {
		e, err := model.Decode(raw)
		if err != nil {
			return err
		}
		l := line{
			ID: e.ID.String(), Replica: e.Replica.String(), Seq: e.Seq, Stamp: e.Stamp.Time().Format(time.RFC3339Nano),
			Kind: e.Kind(), Author: e.Author, Body: e.Body, Raw: raw,
		}
		if e.Build != uuid.Nil {
			l.Build = e.Build.String()
		}
		for _, id := range e.Over {
			l.Over = append(l.Over, id.String())
		}
		return enc.Encode(l)
	})
	if err != nil {
		return err
	}
	return out.Flush()
}

// maxLine bounds one line: an entry of 16 KiB in base64, its words, and room.
const maxLine = 256 << 10

// Read returns the bytes of all entries in r. The first line that is no entry
// is an error that names the line and what is wrong; then nothing is returned.
func Read(r io.Reader) ([][]byte, error) {
	var raws [][]byte
	in := bufio.NewScanner(r)
	in.Buffer(make([]byte, 64<<10), maxLine)
	n := 0
	for in.Scan() {
		n++
		text := bytes.TrimSpace(in.Bytes())
		if len(text) == 0 {
			continue
		}
		var l struct {
			ID  string `json:"id"`
			Raw []byte `json:"raw"`
		}
		if err := json.Unmarshal(text, &l); err != nil {
			return nil, fmt.Errorf("line %d: want one entry as a JSON object: %w", n, err)
		}
		if len(l.Raw) == 0 {
			return nil, fmt.Errorf("line %d: no \"raw\": want the entry's bytes in base64", n)
		}
		e, err := model.Decode(l.Raw)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
		if l.ID != "" && l.ID != e.ID.String() {
			return nil, fmt.Errorf("line %d: the bytes are those of entry %s, the line says %q", n, e.ID, l.ID)
		}
		raws = append(raws, l.Raw)
	}
	if err := in.Err(); err != nil {
		return nil, fmt.Errorf("line %d: %w", n+1, err)
	}
	return raws, nil
}
