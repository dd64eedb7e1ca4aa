package workbook

import (
	"archive/zip"
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
)

// Elements are counted over all parts, and the size of what is no XML too.
func TestCounted(t *testing.T) {
	r := reader{archive: &archive{}, elements: maxElements - 3}
	all := func(text string) error {
		s := r.scanText("part", text)
		for s.next() {
		}
		return r.err
	}
	require.NoError(t, all("<a><b/><c/></a>"))
	require.ErrorContains(t, all("<a/>"), "more than 2000000 elements")

	var out bytes.Buffer
	w := zip.NewWriter(&out)
	picture, err := w.Create("xl/media/image1.png")
	require.NoError(t, err)
	_, err = picture.Write(append([]byte("\x89PNG"), make([]byte, 3<<20)...))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	a := openArchive(out.Bytes(), 2<<20)
	require.ErrorContains(t, a.err, "its parts take more than 2 MB")

	// A part that is read again and again counts each time.
	a = openArchive(out.Bytes(), 4<<20)
	require.Len(t, a.read("XL/media/image1.png"), 3<<20+4)
	require.NoError(t, a.err)
	a.read("/xl/media/image1.png")
	require.ErrorContains(t, a.err, "its parts take more than 4 MB")
}
