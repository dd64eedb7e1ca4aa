package axe

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha512"
	"encoding/hex"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// A package of another sum is not taken, nor one without the script.
func TestScript(t *testing.T) {
	pack := func(name string) ([]byte, string) {
		var out bytes.Buffer
		z := gzip.NewWriter(&out)
		files := tar.NewWriter(z)
		require.NoError(t, files.WriteHeader(&tar.Header{Name: name, Mode: 0o644, Size: 3}))
		_, err := files.Write([]byte("axe"))
		require.NoError(t, err)
		require.NoError(t, files.Close())
		require.NoError(t, z.Close())
		got := sha512.Sum512(out.Bytes())
		return out.Bytes(), hex.EncodeToString(got[:])
	}
	data, known := pack("package/axe.min.js")
	text, err := script(data, known)
	require.NoError(t, err)
	require.Equal(t, "axe", text)
	_, err = script(data, sum)
	require.ErrorContains(t, err, "SHA-512 "+known)
	data, known = pack("package/README.md")
	_, err = script(data, known)
	require.ErrorContains(t, err, "no package/axe.min.js")
}

// A run that left a rule out, or found no title in order, is none.
func TestRan(t *testing.T) {
	all := []string{"target-size", "color-contrast", "color-contrast-enhanced"}
	for i := len(all); i < Rules; i++ {
		all = append(all, fmt.Sprint("rule-", i))
	}
	fine := []string{"document-title", "html-has-lang"}
	require.NoError(t, ran(all, fine))
	require.ErrorContains(t, ran(nil, fine), "0 rules of 100")
	require.ErrorContains(t, ran(append([]string{"other"}, all[1:]...), fine), "target-size")
	require.ErrorContains(t, ran(all, nil), "document-title")
}
