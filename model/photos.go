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

// photoBook is which photos the entries name.
type photoBook struct {
	hashes [][32]byte
	known  map[[32]byte]bool
	read   int // entries looked at
}

// Photos returns the SHA-256 of every photo that an entry names, each once, in
// force or not: what was struck out stays readable, and so does its picture. They
// come in the order in which the entries came here, so what is new since the last
// call stands behind what was there. The slice is not to be changed.
func (l *Logbook) Photos() [][32]byte {
	p := &l.photos
	for ; p.read < len(l.items); p.read++ {
		hash := l.photoIn(&l.items[p.read])
		if len(hash) != 32 || p.known[[32]byte(hash)] {
			continue
		}
		if p.known == nil {
			p.known = map[[32]byte]bool{}
		}
		p.known[[32]byte(hash)] = true
		p.hashes = append(p.hashes, [32]byte(hash))
	}
	return slices.Clip(p.hashes)
}

// photoIn returns the hash of the photo that an entry names, or nothing.
func (l *Logbook) photoIn(it *item) []byte {
	body := it.raw[it.body:]
	if !strings.Contains(body, "\x58\x20") { // the head of 32 bytes: RFC 8949, section 3. Most bodies name no photo
		return nil
	}
	switch it.kind {
	case kindReading:
		var b Reading
		if readBody(body, &b) == nil {
			return b.Photo
		}
	case kindPhoto:
		var b Photo
		if readBody(body, &b) == nil {
			return b.Hash
		}
	case kindPurchase:
		var b Purchase
		if readBody(body, &b) == nil {
			return b.Photo
		}
	}
	return nil
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
