package app

import (
	"bytes"
	"errors"
	"fmt"
	"net/url"
	"strings"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/sync/keep"
)

// A Photo came with a form: a JPEG that is upright and small already.
type Photo struct {
	Field string
	Bytes []byte
}

// photoPath is the path before a photo's name.
const photoPath = Base + "/photo/"

// keepPhotos stores the photos of a form, before any entry names them, and
// returns the form with their names in it.
func (a *App) keepPhotos(form string, photos []Photo) (string, error) {
	values, err := url.ParseQuery(form)
	if err != nil {
		return "", fmt.Errorf("the form can't be read: %w", err)
	}
	for _, p := range photos {
		if !bytes.HasPrefix(p.Bytes, []byte("\xff\xd8\xff")) { // ITU-T T.81, annex B: SOI, then another marker
			return "", fmt.Errorf("the photo of the field %s is no JPEG: choose it again", p.Field)
		}
		id, err := a.cfg.Blobs.Put(bytes.NewReader(p.Bytes))
		if err != nil {
			return "", err
		}
		values.Set(p.Field, id.String())
	}
	return values.Encode(), nil
}

// Photo returns the bytes of a photo. Where they are not on this device the error
// says so in words, and the laptop is asked for them: [LinkConfig.Arrived] tells
// what came of it. It may be called at any time, unlike the rest of an App.
func (a *App) Photo(name string) ([]byte, error) {
	id, err := keep.ParseBlobID(name)
	if err != nil {
		return nil, err
	}
	data, err := a.cfg.Blobs.Get(id)
	var bad *keep.BadBlobError
	switch {
	case err == nil:
		return data, nil
	case errors.As(err, &bad) && (a.link == nil || !a.link.hasBlob(id)):
		return nil, errors.New("the photo is damaged on this device, and not known to be on another")
	case errors.As(err, &bad):
		if err := a.cfg.Blobs.Drop(id); err != nil { // or what is on the laptop would not be fetched
			return nil, err
		}
	case !errors.Is(err, keep.ErrNoBlob):
		return nil, err
	}
	if a.link == nil {
		return nil, errors.New("the photo is on another device")
	}
	return nil, errors.New(a.link.want(id, "the photo"))
}

// lone is what lies beside the logbook on this phone only.
type lone struct {
	photos []keep.BlobID
	pieces []keep.BlobID // of files that were kept
	files  int           // those that the pieces are of
}

// lone returns the photos and the pieces of kept files that entries name, that are
// here, and that the laptop has not acknowledged. None can be told where the store
// does not answer: then [App.Photo] says so.
func (a *App) lone() (all lone) {
	var photos [][32]byte
	var files [][][32]byte
	a.book.Read(func(l *model.Logbook) { photos, files = l.Photos(), l.FilesApart() })
	if len(photos)+len(files) == 0 {
		return all
	}
	held, _ := a.cfg.Blobs.List()
	here := map[keep.BlobID]bool{}
	for _, b := range held {
		here[b.ID] = true
	}
	among := func(named [][32]byte) (ids []keep.BlobID) {
		for _, hash := range named {
			if here[hash] && (a.link == nil || !a.link.hasBlob(hash)) {
				ids = append(ids, hash)
			}
		}
		return ids
	}
	all.photos = among(photos)
	for _, f := range files {
		if ids := among(f); len(ids) > 0 {
			all.pieces = append(all.pieces, ids...)
			all.files++
		}
	}
	return all
}

// photoPage is all that photo.html can see: one photo, as large as it goes.
type photoPage struct{ CSS, Icon, Home, Src, Name string }

func (a *App) photo(name string) pages.Response {
	p := photoPage{CSS: a.cfg.Asset("look.css"), Icon: a.cfg.Asset("icon.svg"), Home: Base + "/", Name: name}
	status := 404
	if _, err := keep.ParseBlobID(name); err == nil && name == strings.ToLower(name) {
		status, p.Src = 200, photoPath+name
	}
	return render(status, "photo.html", p)
}
