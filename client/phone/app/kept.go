package app

import (
	"bytes"
	"errors"
	"io"

	"ampwright/model"
	"ampwright/sync/keep"
)

// keepFile stores a file in pieces, before any entry names them, and returns their
// names.
func (a *App) keepFile(data []byte) ([]string, error) {
	pieces, _, err := keep.PutRaw(a.cfg.Blobs, bytes.NewReader(data))
	return pieces, err
}

// writeFile writes a file that was kept. Phones fetch none: where its pieces are
// not here the error says so.
func (a *App) writeFile(s model.Bring, w io.Writer) error {
	err := keep.GetRaw(a.cfg.Blobs, s.Pieces, s.Hash, w)
	if errors.Is(err, keep.ErrNoBlob) {
		return errors.New("it is not on this phone, which fetches no kept files")
	}
	return err
}
