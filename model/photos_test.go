package model_test

import (
	"bytes"
	"encoding/hex"
	"testing"
	"time"

	"ampwright/calc/unit"
	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

func hashOf(first byte) []byte { return append([]byte{first}, make([]byte, 31)...) }

func hexOf(first byte) string { return hex.EncodeToString(hashOf(first)) }

// Readings, purchases and photos name the pictures that belong to them; one that
// was struck out is still to be shown, so its picture is still wanted.
func TestPhotos(t *testing.T) {
	b := start(t, hub)
	require.Empty(t, b.log.Photos())
	b.do("photo", "photo", hexOf(1), "task", "brk-02", "note", "before the strip")
	b.do("read", "check", "motor-iso", "value", "55M", "photo", hexOf(2))
	first := b.log.Photos()
	require.Equal(t, [][32]byte{[32]byte(hashOf(1)), [32]byte(hashOf(2))}, first)
	b.do("buy", "what", "fuse", "amount", "12", "photo", hexOf(3))
	b.do("photo", "photo", hexOf(1), "check", "motor-iso")
	b.do("photo", "photo", hexOf(4), "part", "motor-spare-halls")
	b.do("strike", "entry", b.log.Lines(b.id, 0, 1)[0].ID.String(), "reason", "of another motor")
	require.Equal(t, [][32]byte{[32]byte(hashOf(1)), [32]byte(hashOf(2)), [32]byte(hashOf(3)), [32]byte(hashOf(4))}, b.log.Photos())
	require.Equal(t, [32]byte(hashOf(1)), first[0], "what was returned before stays as it was")

	build := b.build()
	require.Len(t, build.Photos, 2, "of those in force")
	require.Len(t, build.Task("brk-02").Photos, 1)
	require.Equal(t, "before the strip", build.Task("brk-02").Photos[0].Note)
	require.Len(t, build.PhotosOf("motor-iso"), 1)
	require.Equal(t, hashOf(2), build.Check("motor-iso").Current.Photo)
	bought := build.Money.Lines[0]
	require.Equal(t, hashOf(3), bought.Photo)
	require.Equal(t, "photo", bought.Receipt)
}

// A photo check is answered by its photo alone; so is a yes or no beside one.
func TestPhotoAnswers(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "frame-number-photo", "photo", hexOf(5))
	require.Equal(t, model.Within, b.build().Check("frame-number-photo").Verdict)
	for _, wrong := range []string{"5", hexOf(5)[2:], "photo.jpg"} {
		_, err := b.try("photo", "photo", wrong)
		require.ErrorContains(t, err, `photo "`+wrong+`": want the SHA-256 of the photo, 64 hexadecimal digits`)
	}
	_, err := b.try("photo")
	require.ErrorContains(t, err, "photo is missing: want a photo")
}

// A photo check says where its picture is: in the logbook, or elsewhere where
// somebody only said that it was taken. An answer from before the plan wanted a
// photo is none.
func TestPhotoText(t *testing.T) {
	b := start(t, hub)
	says := func(want string) {
		t.Helper()
		c := b.build().Check("frame-number-photo")
		require.Equal(t, want, c.ValueText(c.Current, unit.Style{}))
		require.Equal(t, model.Within, c.Verdict)
	}
	for _, value := range []string{"photo", "yes"} {
		b.do("read", "check", "frame-number-photo", "value", value, "note", "on the red stick")
		says("photo taken, kept elsewhere")
		b.later(time.Minute)
		b.do("read", "check", "frame-number-photo", "value", value, "photo", hexOf(5))
		says("photo in the logbook")
		b.later(time.Minute)
	}
	c := b.build().Check("frame-number-photo")
	for want, r := range map[string]model.Reading{"yes": {Answer: model.AnswerYes}, "no": {Answer: model.AnswerNo}, "": {}, "photo in the logbook": {Photo: hashOf(5)}} {
		require.Equal(t, want, c.ValueText(&model.ReadingLine{Reading: r}, unit.Style{}))
	}
}

// A purchase without a photo has the bytes that it had before purchases could
// have one.
func TestPhotoLeavesOldBytes(t *testing.T) {
	e := model.Entry{Replica: uuid.UUID{15: 1}, Seq: 1, Stamp: 1, Body: &model.Purchase{What: "fuse", Cents: 1200, Receipt: "photo"}}
	raw, err := e.Encode()
	require.NoError(t, err)
	e.Body.(*model.Purchase).Photo = hashOf(1)
	longer, err := e.Encode()
	require.NoError(t, err)
	require.Len(t, longer, len(raw)+1+2+32, "one key, one head, 32 bytes") // RFC 8949, section 3
	require.True(t, bytes.HasSuffix(longer, append([]byte{0x0b, 0x58, 32}, hashOf(1)...)))
}

// A file that was kept when it was brought in names its pieces, in order, each
// once; they are no photos.
func TestFiles(t *testing.T) {
	b := start(t, hub)
	bring := func(file byte, pieces ...string) {
		b.do(model.BringWish, append([]string{"file", "ride.csv", "what", "battery log", "hash", hexOf(file)}, pieces...)...)
	}
	bring(8, "pieces", hexOf(1), "pieces", hexOf(2))
	require.Equal(t, [][32]byte{[32]byte(hashOf(1)), [32]byte(hashOf(2))}, b.log.Files())
	bring(9, "pieces", "no hash", "pieces", hexOf(2), "pieces", hexOf(3))
	require.Equal(t, [][32]byte{[32]byte(hashOf(1)), [32]byte(hashOf(2)), [32]byte(hashOf(3))}, b.log.Files())
	bring(6, "pieces", hexOf(1))
	bring(7, "pieces", hexOf(4))
	all := b.log.Files()
	require.Equal(t, [][][32]byte{all[:2], all[2:3], all[3:]}, b.log.FilesApart())
	require.Empty(t, b.log.Photos())
}
