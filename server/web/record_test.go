package web_test

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"testing"

	"ampwright/client/record"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/server/paper"

	"github.com/stretchr/testify/require"
)

// The PDF of every audience is served, with its record inside.
func TestRecordPDF(t *testing.T) {
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	s := newServer(t, raws)
	get := func(path string) *httptest.ResponseRecorder {
		r := httptest.NewRequest(http.MethodGet, "http://"+host+path, nil)
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		return w
	}
	for _, a := range record.Audiences() {
		w := get(bench + "record.pdf?money=1&for=" + string(a))
		require.Equal(t, http.StatusOK, w.Code)
		require.Equal(t, "application/pdf", w.Header().Get("Content-Type"))
		require.True(t, bytes.HasPrefix(w.Body.Bytes(), []byte("%PDF-")))
		r, err := paper.Read(w.Body.Bytes())
		require.NoError(t, err)
		require.Equal(t, a, r.For)
		require.True(t, r.Money)
	}
	for path, want := range map[string]string{
		bench + "record.pdf?for=police": `audience "police": want one of`, "/b/x/record.pdf": `build "x": want a UUID`,
		"/b/00000000-0000-4000-8000-000000000000/record.pdf": "there is no build 00000000-0000-4000-8000-000000000000",
	} {
		w := get(path)
		require.Equal(t, http.StatusNotFound, w.Code, path)
		require.Contains(t, w.Body.String(), want)
	}
}

// The PDF that was written is taken back by the page that verifies, and so is
// its JSON; what holds no record is named.
func TestRecordFile(t *testing.T) {
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	s := newServer(t, raws)
	post := func(name string, file []byte) *httptest.ResponseRecorder {
		var body bytes.Buffer
		form := multipart.NewWriter(&body)
		if name != "" {
			part, err := form.CreateFormFile("file", name)
			require.NoError(t, err)
			_, err = part.Write(file)
			require.NoError(t, err)
		}
		require.NoError(t, form.Close())
		r := httptest.NewRequest(http.MethodPost, "http://"+host+bench+"record/verify", &body)
		r.Header.Set("Content-Type", form.FormDataContentType())
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		return w
	}
	r := httptest.NewRequest(http.MethodGet, "http://"+host+bench+"record.pdf?for=owner", nil)
	pdf := httptest.NewRecorder()
	s.ServeHTTP(pdf, r)
	w := post("heron.pdf", pdf.Body.Bytes())
	require.Equal(t, http.StatusOK, w.Code)
	require.Contains(t, w.Body.String(), ">AGREES<")

	rec, err := paper.Read(pdf.Body.Bytes())
	require.NoError(t, err)
	rec.Sections[1].Facts[0].Value = "another machine"
	var text bytes.Buffer
	require.NoError(t, rec.Write(&text))
	w = post("heron.json", text.Bytes())
	require.Equal(t, http.StatusOK, w.Code)
	require.Contains(t, w.Body.String(), ">DOES NOT AGREE<")

	w = post("cat.pdf", []byte("%PDF-1.4 and nothing else"))
	require.Equal(t, http.StatusUnprocessableEntity, w.Code)
	require.Contains(t, w.Body.String(), "cat.pdf")
	require.Contains(t, w.Body.String(), "there is no build record in it")
	w = post("", nil)
	require.Equal(t, http.StatusUnprocessableEntity, w.Code)
	require.Contains(t, w.Body.String(), "no file was given")
	require.Equal(t, http.StatusRequestEntityTooLarge, post("big.pdf", make([]byte, 17<<20)).Code)
}
