package app

import (
	"bytes"
	"errors"
	"fmt"
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

// writeFile writes a file that was kept. Of one that is not here whole the laptop is
// asked for what is missing, and the error says how far that is.
func (a *App) writeFile(s model.Bring, w io.Writer) error {
	err := keep.GetRaw(a.cfg.Blobs, s.Pieces, s.Hash, w)
	if !errors.Is(err, keep.ErrNoBlob) {
		return err
	}
	if a.link == nil {
		return errors.New("the file is on another device")
	}
	here, where := 0, ""
	for _, name := range s.Pieces {
		id, err := keep.ParseBlobID(name)
		if err != nil {
			return err
		}
		there, err := a.cfg.Blobs.Has(id)
		switch {
		case err != nil:
			return err
		case there:
			here++
		default:
			where = a.link.want(id, "the file")
		}
	}
	return fmt.Errorf("%s (%d of %d pieces are here)", where, here, len(s.Pieces))
}
