package record

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"time"

	"ampwright/model/jsontext"

	"github.com/google/uuid"
)

// Format is the form of a record as JSON: fields may be added within a number,
// never changed or taken away.
const Format = "ampwright-record/1"

// Edition counts up when the words of a record change. A record of another
// edition is held against its logbook by entries alone, not word by word.
const Edition = 4

// A Record is the document: what is painted, and what it rests on.
type Record struct {
	Format   string    `json:"format"`
	Edition  int       `json:"edition"`
	Build    uuid.UUID `json:"build"`
	For      Audience  `json:"for"`
	Hours    bool      `json:"hours"` // hours were asked for
	Money    bool      `json:"money"`
	At       time.Time `json:"at"` // the moment it is for, to the second
	Paper    string    `json:"paper"`
	Block    Block     `json:"titleBlock"`
	Sections []Section `json:"sections"`
	Heads    []Head    `json:"heads"`
	Entries  []Entry   `json:"entries"` // all that the figures rest on
	Seals    []Seal    `json:"seals,omitempty"`
	Digest   string    `json:"digest"` // see Sum
}

// A Block is the title block with the mandatory fields of ISO 7200:2004 (from
// memory: legal owner, identification number, date of issue, segment or sheet
// number, title, approval person, creator, document type). Sheets are counted by
// who paints it. Nobody approves a record, so Approver stays empty: a line to be
// signed by hand.
type Block struct {
	LegalOwner string `json:"legalOwner"`
	Number     string `json:"number"`
	Issued     string `json:"issued"` // 2006-01-02
	Title      string `json:"title"`
	Creator    string `json:"creator"`
	Approver   string `json:"approver"`
	Type       string `json:"type"`
}

// A Section is one heading with what stands below it, in this order.
type Section struct {
	Key    string   `json:"key"`
	Title  string   `json:"title"`
	Text   []string `json:"text,omitempty"`
	Facts  []Fact   `json:"facts,omitempty"`
	Table  *Table   `json:"table,omitempty"`
	Sketch string   `json:"sketch,omitempty"` // caption of a box to draw in by hand
}

// A Fact is one line: a name and what is known, or a blank to fill in by hand.
type Fact struct {
	Name  string   `json:"name"`
	Value string   `json:"value,omitempty"`
	Note  string   `json:"note,omitempty"`
	Mark  string   `json:"mark,omitempty"`  // a word stamped beside it
	Shape string   `json:"shape,omitempty"` // of the stamp
	Blank bool     `json:"blank,omitempty"`
	On    []string `json:"on,omitempty"` // names of the entries it comes from
}

// A Table is columns and rows. None is said where there is no row.
type Table struct {
	Columns []Column `json:"columns"`
	Rows    []Row    `json:"rows"`
	None    string   `json:"none,omitempty"`
}

// A Column has a share of the width. Hashes stand in Mono.
type Column struct {
	Title string  `json:"title"`
	Share float64 `json:"share"`
	Right bool    `json:"right,omitempty"`
	Mono  bool    `json:"mono,omitempty"`
}

// A Row is cells in the order of the columns, or a heading across all of them.
type Row struct {
	Head  string   `json:"head,omitempty"`
	Cells []Cell   `json:"cells,omitempty"`
	On    []string `json:"on,omitempty"`
}

// A Cell is a text with smaller print below it. A mark is stamped before both.
type Cell struct {
	Text  string `json:"text,omitempty"`
	Small string `json:"small,omitempty"`
	Mark  string `json:"mark,omitempty"`
	Shape string `json:"shape,omitempty"` // within, out, stale, none, held, conceded, doubt, part, past

	Blanks []string `json:"blanks,omitempty"` // lines to write on, each with what belongs there; no record has any
}

// A Head is the last entry of a device's chain when the record was made.
type Head struct {
	Replica uuid.UUID `json:"replica"`
	Device  string    `json:"device"`
	Person  string    `json:"person"`
	Seq     uint64    `json:"number"`
	ID      string    `json:"entry"`
}

// An Entry is one that a figure rests on, by name and by its place in a chain.
type Entry struct {
	ID       string    `json:"entry"`
	Replica  uuid.UUID `json:"replica"`
	Seq      uint64    `json:"number"`
	Standing string    `json:"standing,omitempty"` // "struck out" or "replaced" when the record was made
}

// A Seal is the signature of a device under its chain up to a head, see
// [model.Seal].
type Seal struct {
	Replica uuid.UUID `json:"replica"`
	Head    string    `json:"entry"`
	Sig     []byte    `json:"signature"`
}

// Short is enough of an entry's name for a person to tell it from others.
func Short(id string) string { return id[:min(8, len(id))] }

// Sum is the first 16 bytes, in hexadecimal, of the SHA-256 of the record as
// JSON without its own digest and number.
func (r *Record) Sum() string {
	bare := *r
	bare.Digest, bare.Block.Number = "", ""
	sum := sha256.Sum256(jsontext.ForHTML(jsontext.Append(nil, &bare)))
	return hex.EncodeToString(sum[:16])
}

// number is the identification number: which build, and which content.
func (r *Record) number() string { return "AR-" + r.Build.String()[:8] + "-" + Short(r.Digest) }

// Write writes the record as JSON.
func (r *Record) Write(w io.Writer) error {
	_, err := w.Write(append(jsontext.Indent(jsontext.Append(nil, r), " "), '\n'))
	return err
}

// maxRecord bounds what Read takes: some thousand checks with all their points.
const maxRecord = 16 << 20

// Read reads what Write writes.
func Read(in io.Reader) (*Record, error) {
	text, err := io.ReadAll(io.LimitReader(in, maxRecord+1))
	if err != nil {
		return nil, fmt.Errorf("read record: %w", err)
	}
	if len(text) > maxRecord {
		return nil, fmt.Errorf("read record: more than %d bytes, at most that is accepted", maxRecord)
	}
	var r Record
	if err := jsontext.Read(text, &r); err != nil {
		return nil, fmt.Errorf("read record: want one JSON object of format %q: %w", Format, err)
	}
	if r.Format != Format {
		return nil, fmt.Errorf("read record: format %q, want %q", r.Format, Format)
	}
	return &r, nil
}
