package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"ampwright/model/lines"
	"ampwright/model/modeltest"

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
