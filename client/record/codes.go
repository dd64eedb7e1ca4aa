package record

import (
	"encoding/hex"
	"fmt"
	"strconv"
	"strings"
	"time"

	"ampwright/client/qr"

	"github.com/google/uuid"
)

// codeName opens the text of a code. All of the text is in the alphanumeric mode
// of ISO/IEC 18004 (capitals, digits, space and - . / :), which packs it densest.
const codeName = "AMPWRIGHT-RECORD/1"

// maxCode bounds the text of one code, in characters. At recovery level M that
// stays at version 12 or below, 65 modules a side: 0.6 mm a module, which a
// phone reads from paper, makes 39 mm.
const maxCode = 400

// A Code is what one QR code says: which record, and heads of its logbook.
type Code struct {
	Part, Parts int
	Build       uuid.UUID
	Day         string // of issue, 2006-01-02
	Digest      string // of the record
	Heads       []Head // without device and person
}

// Codes are the texts of the record's QR codes: the name of the form, which of
// how many, the build, the day, the record's digest, then a device:number:entry
// for each head. As many codes as it takes.
func (r *Record) Codes() []string {
	const room = len(codeName) + len(" 99/99 ") + 36 + len(" 2006-01-02 ") + 32
	var parts [][]string
	size := maxCode
	for _, h := range r.Heads {
		one := fmt.Sprintf(" %s:%d:%s", strings.ReplaceAll(h.Replica.String(), "-", ""), h.Seq, h.ID)
		if size += len(one); size > maxCode {
			parts, size = append(parts, nil), room+len(one)
		}
		parts[len(parts)-1] = append(parts[len(parts)-1], one)
	}
	if len(parts) == 0 {
		parts = [][]string{nil}
	}
	codes := make([]string, len(parts))
	for i, heads := range parts {
		codes[i] = strings.ToUpper(fmt.Sprintf("%s %d/%d %s %s %s%s", codeName, i+1, len(parts), r.Build, r.Block.Issued, r.Digest, strings.Join(heads, "")))
	}
	return codes
}

// ParseCode reads the text of a code.
func ParseCode(text string) (*Code, error) {
	bad := func(what, value, want string) error {
		return fmt.Errorf("code: %s %q: want %s", what, value, want)
	}
	f := strings.Fields(strings.ToLower(text))
	if len(f) < 5 || !strings.EqualFold(f[0], codeName) {
		return nil, bad("text", text[:min(len(text), 40)], "one that begins with "+codeName)
	}
	c := &Code{Day: f[3], Digest: f[4]}
	a, b, _ := strings.Cut(f[1], "/")
	var err, err2 error
	c.Part, err = strconv.Atoi(a)
	c.Parts, err2 = strconv.Atoi(b)
	if err != nil || err2 != nil || c.Part < 1 || c.Part > c.Parts {
		return nil, bad("part", f[1], "such as 1/2")
	}
	if c.Build, err = uuid.Parse(f[2]); err != nil {
		return nil, bad("build", f[2], "a UUID")
	}
	if _, err := time.Parse(time.DateOnly, c.Day); err != nil {
		return nil, bad("day", c.Day, "such as 2026-11-20")
	}
	if raw, err := hex.DecodeString(c.Digest); err != nil || len(raw) != 16 {
		return nil, bad("digest", c.Digest, "32 hexadecimal digits")
	}
	for _, word := range f[5:] {
		p := strings.Split(word, ":")
		if len(p) != 3 {
			return nil, bad("head", word, "device:number:entry")
		}
		h := Head{ID: p[2]}
		if h.Replica, err = uuid.Parse(p[0]); err != nil {
			return nil, bad("device", p[0], "32 hexadecimal digits")
		}
		if h.Seq, err = strconv.ParseUint(p[1], 10, 32); err != nil || h.Seq == 0 {
			return nil, bad("number", p[1], "1 or more")
		}
		if raw, err := hex.DecodeString(h.ID); err != nil || len(raw) != 16 {
			return nil, bad("entry", h.ID, "32 hexadecimal digits")
		}
		c.Heads = append(c.Heads, h)
	}
	return c, nil
}

// Modules are the dark modules of a text's QR code, row by row, with the quiet
// zone of four modules that ISO/IEC 18004 asks for.
func Modules(text string) ([][]bool, error) {
	return qr.Modules(text)
}
