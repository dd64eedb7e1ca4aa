//go:build browser

package browser

import (
	"bytes"
	"compress/gzip"
	"io"
	"testing"

	"ampwright/client/phone/bundle"

	"github.com/andybalholm/brotli"
	"github.com/stretchr/testify/require"
)

func compressed(t *testing.T, plain []byte) (f bundle.File) {
	var br, gz bytes.Buffer
	for _, w := range []io.WriteCloser{brotli.NewWriter(&br), gzip.NewWriter(&gz)} {
		_, err := w.Write(plain)
		require.NoError(t, err)
		require.NoError(t, w.Close())
	}
	f.Brotli, f.Gzip = br.Bytes(), gz.Bytes()
	return f
}
