package app_test

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"net/url"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"ampwright/client/phone/app"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/sync/keep"

	"github.com/stretchr/testify/require"
)

// jpeg is as much of one as the Go of the phone looks at: the page makes them.
func jpeg(text string) []byte { return []byte("\xff\xd8\xff" + text) }

func nameOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// pose sends a reading of a check that is a photo.
func pose(a *app.App, data []byte) app.Answer {
	form := url.Values{"check": {"motor-iso"}, "value": {"8,2M"}, "instrument": {"insulation tester 250 V"}, "photo": {"gone"}}
	return a.Serve(app.Ask{Method: "POST", At: bench + "write/read", Form: form.Encode(), Photos: []app.Photo{{Field: "photo", Bytes: data}}})
}

// room is a store of photos on a phone that may be full, or damage one.
type room struct {
	keep.Blobs
	full    bool
	damaged keep.BlobID
}

func (s *room) Get(id keep.BlobID) ([]byte, error) {
	if data, err := s.Blobs.Get(id); err != nil || id != s.damaged {
		return data, err
	}
	return nil, &keep.BadBlobError{Want: id}
}

func (s *room) Drop(id keep.BlobID) error {
	s.damaged = keep.BlobID{}
	return s.Blobs.Drop(id)
}

func (s *room) Put(r io.Reader) (keep.BlobID, error) {
	if s.full {
		return keep.BlobID{}, errors.New("keep a photo or file: the browser gives this page no more room")
	}
	return s.Blobs.Put(r)
}

// A photo is stored, then the entry that names it is written; one that can't be
// stored leaves the page as it is.
func TestPhotoOfForm(t *testing.T) {
	blobs := &room{Blobs: keep.NewMemoryBlobs()}
	a := openWith(t, &tab{Log: keep.NewMemory(), turn: new(sync.Mutex)}, blobs)
	heron(t, a)
	data := jpeg("a motor")
	r := pose(a, data)
	require.Equal(t, 200, r.Status, r.Body)
	require.Empty(t, r.Fault)
	got, err := a.Photo(nameOf(data))
	require.NoError(t, err)
	require.Equal(t, data, got)
	require.Contains(t, get(a, bench+"check/motor-iso").Body, nameOf(data))
	require.Contains(t, get(a, "/phone/this").Body, "; 1 photo on this phone only")
	require.Regexp(t, "<dd>[0-9]+, oldest [0-9]+ [a-z]+; 1 photo</dd>", get(a, bench).Body)
	require.Contains(t, get(a, "/phone/this").Body, "Photos and files that were kept are not in it: 1 photo on this phone only.")
	pose(a, data)
	require.Contains(t, get(a, "/phone/this").Body, "; 1 photo on this phone only", "the same one once more")
	pose(a, jpeg("the motor again"))
	require.Contains(t, get(a, "/phone/this").Body, "; 2 photos on this phone only")
	_, err = blobs.Put(strings.NewReader("of a form that was not sent"))
	require.NoError(t, err)
	require.Contains(t, get(a, "/phone/this").Body, "; 2 photos on this phone only")

	before := get(a, "/phone/this").Body
	r = pose(a, []byte("GIF89a"))
	require.Equal(t, "Nothing was written down: the photo of the field photo is no JPEG: choose it again", r.Fault)
	blobs.full = true
	r = pose(a, jpeg("one too many"))
	require.Equal(t, "Nothing was written down: keep a photo or file: the browser gives this page no more room", r.Fault)
	require.False(t, r.Broken)
	require.Equal(t, before, get(a, "/phone/this").Body, "no entry more")
}

// A photo has a page of its own; what is no photo's name says so.
func TestPhotoPage(t *testing.T) {
	a, _, _ := tabs(t)
	name := nameOf(jpeg("x"))
	r := get(a, "/phone/photo/"+name)
	require.Equal(t, 200, r.Status)
	require.Contains(t, r.Body, `src="/phone/photo/`+name+`"`)
	for _, bad := range []string{"x", strings.ToUpper(name), name + "/..", `"><b>`} {
		r = get(a, "/phone/photo/"+url.PathEscape(bad))
		require.Equal(t, 404, r.Status, bad)
		require.NotContains(t, r.Body, "<b>")
		require.Contains(t, r.Body, "64 hexadecimal digits are wanted")
	}
	_, err := a.Photo("x")
	require.ErrorContains(t, err, `"x"`)
	_, err = a.Photo(name)
	require.EqualError(t, err, "the photo is on another device")
}

