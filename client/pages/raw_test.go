package pages_test

import (
	"errors"
	"io"
	"strings"
	"testing"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/bring"

	"github.com/stretchr/testify/require"
)

// A file that was kept can be had back where it is, and only there.
func TestRaw(t *testing.T) {
	g := heron(t)
	hash := bring.Hash([]byte("time,v\n"))
	w := model.Wish{Name: model.BringWish, Values: map[string][]string{"file": {"ride.csv"}, "hash": {hash}, "what": {"battery log"}, "pieces": {strings.Repeat("ab", 32)}}}
	_, err := g.book.Do(g.build().ID, w, "")
	require.NoError(t, err)
	_, err = g.book.Do(g.build().ID, w, "")
	require.ErrorContains(t, err, "the file is kept already")
	link := g.at + "/export/raw-" + hash + ".bin"
	require.NotContains(t, string(g.get(g.at+"/bring").Body), link)
	require.Equal(t, 404, g.get(link).Status)

	there := true
	site, err := pages.New(pages.Config{Book: g.book, Once: func() string { return "x" }, Raw: func(s model.Bring, w io.Writer) error {
		if !there {
			return errors.New("it is on another device")
		}
		_, err := io.WriteString(w, "time,v\n")
		return err
	}})
	require.NoError(t, err)
	get := func(path string) pages.Response { return site.Serve(pages.Request{Method: "GET", Path: path}) }
	require.Contains(t, string(get(g.at+"/bring").Body), link)
	resp := get(link)
	require.Equal(t, "time,v\n", string(resp.Body))
	require.Equal(t, "ride.csv", resp.Name)
	require.Equal(t, 404, get(g.at+"/export/raw-00.bin").Status)
	there = false
	resp = get(link)
	require.Equal(t, 404, resp.Status)
	require.Contains(t, string(resp.Body), "it is on another device")
}

// A list of things to do is shown as the tasks and hours it becomes.
func TestTodoList(t *testing.T) {
	g := heron(t)
	before := len(g.build().Tasks)
	resp := g.upload("list.txt", "- [x] Turn a spacer, 12 mm\n- [ ] <b>Paint</b> it\n")
	require.Contains(t, string(resp.Body), "which task or stage is “lines without an area”")
	form := fields(parse(t, resp.Body), "sheet")
	form.Set("area-0", "brk")
	form.Set("do", "look")
	resp = g.post(g.at+"/bring", form)
	require.Contains(t, string(resp.Body), "a new task of brk, turn-a-spacer-")
	form = fields(parse(t, resp.Body), "sheet")
	form.Set("do", "write")
	resp = g.post(g.at+"/bring", form)
	require.Equal(t, 303, resp.Status, "%s", resp.Body)
	require.Len(t, g.build().Tasks, before+2)
	require.NotContains(t, string(g.get(g.at+"/tasks").Body), "<b>Paint")
}
