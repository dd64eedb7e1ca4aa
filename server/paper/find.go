package paper

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"

	"ampwright/client/record"
)

// ErrNone is returned for a file that holds no record.
var ErrNone = errors.New("there is no build record in it: want a PDF as this program wrote it, not printed or saved anew by another, or a record as JSON")

// embedded is how Write's library opens an attached file (ISO 32000-1, 7.11.4).
var embedded = regexp.MustCompile(`<< /Type /EmbeddedFile /Length ([0-9]+) /Filter /FlateDecode [^\n]*>>\n+stream\n`)

// maxAttached bounds an attachment that is unpacked.
const maxAttached = 16 << 20

// Read finds the record in a file: a PDF that Write made, or the record's JSON.
func Read(file []byte) (*record.Record, error) {
	if !bytes.HasPrefix(file, []byte("%PDF-")) {
		if !bytes.HasPrefix(bytes.TrimSpace(file), []byte("{")) {
			return nil, ErrNone
		}
		return record.Read(bytes.NewReader(file))
	}
	for _, at := range embedded.FindAllSubmatchIndex(file, -1) {
		n, err := strconv.Atoi(string(file[at[2]:at[3]]))
		if err != nil || n > len(file)-at[1] {
			continue
		}
		z, err := zlib.NewReader(bytes.NewReader(file[at[1] : at[1]+n]))
		if err != nil {
			continue
		}
		text, err := io.ReadAll(io.LimitReader(z, maxAttached))
		if err != nil {
			return nil, fmt.Errorf("unpack the record: %w", err)
		}
		if r, err := record.Read(bytes.NewReader(text)); err == nil {
			return r, nil
		}
	}
	return nil, ErrNone
}
