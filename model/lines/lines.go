// Package lines writes a logbook as JSON Lines and reads it back. Each line is
// one entry: its parts in words for people and other programs, and its exact
// bytes in base64, from which alone it is read back; or the seal of an entry above
// it. Nothing is lost either way. Files from before there were seals
// read as well; what they hold can only be passed on as a file.
package lines

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"time"

	"ampwright/model"
	"ampwright/model/jsontext"

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

// A sealLine is the signature under a chain, see [model.Seal].
type sealLine struct {
	Seal seal `json:"seal"`
}

type seal struct {
	Replica uuid.UUID `json:"replica"`
	Seq     uint64    `json:"seq"` // of the entry
	ID      string    `json:"id"`
	Sig     []byte    `json:"sig"` // 64 bytes
}

// WriteLogbook writes all entries of a logbook, and its seals.
func WriteLogbook(w io.Writer, l *model.Logbook) error {
	var seals []model.Seal
	for replica := range l.Vector() {
		seals = append(seals, l.Seals(replica)...)
	}
	return Write(w, l.All, seals...)
}

// Write writes the entries whose bytes all yields, and after each its seal if
// there is one.
func Write(w io.Writer, all func(func(raw []byte) error) error, seals ...model.Seal) error {
	out := bufio.NewWriter(w)
	put := func(line any) error {
		_, err := out.Write(append(jsontext.Append(nil, line), '\n'))
		return err
	}
	of := make(map[model.ID]model.Seal, len(seals))
	for _, s := range seals {
		of[s.Head.ID] = s
	}
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
		if err := put(l); err != nil {
			return err
		}
		if s, ok := of[e.ID]; ok {
			return put(sealLine{seal{s.Replica, s.Head.Seq, s.Head.ID.String(), s.Sig[:]}})
		}
		return nil
	})
	if err != nil {
		return err
	}
	return out.Flush()
}

// maxLine bounds one line: an entry of 16 KiB in base64, its words, and room.
const maxLine = 256 << 10

// Read returns the bytes of all entries in r, and the seals, which verify. The
// first line that is neither, or a seal that does not verify with the entries
// above it, is an error that names the line and what is wrong; then nothing is
// returned.
func Read(r io.Reader) ([][]byte, []model.Seal, error) {
	var f file
	in := bufio.NewScanner(r)
	in.Buffer(make([]byte, 64<<10), maxLine)
	n := 0
	for in.Scan() {
		n++
		if text := bytes.TrimSpace(in.Bytes()); len(text) > 0 {
			if err := f.line(text); err != nil {
				return nil, nil, fmt.Errorf("line %d: %w", n, err)
			}
		}
	}
	if err := in.Err(); err != nil {
		return nil, nil, fmt.Errorf("line %d: %w", n+1, err)
	}
	return f.raws, f.seals, nil
}

// A file is what was read of one so far.
type file struct {
	raws  [][]byte
	seals []model.Seal
	check model.SealCheck
}

func (f *file) line(text []byte) error {
	var l struct {
		ID   string `json:"id"`
		Raw  []byte `json:"raw"`
		Seal *seal  `json:"seal"`
	}
	if err := jsontext.Read(text, &l); err != nil {
		return fmt.Errorf("want one entry or seal as a JSON object: %w", err)
	}
	if l.Seal != nil {
		return f.seal(l.Seal)
	}
	if len(l.Raw) == 0 {
		return errors.New("no \"raw\": want the entry's bytes in base64")
	}
	e, err := model.Decode(l.Raw)
	if err != nil {
		return err
	}
	if l.ID != "" && l.ID != e.ID.String() {
		return fmt.Errorf("the bytes are those of entry %s, the line says %q", e.ID, l.ID)
	}
	f.check.Show(l.Raw, model.Link{Replica: e.Replica, Seq: e.Seq, Prev: e.Prev, ID: e.ID, Build: e.Build})
	f.raws = append(f.raws, l.Raw)
	return nil
}

func (f *file) seal(in *seal) error {
	s := model.Seal{Replica: in.Replica, Head: model.Head{Seq: in.Seq}}
	var err error
	if s.Head.ID, err = model.ParseID(in.ID); err != nil {
		return fmt.Errorf("seal: %w", err)
	}
	if len(in.Sig) != len(s.Sig) {
		return fmt.Errorf("seal: \"sig\" of %d bytes, want %d in base64", len(in.Sig), len(s.Sig))
	}
	copy(s.Sig[:], in.Sig)
	if err := f.check.Check(s); err != nil {
		return err
	}
	f.seals = append(f.seals, s)
	return nil
}
