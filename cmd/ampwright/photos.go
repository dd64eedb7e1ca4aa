package main

import (
	"bytes"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"ampwright/model"
	"ampwright/server/blobs"
	"ampwright/server/picture"
	"ampwright/sync/keep"

	"github.com/spf13/cobra"
)

// keepPhotos keeps the files that are named for photos and puts the names they
// are kept under in their place. What is 64 hexadecimal digits is such a name.
func (p *program) keepPhotos(k *model.WishKind, w model.Wish) error {
	for _, f := range k.Fields {
		if f.Type != model.PhotoField || len(w.Values[f.Name]) == 0 {
			continue
		}
		file := w.Values[f.Name][0]
		if _, err := keep.ParseBlobID(file); err == nil {
			continue
		}
		id, err := p.keepPhoto(file)
		if err != nil {
			return refused(k, &model.WishError{Wish: k.Name, Fields: []*model.FieldError{{Field: f.Name, Value: file, Want: err.Error()}}})
		}
		w.Values[f.Name] = []string{id.String()}
	}
	return nil
}

func (p *program) keepPhoto(file string) (id keep.BlobID, err error) {
	f, err := os.Open(file)
	if errors.Is(err, fs.ErrNotExist) {
		return id, errors.New("there is no such file")
	}
	if err != nil {
		return id, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, picture.MaxFile+1))
	if err != nil {
		return id, err
	}
	kept, err := picture.Keep(data)
	if err != nil {
		return id, err
	}
	dir, err := p.place()
	if err != nil {
		return id, err
	}
	return blobs.In(dir).Put(bytes.NewReader(kept))
}

// photoBytes returns the bytes of a photo that is kept here; nil if it is not.
func (p *program) photoBytes(sha256 string) []byte {
	dir, err := p.place()
	if err != nil {
		return nil
	}
	id, err := keep.ParseBlobID(sha256)
	if err != nil {
		return nil
	}
	data, err := blobs.In(dir).Get(id)
	if err != nil {
		return nil
	}
	return data
}

type photosJSON struct {
	head
	Photos []photoJSON `json:"photos"`
	Away   int         `json:"away"` // of these: bytes are on another device only
}

type photoJSON struct {
	Entry  string    `json:"entry"`
	Of     string    `json:"of"` // a check, a task, a part, "receipt" or "build"
	At     time.Time `json:"at"`
	SHA256 string    `json:"sha256"`
	Note   string    `json:"note"`
	File   string    `json:"file"` // "" where the bytes are not here
}

func (p *program) photos() *cobra.Command {
	return &cobra.Command{
		Use: "photos FOLDER", Short: "write a build's photos into a folder",
		Long: `Writes every photo of a build, in force and kept here, into a folder: each as a
.jpg named by its day, by what it is of, and by the beginning of its SHA-256,
which is that of the file. A file that is there already is left as it is.`,
		Example: "  ampwright photos ./pictures\n  ampwright photos ./pictures --build heron --json", Args: exactly(1, "FOLDER"),
		RunE: func(c *cobra.Command, args []string) error {
			return p.look(func(v view, _ []string) error { return p.writePhotos(v, args[0]) })(c, args)
		},
	}
}

func (p *program) writePhotos(v view, folder string) error {
	dir, err := p.place()
	if err != nil {
		return err
	}
	store := blobs.In(dir)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return fmt.Errorf("make %s: %w", folder, err)
	}
	body := photosJSON{head: v.head("photos"), Photos: photosOf(v.build)}
	for i := range body.Photos {
		one := &body.Photos[i]
		id, err := keep.ParseBlobID(one.SHA256)
		if err != nil {
			return err
		}
		data, err := store.Get(id)
		if errors.Is(err, keep.ErrNoBlob) {
			body.Away++
			continue
		}
		if err != nil {
			return err
		}
		one.File = filepath.Join(folder, fmt.Sprintf("%s-%s-%s.jpg", one.At.Format(time.DateOnly), one.Of, one.SHA256[:8]))
		if have, err := os.ReadFile(one.File); err == nil && bytes.Equal(have, data) {
			continue
		} else if err == nil {
			if err := p.overwrite(one.File); err != nil {
				return err
			}
		}
		if err := writeFile(one.File, func(w io.Writer) error { _, err := w.Write(data); return err }); err != nil {
			return err
		}
	}
	return p.answer(body, func(pg *page) {
		for _, one := range body.Photos {
			if one.File != "" {
				pg.row(one.File, one.Note)
			}
		}
		pg.line("%d %s in %s", len(body.Photos)-body.Away, plural(len(body.Photos)-body.Away, "photo", "photos"), folder)
		if body.Away > 0 {
			pg.line("%d %s on another device only: ampwright sync brings what is there", body.Away, plural(body.Away, "is", "are"))
		}
	})
}

// photosOf returns the photos of a build that are in force, oldest first.
func photosOf(b *model.Build) []photoJSON {
	list := []photoJSON{}
	add := func(id model.ID, of string, at model.When, hash []byte, note string) {
		if len(hash) == 32 {
			list = append(list, photoJSON{Entry: id.String(), Of: fileWord(of), At: at.Time(), SHA256: hex.EncodeToString(hash), Note: note})
		}
	}
	for _, c := range b.Checks {
		for _, r := range c.Readings {
			if !r.Derived {
				add(r.ID, c.ID, r.At, r.Photo, r.Reading.Note)
			}
		}
	}
	for _, l := range b.Money.Lines {
		add(l.ID, "receipt", l.At, l.Photo, l.What)
	}
	for _, l := range b.Photos {
		of := "build"
		for _, key := range []string{l.Photo.Task, l.Photo.Part, l.Photo.Check} {
			if key != "" {
				of = key
			}
		}
		add(l.ID, of, l.At, l.Hash, l.Photo.Note)
	}
	slices.SortStableFunc(list, func(x, y photoJSON) int { return x.At.Compare(y.At) })
	return list
}

// fileWord leaves of a key what every file system takes in a name.
func fileWord(key string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return '-'
	}, strings.ToLower(key))
}
