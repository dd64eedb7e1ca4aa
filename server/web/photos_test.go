package web_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/server/web"
	"ampwright/sync/keep"

	"github.com/stretchr/testify/require"
)

// shot is a JPEG as a camera writes it, with something to strip.
func shot(t *testing.T, w, h int) []byte {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = byte(i / 7)
	}
	m.Set(0, 0, color.White)
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, m, nil))
	file := out.Bytes()
	return append(append([]byte{0xff, 0xd8, 0xff, 0xfe, 0, 18}, "somewhere north."...), file[2:]...)
}

// parts is a form in parts, the photo under its field, as a browser sends it.
func parts(t *testing.T, name string, photo []byte, pairs ...string) (body, kind string) {
	var out bytes.Buffer
	form := multipart.NewWriter(&out)
	for i := 0; i < len(pairs); i += 2 {
		require.NoError(t, form.WriteField(pairs[i], pairs[i+1]))
	}
	f, err := form.CreateFormFile("photo", name)
	require.NoError(t, err)
	_, err = f.Write(photo)
	require.NoError(t, err)
	require.NoError(t, form.Close())
	return out.String(), form.FormDataContentType()
}

// withPhotos is a server with a store of photos.
func withPhotos(t *testing.T) (*server, *keep.MemoryBlobs) {
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	s := newServer(t, raws)
	blobs := keep.NewMemoryBlobs()
	n := 0
	site, err := pages.New(pages.Config{
		Book: s.book, Once: func() string { n++; return fmt.Sprint("p", n) },
		HasPhoto: func(hash [32]byte) bool { has, _ := blobs.Has(hash); return has },
	})
	require.NoError(t, err)
	s.Handler = web.New(web.Config{Site: site, Book: s.book, Hosts: []string{host}, Blobs: blobs})
	return s, blobs
}

func (s *server) send(path, body, kind string) *httptest.ResponseRecorder {
	r := httptest.NewRequest("POST", path, strings.NewReader(body))
	r.Host = host
	r.Header.Set("Content-Type", kind)
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w
}

func (s *server) photos() (list [][32]byte) {
	s.book.Read(func(l *model.Logbook) { list = l.Photos() })
	return list
}

// A photo that comes with a form is kept small and bare, named by its entry, and
// shown: no script is needed.
func TestPhoto(t *testing.T) {
	s, blobs := withPhotos(t)
	had := len(s.photos())
	body1, kind := parts(t, "IMG_1.jpg", shot(t, 2000, 1000), "task", "brk-02", "note", "left lug", "once", "1")
	require.Equal(t, 303, s.send(bench+"write/photo", body1, kind).Code)
	body2, kind := parts(t, "IMG_2.jpg", shot(t, 30, 20), "check", "motor-iso", "value", "55M")
	require.Equal(t, 303, s.send(bench+"write/read", body2, kind).Code)
	body3, kind := parts(t, "IMG_3.jpg", shot(t, 40, 20), "what", "fuse", "amount", "12")
	require.Equal(t, 303, s.send(bench+"write/buy", body3, kind).Code)
	body4, kind := parts(t, "IMG_4.jpg", shot(t, 50, 20), "check", "frame-number-photo")
	require.Equal(t, 303, s.send(bench+"write/read", body4, kind).Code)

	named := s.photos()
	require.Len(t, named, had+4)
	named = named[had:]
	for i, id := range named {
		path := "/photo/" + keep.BlobID(id).String()
		r := s.do(call{"GET", path, "", "", nil})
		require.Equal(t, 200, r.StatusCode)
		require.Equal(t, "image/jpeg", r.Header.Get("Content-Type"))
		require.Equal(t, "nosniff", r.Header.Get("X-Content-Type-Options"))
		require.Contains(t, r.Header.Get("Cache-Control"), "immutable")
		require.Contains(t, r.Header.Get("Content-Security-Policy"), "default-src 'none'")
		data := body(t, r)
		require.NotContains(t, data, "somewhere")
		head, err := jpeg.DecodeConfig(strings.NewReader(data))
		require.NoError(t, err)
		if i == 0 {
			require.Equal(t, []int{1600, 800}, []int{head.Width, head.Height})
		}
		page := bench + []string{"task/brk-02", "check/motor-iso", "money", "check/frame-number-photo"}[i]
		require.Contains(t, body(t, s.do(call{"GET", page, "", "", nil})), `<img src="`+path+`"`, page)
	}

	// Once its bytes are gone, pages say where it is, and so does its address.
	first := keep.BlobID(named[0])
	require.NoError(t, blobs.Drop(first))
	card := body(t, s.do(call{"GET", bench + "task/brk-02", "", "", nil}))
	require.NotContains(t, card, "<img")
	require.Contains(t, card, "photo "+first.String()[:8]+": not on this device yet, it comes over behind the entries")
	r := s.do(call{"GET", "/photo/" + first.String(), "", "", nil})
	require.Equal(t, 404, r.StatusCode)
	require.Contains(t, body(t, r), "is not on this device yet")
	for _, name := range []string{"x", strings.Repeat("0", 64), strings.ToUpper(first.String())} {
		r = s.do(call{"GET", "/photo/" + name, "", "", nil})
		require.Equal(t, 404, r.StatusCode)
		require.Contains(t, body(t, r), "there is no photo "+name)
	}
}

