package web_test

import (
	"testing"

	"ampwright/model/demo"

	"github.com/stretchr/testify/require"
)

// A list to be filled in by hand comes as a PDF, on the paper that is asked for.
func TestListPDF(t *testing.T) {
	s := heron(t)
	at := "/b/" + demo.Build.String() + "/paper/"
	for path, box := range map[string]string{"shopping.pdf": "595.28 841.89", "cmb-02.pdf?size=Letter": "612.00 792.00"} {
		r := s.do(call{"GET", at + path, "", "", nil})
		require.Equal(t, 200, r.StatusCode, path)
		require.Equal(t, "application/pdf", r.Header.Get("Content-Type"))
		require.Contains(t, body(t, r), "/MediaBox [0 0 "+box+"]")
	}
	for _, path := range []string{at + "moped.pdf", at + "shopping", at + "shopping.pdf?size=A3", "/b/x/paper/shopping.pdf", "/b/00000000-0000-4000-8000-000000000000/paper/shopping.pdf"} {
		require.Equal(t, 404, s.do(call{"GET", path, "", "", nil}).StatusCode, path)
	}
}
