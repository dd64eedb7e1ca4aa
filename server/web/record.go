package web

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"ampwright/client/pages"
	"ampwright/client/record"
	"ampwright/model"
	"ampwright/server/paper"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
)

// recordPDF paints a build's record: for whom, and whether hours and money are
// told, as on the page beside it.
type recordPDF struct {
	book  *book.Book
	blobs keep.Blobs // nil for none
}

func (h recordPDF) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	id, err := uuid.Parse(r.PathValue("build"))
	if err != nil {
		http.Error(w, fmt.Sprintf("build %q: want a UUID", r.PathValue("build")), http.StatusNotFound)
		return
	}
	q := r.URL.Query()
	cfg := record.Config{For: record.Inspector, Hours: q.Get("hours") != "", Money: q.Get("money") != ""}
	if text := q.Get("for"); text != "" {
		if cfg.For, err = record.ParseAudience(text); err != nil {
			http.Error(w, err.Error(), http.StatusNotFound)
			return
		}
	}
	rec, err := h.make(id, cfg)
	if errors.Is(err, model.ErrNoBuild) {
		http.Error(w, "there is no build "+id.String()+" in this logbook", http.StatusNotFound)
		return
	}
	var pdf bytes.Buffer
	if err == nil {
		err = paper.WriteWith(&pdf, rec, photosIn(h.blobs))
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", fmt.Sprintf(`inline; filename="record-%s.pdf"`, cfg.For))
	w.Header().Set("Content-Length", strconv.Itoa(pdf.Len()))
	w.Write(pdf.Bytes())
}

// photosIn returns the photos of a store as paper asks for them.
func photosIn(blobs keep.Blobs) paper.Photos {
	if blobs == nil {
		return nil
	}
	return func(sha256 string) []byte {
		id, err := keep.ParseBlobID(sha256)
		if err != nil {
			return nil // none was named
		}
		data, err := blobs.Get(id)
		if err != nil {
			return nil // not here, or damaged: its hash stands on the paper
		}
		return data
	}
}

func (h recordPDF) make(id uuid.UUID, cfg record.Config) (rec *record.Record, err error) {
	h.book.Read(func(l *model.Logbook) {
		var b *model.Build
		if b, err = l.Build(id, h.book.Now().Truncate(time.Second), h.book.Plans()); err == nil {
			rec, err = record.Make(b, l, cfg)
		}
	})
	return rec, err
}

// recordFile takes a record's file from the page that holds one against the
// logbook, and gives the page the record in it.
type recordFile struct{ page page }

func (h recordFile) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type")); kind != "multipart/form-data" {
		h.page.ServeHTTP(w, r)
		return
	}
	form := url.Values{}
	text, err := recordIn(r)
	switch {
	case statusOf(err) == http.StatusRequestEntityTooLarge:
		http.Error(w, fmt.Sprintf("the file is too large: at most %d MiB are accepted", maxRecord>>20), http.StatusRequestEntityTooLarge)
		return
	case err != nil:
		form.Set("unread", err.Error())
	default:
		form.Set("record", text)
	}
	h.page.answer(w, pages.Request{Method: r.Method, Path: r.URL.Path, Query: r.URL.Query(), Form: form})
}

// recordIn returns the record in the posted file as JSON.
func recordIn(r *http.Request) (string, error) {
	if err := r.ParseMultipartForm(maxRecord); err != nil {
		return "", err
	}
	defer r.MultipartForm.RemoveAll()
	f, head, err := r.FormFile("file")
	if err != nil {
		return "", errors.New("no file was given: want a PDF or JSON that this program wrote")
	}
	defer f.Close()
	file, err := io.ReadAll(f)
	if err != nil {
		return "", err
	}
	rec, err := paper.Read(file)
	if err != nil {
		return "", fmt.Errorf("file %q: %w", head.Filename, err)
	}
	var text strings.Builder
	err = rec.Write(&text)
	return text.String(), err
}
