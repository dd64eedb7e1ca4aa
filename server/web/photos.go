package web

import (
	"bytes"
	"errors"
	"net/http"
	"net/url"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/server/picture"
	"ampwright/sync/keep"
)

const (
	maxPhoto = 24 << 20 // of a form with a photo: one that is too large by half is still told so on its form
	inMemory = 1 << 20  // of it; the rest waits in a file that is removed
)

// photoField is the name that a photo has in any form.
const photoField = "photo"

// takesPhoto reports whether a page's form may come with a photo.
func takesPhoto(at string) bool {
	if strings.Contains(at, "/walk/") {
		return true
	}
	k, ok := model.WishKindOf(path.Base(at))
	return ok && strings.HasSuffix(path.Dir(at), "/write") && slices.ContainsFunc(k.Fields, func(f model.WishField) bool { return f.Type == model.PhotoField })
}

// A darkroom makes kept photos of those that come with forms, one at a time: each
// takes some hundred megabytes while it is worked on.
type darkroom struct {
	blobs keep.Blobs
	one   sync.Mutex
}

// develop keeps the photo that came with a form and puts its name into the form in
// its place. The second result says in words why a photo is not kept.
func (d *darkroom) develop(form url.Values, files []pages.File) (rest []pages.File, refused string, err error) {
	for _, f := range files {
		if f.Field != photoField {
			rest = append(rest, f)
			continue
		}
		if len(f.Data) == 0 {
			continue // no file was chosen
		}
		if d.blobs == nil {
			return nil, "photos are not kept here", nil
		}
		kept, wrong := d.keep(f.Data)
		if wrong != nil {
			return nil, wrong.Error(), nil
		}
		id, err := d.blobs.Put(bytes.NewReader(kept))
		if err != nil {
			return nil, "", err
		}
		form[photoField] = []string{id.String()}
	}
	return rest, "", nil
}

func (d *darkroom) keep(file []byte) ([]byte, error) {
	d.one.Lock()
	defer d.one.Unlock()
	return picture.Keep(file)
}

// photo serves the bytes of a photo. Of one that is not here the site says where
// it is.
type photo struct {
	blobs keep.Blobs
	page  page
}

func (h photo) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("hash")
	id, err := keep.ParseBlobID(name)
	if err != nil || name != id.String() {
		h.page.ServeHTTP(w, r)
		return
	}
	data, err := h.blobs.Get(id)
	switch {
	case errors.Is(err, keep.ErrNoBlob):
		h.page.ServeHTTP(w, r)
		return
	case err != nil:
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	if !bytes.HasPrefix(data, []byte("\xff\xd8\xff")) { // what another device sent as a photo is shown only if it is one
		http.Error(w, "what is kept under this name is no JPEG", http.StatusUnsupportedMediaType)
		return
	}
	w.Header().Set("Content-Type", picture.Type)
	w.Header().Set("Content-Length", strconv.Itoa(len(data)))
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable") // its name changes with its bytes
	w.Write(data)
}
