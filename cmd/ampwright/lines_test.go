package main

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/lines"
	"ampwright/model/modeltest"
	"ampwright/server/blobs"

	"github.com/stretchr/testify/require"
)

// A logbook that was drawn goes through import and export of the command line and
// comes out entry for entry, twice.
func TestImportExport(t *testing.T) {
	for _, seed := range []uint64{1, 2} {
		raws := modeltest.Garage(200, seed)
		dir := t.TempDir()
		in := filepath.Join(dir, "in.jsonl")
		var text bytes.Buffer
		require.NoError(t, lines.Write(&text, func(f func([]byte) error) error {
			for _, raw := range raws {
				if err := f(raw); err != nil {
					return err
				}
			}
			return nil
		}))
		require.NoError(t, os.WriteFile(in, text.Bytes(), 0o600))
		for _, garage := range []string{"one", "two"} {
			code, _, talk := amp(t, "import", in, "--garage", filepath.Join(dir, garage))
			require.Zero(t, code, talk)
			code, out, talk := amp(t, "export", "--garage", filepath.Join(dir, garage))
			require.Zero(t, code, talk)
			back, _, err := lines.Read(bytes.NewBufferString(out))
			require.NoError(t, err)
			have := map[string]bool{}
			for _, raw := range back {
				have[string(raw)] = true
			}
			for _, raw := range raws {
				require.True(t, have[string(raw)])
			}
			in = filepath.Join(dir, garage+".jsonl") // the second reads what the first wrote
			require.NoError(t, os.WriteFile(in, []byte(out), 0o600))
		}
	}
}

// Photos go with a file of entries: those that an entry names are kept, byte for byte
// and once; another file is left alone.
func TestImportPhotos(t *testing.T) {
	dir := t.TempDir()
	photo, other := filepath.Join(dir, "photo.jpg"), filepath.Join(dir, "other.jpg")
	data := []byte("\xff\xd8\xff\xe0 of a lug")
	require.NoError(t, os.WriteFile(photo, data, 0o600))
	require.NoError(t, os.WriteFile(other, []byte("\xff\xd8\xff\xe0 of a cat"), 0o600))
	hash := sha256.Sum256(data)
	pen := model.Pen{Replica: [16]byte{1}}
	raws, err := pen.Write([]model.Draft{
		{Body: &model.Replica{Device: "phone", Person: "Kim"}},
		{Build: demo.Build, Body: &model.Photo{Hash: hash[:], Type: "image/jpeg"}},
	}, model.StampAt(time.Date(2026, 11, 21, 12, 0, 0, 0, time.UTC)))
	require.NoError(t, err)
	var text bytes.Buffer
	require.NoError(t, lines.Write(&text, func(f func([]byte) error) error { return errors.Join(f(raws[0]), f(raws[1])) }))
	in, garage := filepath.Join(dir, "phone.jsonl"), filepath.Join(dir, "garage")
	require.NoError(t, os.WriteFile(in, text.Bytes(), 0o600))

	kept := func() int {
		list, err := blobs.In(garage).List()
		require.NoError(t, err)
		return len(list)
	}
	code, out, talk := amp(t, "import", in, photo, other, "--garage", garage, "--dry-run")
	require.Zero(t, code, talk)
	require.Contains(t, out, "1 of 2 photos would be kept; 1 that no entry names")
	require.Zero(t, kept())
	for range 2 {
		code, out, talk = amp(t, "import", in, photo, other, "--garage", garage)
		require.Zero(t, code, talk)
		require.Contains(t, out, "1 of 2 photos kept; 1 that no entry names")
		require.Equal(t, 1, kept())
	}
	got, err := blobs.In(garage).Get(hash)
	require.NoError(t, err)
	require.Equal(t, data, got)
	empty := filepath.Join(dir, "empty")
	code, _, talk = amp(t, "import", in, photo, filepath.Join(dir, "nowhere.jpg"), "--garage", empty)
	require.NotZero(t, code)
	require.Contains(t, talk, "nowhere.jpg")
	require.NoDirExists(t, empty, "nothing is added")
	code, out, _ = amp(t, "import", in, photo, "--garage", empty)
	require.Zero(t, code)
	require.Contains(t, out, "1 of 1 photo kept\n")
}
