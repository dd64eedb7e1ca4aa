package web

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"ampwright/model"
	"ampwright/server/paper"
	"ampwright/sync/book"

	"github.com/google/uuid"
)

// listPDF paints a list of a build with blanks to fill in by hand, at
// paper/NAME.pdf.
type listPDF struct{ book *book.Book }

func (h listPDF) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	id, err := uuid.Parse(r.PathValue("build"))
	if err != nil {
		http.Error(w, fmt.Sprintf("build %q: want a UUID", r.PathValue("build")), http.StatusNotFound)
		return
	}
	name, ok := strings.CutSuffix(r.PathValue("file"), ".pdf")
	if !ok {
		http.Error(w, fmt.Sprintf("file %q: want a name that ends in .pdf", r.PathValue("file")), http.StatusNotFound)
		return
	}
	b, err := h.book.Build(id)
	if errors.Is(err, model.ErrNoBuild) {
		http.Error(w, "there is no build "+id.String()+" in this logbook", http.StatusNotFound)
		return
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	var pdf bytes.Buffer
	if err := paper.WriteList(&pdf, b, name, r.URL.Query().Get("size")); err != nil {
		http.Error(w, err.Error(), http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", fmt.Sprintf(`inline; filename="%s.pdf"`, name))
	w.Header().Set("Content-Length", strconv.Itoa(pdf.Len()))
	w.Write(pdf.Bytes())
}