// A photo taken while the laptop is away is there once it is back, byte for byte,
// and until the laptop has said so the phone counts it.
func TestPhotoGoesOver(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		time.Sleep(time.Until(demo.End))
		w := newWorld(t)
		w.secret = []byte("0123456789abcdef")
		stop := sync.OnceFunc(w.run())
		defer stop()
		w.link.Invite(w.secret)
		time.Sleep(time.Second)
		w.requireInStep()
		w.away.Store(true)
		w.last.Close()
		data := jpeg(strings.Repeat("a motor", 100_000)) // several parts
		require.Equal(t, 200, pose(w.app, data).Status)
		time.Sleep(time.Second)
		require.Contains(t, get(w.app, "/phone/this").Body, "; 1 photo on this phone only")
		w.blobs.damaged = sha256.Sum256(data)
		_, err := w.app.Photo(nameOf(data))
		require.EqualError(t, err, "the photo is damaged on this device, and not known to be on another")
		w.blobs.damaged = keep.BlobID{}
		w.away.Store(false)
		time.Sleep(time.Minute)
		synctest.Wait()
		_, standing := w.app.News()
		require.True(t, standing, "an open page hears of it")
		w.requireInStep()
		require.NotContains(t, get(w.app, "/phone/this").Body, "on this phone only")
		got, err := w.far.Get(sha256.Sum256(data))
		require.NoError(t, err)
		require.Equal(t, data, got)
		w.blobs.damaged = sha256.Sum256(data)
		_, err = w.app.Photo(nameOf(data))
		require.EqualError(t, err, "the photo is not on this device yet: the laptop is asked for it")
		time.Sleep(time.Second)
		got, err = w.app.Photo(nameOf(data))
		require.NoError(t, err, "it is mended")
		require.Equal(t, data, got)

		stop()
		w.link = w.app.NewLink(w.config()) // the page was loaded again
		require.NotContains(t, get(w.app, "/phone/this").Body, "on this phone only", "what was heard is remembered")
		w.photos = nil // or it is not: then it is told again
		w.link = w.app.NewLink(w.config())
		require.Contains(t, get(w.app, "/phone/this").Body, "; 1 photo on this phone only")
		defer w.run()()
		time.Sleep(time.Second)
		require.NotContains(t, get(w.app, "/phone/this").Body, "on this phone only")
	})
}

// laptopPhoto writes a photo down on the laptop.
func (w *world) laptopPhoto(data []byte) {
	_, err := w.book.Do(demo.Build, model.Wish{Name: "photo", Values: map[string][]string{"photo": {nameOf(data)}, "check": {"motor-iso"}}}, "")
	require.NoError(w.t, err)
}

// What is on the laptop alone comes when a page asks for it, and not before.
func TestPhotoIsFetched(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		time.Sleep(time.Until(demo.End))
		w := newWorld(t)
		data, lost := jpeg(strings.Repeat("a sprocket", 50_000)), jpeg("lost")
		_, err := w.far.Put(strings.NewReader(string(data)))
		require.NoError(t, err)
		w.laptopPhoto(data)
		w.laptopPhoto(lost)
		_, err = w.app.Photo(nameOf(data))
		require.EqualError(t, err, "the photo is not on this device yet: the laptop is asked for it once it is in reach")
		require.Equal(t, []string{nameOf(data)}, w.asked, "the link does not run yet: another tab is asked")
		w.secret = []byte("0123456789abcdef")
		defer w.run()()
		w.link.Invite(w.secret)
		time.Sleep(time.Second)
		w.requireInStep()
		list, err := w.blobs.List()
		require.NoError(t, err)
		require.Empty(t, list)

		w.link.WantPhoto("x") // of another tab that is out of its mind
		w.link.WantPhoto(nameOf(data))
		time.Sleep(time.Second)
		require.Equal(t, []string{nameOf(data)}, w.came)
		got, err := w.app.Photo(nameOf(data))
		require.NoError(t, err)
		require.Equal(t, data, got)
		require.NotContains(t, get(w.app, "/phone/this").Body, "on this phone only", "it came from there")

		_, err = w.app.Photo(nameOf(lost))
		require.EqualError(t, err, "the photo is not on this device yet: the laptop is asked for it")
		time.Sleep(time.Second)
		require.Equal(t, []string{nameOf(data), "not " + nameOf(lost)}, w.came)
		_, err = w.app.Photo(nameOf(lost))
		require.EqualError(t, err, "the photo is not on this device, and not on the laptop")
		w.link.WantPhoto(nameOf(lost)) // another tab has not heard of it
		require.Equal(t, "not "+nameOf(lost), w.came[len(w.came)-1])
		w.came = w.came[:2]
		_, err = w.far.Put(strings.NewReader(string(lost)))
		require.NoError(t, err)
		w.last.Close()
		time.Sleep(time.Minute)
		require.Equal(t, []string{nameOf(data), "not " + nameOf(lost), nameOf(lost)}, w.came, "a new link asks again")
		_, err = w.app.Photo(nameOf(lost))
		require.NoError(t, err)

		other := w.open()
		idle := other.NewLink(w.config())
		idle.TakePhoto(nameOf(jpeg("nowhere")), false)
		_, err = other.Photo(nameOf(jpeg("nowhere")))
		require.EqualError(t, err, "the photo is not on this device, and not on the laptop")
		require.NoError(t, idle.Take(w.link.Bytes()))
		require.NotContains(t, get(other, "/phone/this").Body, "on this phone only", "the other tab knows what the laptop has")
		_, err = other.Photo(nameOf(jpeg("nowhere")))
		require.EqualError(t, err, "the photo is not on this device yet: the laptop is asked for it")
		require.Equal(t, nameOf(jpeg("nowhere")), w.asked[len(w.asked)-1])
	})
}