// What is no photo is refused beside its field, what was typed stays, and nothing
// is written down; a good photo beside a wrong value is kept for the second try.
func TestPhotoRefused(t *testing.T) {
	s, blobs := withPhotos(t)
	before, had := s.entries(), s.photos()
	for _, tt := range []struct{ file, want string }{
		{"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", "this is a HEIC picture, which not every device can show: set the camera to JPEG"},
		{"plainly no picture", "this is no JPEG, PNG or WebP picture"},
		{"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "this is no JPEG, PNG or WebP picture"},
		{strings.Repeat("x", 15_000_001), "a file of 15.1 MB: at most 15 MB are accepted"},
	} {
		form, kind := parts(t, "a.jpg", []byte(tt.file), "check", "motor-iso", "value", "55M", "note", "by <the> door")
		r := s.send(bench+"write/read", form, kind)
		require.Equal(t, 422, r.Code)
		require.Contains(t, r.Body.String(), tt.want)
		require.Contains(t, r.Body.String(), `value="55M"`)
		require.Contains(t, r.Body.String(), "by &lt;the&gt; door")
	}
	form, kind := parts(t, "a.jpg", []byte("no picture"), "value", "photo")
	r := s.send(bench+"walk/commissioning/dead-at-controller", form, kind)
	require.Equal(t, 422, r.Code)
	require.Contains(t, r.Body.String(), "this is no JPEG, PNG or WebP picture")
	form, kind = parts(t, "a.jpg", make([]byte, 25<<20), "value", "photo")
	require.Equal(t, 413, s.send(bench+"write/read", form, kind).Code)
	form, kind = parts(t, "a.jpg", shot(t, 8, 8), "text", "a note")
	require.Equal(t, 415, s.send(bench+"write/note", form, kind).Code, "a note asks for none")
	require.Equal(t, before, s.entries())

	form, kind = parts(t, "a.jpg", shot(t, 20, 20), "check", "motor-iso", "value", "55 Nm")
	r = s.send(bench+"write/read", form, kind)
	require.Equal(t, 422, r.Code)
	hidden := regexp.MustCompile(`type="hidden" name="photo" value="([0-9a-f]{64})"`).FindStringSubmatch(r.Body.String())
	require.NotNil(t, hidden)
	id, err := keep.ParseBlobID(hidden[1])
	require.NoError(t, err)
	has, err := blobs.Has(id)
	require.NoError(t, err)
	require.True(t, has)
	form, kind = parts(t, "", nil, "check", "motor-iso", "value", "55M", "photo", hidden[1]) // no file was chosen this time
	require.Equal(t, 303, s.send(bench+"write/read", form, kind).Code)
	require.Equal(t, append(slices.Clone(had), id), s.photos())
}

// Bytes that another device sent as a photo and that are none are not shown.
func TestPhotoIsNone(t *testing.T) {
	s, blobs := withPhotos(t)
	id, err := blobs.Put(strings.NewReader("<script>alert(1)</script>"))
	require.NoError(t, err)
	r := s.do(call{"GET", "/photo/" + id.String(), "", "", nil})
	require.Equal(t, 415, r.StatusCode)
	require.NotContains(t, body(t, r), "script")
}

// Photos stand behind the same key and the same gate as the pages.
func TestPhotoIsGated(t *testing.T) {
	s, blobs := withPhotos(t)
	id, err := blobs.Put(bytes.NewReader(shot(t, 8, 8)))
	require.NoError(t, err)
	site, err := pages.New(pages.Config{Book: s.book, Base: "/key", Once: func() string { return "x" }})
	require.NoError(t, err)
	s.Handler = web.New(web.Config{Site: site, Book: s.book, Hosts: []string{host}, Blobs: blobs, Key: "key"})
	path := "/photo/" + id.String()
	require.Equal(t, 401, s.do(call{"GET", path, "", "", nil}).StatusCode)
	require.Equal(t, 200, s.do(call{"GET", "/key" + path, "", "", nil}).StatusCode)
	s.Handler = web.New(web.Config{Site: site, Book: s.book, Hosts: []string{host}, Blobs: blobs, Gate: func(http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { w.WriteHeader(http.StatusForbidden) })
	}})
	require.Equal(t, 403, s.do(call{"GET", path, "", "", nil}).StatusCode)
}
