package model

import (
	"encoding/hex"
	"slices"
	"strings"
)

// A PhotoLine is a picture of a task, a check, a part or the build.
type PhotoLine struct {
	Fact
	Photo
}

// PhotosOf returns the pictures of a check, in the order they were taken. Those
// that came with a reading stand with the reading.
func (b *Build) PhotosOf(check string) []PhotoLine {
	return slices.DeleteFunc(slices.Clone(b.Photos), func(p PhotoLine) bool { return p.Photo.Check != check })
}

// A blobBook is which blobs the entries name.
type blobBook struct {
	hashes [][32]byte
	ends   []int // where those end that one entry named first
	known  map[[32]byte]bool
	read   int // entries looked at
}

// look takes in what the entries name that came since the last look, and returns
// all there is.
func (b *blobBook) look(l *Logbook, in func(*item, func(hash []byte))) [][32]byte {
	add := func(hash []byte) {
		if len(hash) != 32 || b.known[[32]byte(hash)] {
			return
		}
		if b.known == nil {
			b.known = map[[32]byte]bool{}
		}
		b.known[[32]byte(hash)] = true
		b.hashes = append(b.hashes, [32]byte(hash))
	}
	for ; b.read < len(l.items); b.read++ {
		before := len(b.hashes)
		if in(&l.items[b.read], add); len(b.hashes) > before {
			b.ends = append(b.ends, len(b.hashes))
		}
	}
	return slices.Clip(b.hashes)
}

// Photos returns the SHA-256 of every photo that an entry names, each once, in
// force or not: what was struck out stays readable, and so does its picture. They
// come in the order in which the entries came here, so what is new since the last
// call stands behind what was there. The slice is not to be changed.
func (l *Logbook) Photos() [][32]byte { return l.photos.look(l, photoIn) }

// Files returns the names of the blobs that hold the files which were kept when
// they were brought in, such as a battery's log, as [Logbook.Photos] does those of
// photos.
func (l *Logbook) Files() [][32]byte { return l.files.look(l, piecesIn) }

// FilesApart returns the same, file by file: a blob that two files share stands with
// the first.
func (l *Logbook) FilesApart() (files [][][32]byte) {
	all, from := l.Files(), 0
	for _, end := range l.files.ends {
		files = append(files, all[from:end])
		from = end
	}
	return files
}

// photoIn finds the hash of the photo that an entry names.
func photoIn(it *item, found func(hash []byte)) {
	body := it.raw[it.body:]
	if !strings.Contains(body, "\x58\x20") { // the head of 32 bytes: RFC 8949, section 3. Most bodies name no photo
		return
	}
	switch it.kind {
	case kindReading:
		var b Reading
		if readBody(body, &b) == nil {
			found(b.Photo)
		}
	case kindPhoto:
		var b Photo
		if readBody(body, &b) == nil {
			found(b.Hash)
		}
	case kindPurchase:
		var b Purchase
		if readBody(body, &b) == nil {
			found(b.Photo)
		}
	}
}

// piecesIn finds the names of the blobs of a file that was brought in.
func piecesIn(it *item, found func(hash []byte)) {
	var b Bring
	if it.kind != kindBring || readBody(it.raw[it.body:], &b) != nil {
		return
	}
	for _, name := range b.Pieces {
		if hash, err := hex.DecodeString(name); err == nil { // else it names no blob
			found(hash)
		}
	}
}

// photo reads the hash of a photo that is stored already; nil if there is none.
func (x *wishing) photo(name string) []byte {
	v := x.text(name)
	if v == "" {
		return nil
	}
	hash, err := hex.DecodeString(v)
	if err != nil || len(hash) != 32 {
		x.fail(name, v, "want the SHA-256 of the photo, 64 hexadecimal digits")
		return nil
	}
	return hash
}

// doPhoto writes a photo of something down. Kept photos are JPEG.
func doPhoto(x *wishing) {
	x.write(&Photo{
		At: x.moment("at", x.desk.Now), Hash: x.photo("photo"), Type: "image/jpeg", Task: x.taskKey("task"), Check: x.checkKey("check"),
		Part: x.partKey("part"), Note: x.text("note"),
	})
}
