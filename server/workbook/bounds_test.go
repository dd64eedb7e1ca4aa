package workbook

import (
	"archive/zip"
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Elements are counted over all parts, and the size of what is no XML too.
func TestCounted(t *testing.T) {
	c := counter{elements: maxElements - 3}
	require.NoError(t, c.part(strings.NewReader("<a><b/><c/></a>")))
	require.ErrorContains(t, c.part(strings.NewReader("<a/>")), "more than 2000000 elements")

	var out bytes.Buffer
	w := zip.NewWriter(&out)
	picture, err := w.Create("xl/media/image1.png")
	require.NoError(t, err)
	_, err = picture.Write(append([]byte("\x89PNG"), make([]byte, 3<<20)...))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	archive, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	require.NoError(t, err)
	require.NoError(t, checkParts(archive, 4<<20))
	require.ErrorContains(t, checkParts(archive, 2<<20), "its parts take more than 2 MB")
}
