package pages

import (
	"encoding/hex"
	"fmt"
	"net/url"
	"slices"

	"ampwright/model"
)

// A photoPic is a photo as a page shows it: small, and a way to it in full. Words
// stand for one whose bytes are not here.
type photoPic struct {
	Href, Alt, Words string // Href is "" where the bytes are not here
	Caption, Entry   string // what it is, and its entry
}

// photoPic returns the photo of a hash; nil where there is none.
func (v *visit) photoPic(hash []byte, of string) *photoPic {
	if len(hash) != 32 {
		return nil
	}
	name := hex.EncodeToString(hash)
	if v.cfg.HasPhoto != nil && !v.cfg.HasPhoto([32]byte(hash)) {
		return &photoPic{Words: "photo " + name[:8] + ": not on this device yet, it comes over behind the entries"}
	}
	return &photoPic{Href: v.photoHref(name), Alt: "photo of " + of}
}

func (v *visit) photoHref(name string) string { return v.cfg.Base + "/photo/" + name }

// photoField asks for a photo. One that came with what was refused is kept and is
// not asked for again.
func (v *visit) photoField(f *field) {
	f.Draw = "photo"
	if hash, err := hex.DecodeString(f.Value); err == nil {
		f.Photo = v.photoPic(hash, f.Label)
	}
	if f.Photo == nil {
		f.Value = ""
		f.Hint = "JPEG, PNG or WebP; it is kept small, without place and camera"
		return
	}
	f.Hint = "this one is kept; another takes its place"
}

// photoFirst puts the photo before all else that a photo check asks for.
func photoFirst(fields []field) {
	at := slices.IndexFunc(fields, func(f field) bool { return f.Draw == "photo" })
	if at > 0 {
		photo := fields[at]
		copy(fields[1:], fields[:at])
		fields[0] = photo
	}
}

// oneThing leaves out of a photo's form what else it could be of, where it is known
// what it is of.
func (v *visit) oneThing(f *form, values url.Values) {
	of := []string{"task", "check", "part"}
	if !slices.ContainsFunc(of, func(name string) bool { return values.Get(name) != "" }) {
		return
	}
	for _, name := range of {
		if values.Get(name) == "" {
			f.Fields = dropField(f.Fields, name)
		}
	}
}

// photosTaken are photos with what was said of them, newest first.
func (v *visit) photosTaken(list []model.PhotoLine, of string) []photoPic {
	var pics []photoPic
	for _, p := range slices.Backward(list) {
		if pic := v.photoPic(p.Hash, of); pic != nil {
			pic.Caption, pic.Entry = p.Photo.Note, v.at()+"/entry/"+p.ID.String()
			if pic.Caption == "" {
				pic.Caption = v.when(p.At)
			}
			pics = append(pics, *pic)
		}
	}
	return pics
}

// hashIn returns the hash of the photo that an entry names, and what it is of.
func hashIn(e model.Entry) (hash []byte, of string) {
	switch b := e.Body.(type) {
	case *model.Reading:
		return b.Photo, b.Check
	case *model.Purchase:
		return b.Photo, "the receipt of " + b.What
	case *model.Photo:
		for _, of := range []string{b.Note, b.Check, b.Part, b.Task} {
			if of != "" {
				return b.Hash, of
			}
		}
		return b.Hash, "the build"
	}
	return nil, ""
}

// noPhoto says where a photo is whose bytes the server of these pages does not
// have.
func (v *visit) noPhoto() (Response, error) {
	named := false
	v.cfg.Book.Read(func(l *model.Logbook) {
		named = slices.ContainsFunc(l.Photos(), func(h [32]byte) bool { return hex.EncodeToString(h[:]) == v.args[0] })
	})
	if !named {
		return Response{}, missing("there is no photo %s in this logbook", v.args[0])
	}
	return Response{}, missing("The photo %.8s is not on this device yet. It is on the one that took it, and comes over behind the entries when the two are connected.", v.args[0])
}

// photoFault is what is wrong with the file that came for a wish's photo.
func (v *visit) photoFault(k *model.WishKind) []*model.FieldError {
	if v.req.NoPhoto == "" {
		return nil
	}
	for _, f := range k.Fields {
		if f.Type == model.PhotoField {
			return []*model.FieldError{{Field: f.Name, Want: v.req.NoPhoto}}
		}
	}
	return []*model.FieldError{{Want: fmt.Sprintf("a photo is not asked for by %s", k.Name)}}
}
