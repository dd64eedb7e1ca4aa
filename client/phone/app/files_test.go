package app_test

import (
	"bytes"
	"net/url"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"ampwright/client/pages"
	"ampwright/client/phone/app"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// rideLog is a log that is not UTF-8.
const rideLog = "time,pack v,current,\xb0C\n0,80,0,20\n1,78,20,21\n"

// log sends a battery's log, to be kept.
func log(a *app.App, name, data string) app.Answer {
	return a.Serve(app.Ask{Method: "POST", At: bench + "log", Form: "keep=yes", Files: []pages.File{{Field: "file", Name: name, Data: []byte(data)}}})
}

// rawOf is where a file that was kept is had back.
func rawOf(data string) string { return bench + "export/raw-" + nameOf([]byte(data)) + ".bin" }

// A log is kept in pieces, then the entry that names them is written, once; it is
// had back byte for byte where its pieces are. One that can't be kept is named by no
// entry, and nothing of it stays.
func TestLogKept(t *testing.T) {
	blobs := &room{Blobs: keep.NewMemoryBlobs()}
	a := openWith(t, &tab{Log: keep.NewMemory(), turn: new(sync.Mutex)}, blobs)
	heron(t, a)
	require.Contains(t, get(a, bench+"log").Body, `name="keep"`)
	before := get(a, "/phone/this").Body

	blobs.full = true
	r := log(a, "ride.csv", rideLog)
	require.Equal(t, 200, r.Status)
	require.Contains(t, r.Body, "the file was not kept: keep a photo or file: the browser gives this page no more room")
	require.Contains(t, r.Body, "The file is not kept.")
	require.Equal(t, before, get(a, "/phone/this").Body, "no entry more")
	list, err := blobs.List()
	require.NoError(t, err)
	require.Empty(t, list)

	blobs.full = false
	for range 2 {
		r = log(a, "ride.csv", rideLog)
		require.Equal(t, 200, r.Status)
		entries, standing := a.News()
		require.False(t, entries || standing, "what it wrote itself is no news")
		require.True(t, r.Posted, "and it is not asked for again")
		require.Contains(t, r.Body, `The file is kept, byte for byte: <a href="`+rawOf(rideLog)+`">`)
	}
	list, err = blobs.List()
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, 1, strings.Count(get(a, bench+"bring").Body, rawOf(rideLog)))
	r = get(a, rawOf(rideLog))
	require.False(t, r.Posted)
	require.Equal(t, "ride.csv", r.Name)
	require.Equal(t, rideLog, r.Body)
	require.Contains(t, get(a, "/phone/this").Body, "; 1 file on this phone only</dd>")
	require.Contains(t, get(a, "/phone/this").Body, "Photos and files that were kept are not in it: 1 file on this phone only. A kept file goes to the laptop over the link alone; its build gives it back")
	require.NotContains(t, get(a, "/phone/this").Body, "save the photos")
	require.Regexp(t, "<dd>[0-9]+, oldest [0-9]+ [a-z]+; 1 file</dd>", get(a, bench).Body)
	pose(a, jpeg("a motor"))
	require.Contains(t, get(a, "/phone/this").Body, "; 1 photo and 1 file on this phone only</dd>")
	require.Equal(t, 1, strings.Count(get(a, "/phone/this").Body, `.jpg"`), "no piece is offered as a photo")

	require.NoError(t, blobs.Drop(list[0].ID))
	r = get(a, rawOf(rideLog))
	require.Equal(t, 404, r.Status)
	require.Contains(t, r.Body, "the file is on another device; on the laptop, try ampwright export --raw")
	require.NotContains(t, get(a, "/phone/this").Body, "1 file on this phone only")
}

// A log that is kept while the laptop is away is there once it is back, in its
// pieces, and until the laptop has said so the phone counts it.
func TestLogGoesOver(t *testing.T) {
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
		require.Equal(t, 200, log(w.app, "ride.csv", rideLog).Status)
		require.Equal(t, 200, pose(w.app, jpeg("a motor")).Status)
		time.Sleep(time.Second)
		require.Contains(t, get(w.app, "/phone/this").Body, "; 1 photo and 1 file on this phone only")
		w.away.Store(false)
		time.Sleep(time.Minute)
		synctest.Wait()
		_, standing := w.app.News()
		require.True(t, standing, "an open page hears of it")
		w.requireInStep()
		require.NotContains(t, get(w.app, "/phone/this").Body, "on this phone only")
		b, err := w.book.Build(demo.Build)
		require.NoError(t, err)
		require.Len(t, b.Brought, 1)
		var out strings.Builder
		require.NoError(t, keep.GetRaw(w.far, b.Brought[0].Pieces, b.Brought[0].Hash, &out))
		require.Equal(t, rideLog, out.String())

		stop()
		w.photos = nil // what the laptop holds was forgotten: the phone offers it, and is told again
		w.link = w.app.NewLink(w.config())
		require.Contains(t, get(w.app, "/phone/this").Body, "; 1 photo and 1 file on this phone only")
		defer w.run()()
		time.Sleep(time.Second)
		require.NotContains(t, get(w.app, "/phone/this").Body, "on this phone only")
		w.requireInStep()
	})
}

// A file that the laptop has kept comes when a page asks for it, and not before.
func TestKeptFileIsFetched(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		time.Sleep(time.Until(demo.End))
		w := newWorld(t)
		laptop, err := pages.New(pages.Config{
			Book: w.book, Plans: plan.Editions(), Once: uuid.NewString, Asset: func(name string) string { return name },
			Keep: func(data []byte) ([]string, error) {
				pieces, _, err := keep.PutRaw(w.far, bytes.NewReader(data))
				return pieces, err
			},
		})
		require.NoError(t, err)
		require.Equal(t, 200, laptop.Serve(pages.Request{
			Method: "POST", Path: "/b/" + demo.Build.String() + "/log", Form: url.Values{"keep": {"yes"}}, Files: []pages.File{{Field: "file", Name: "ride.csv", Data: []byte(rideLog)}},
		}).Status)
		w.secret = []byte("0123456789abcdef")
		defer w.run()()
		w.link.Invite(w.secret)
		time.Sleep(time.Second)
		w.requireInStep()
		list, err := w.blobs.List()
		require.NoError(t, err)
		require.Empty(t, list)

		w.away.Store(true)
		w.last.Close()
		time.Sleep(time.Second)
		r := get(w.app, rawOf(rideLog))
		require.Equal(t, 404, r.Status)
		require.Contains(t, r.Body, "ride.csv cannot be handed out here: the file is not on this device yet: the laptop is asked for it once it is in reach (0 of 1 pieces are here)")
		w.away.Store(false)
		time.Sleep(time.Minute)
		r = get(w.app, rawOf(rideLog))
		require.Equal(t, "ride.csv", r.Name)
		require.Equal(t, rideLog, r.Body)
		require.NotContains(t, get(w.app, "/phone/this").Body, "on this phone only", "it came from there")

		require.NoError(t, w.blobs.Drop(list0(t, w.blobs)))
		require.NoError(t, w.far.Drop(list0(t, w.far)))
		require.Contains(t, get(w.app, rawOf(rideLog)).Body, "the laptop is asked for it (0 of 1 pieces are here)")
		time.Sleep(time.Second)
		require.Contains(t, get(w.app, rawOf(rideLog)).Body, "the file is not on this device, and not on the laptop (0 of 1 pieces are here)")
	})
}

func list0(t *testing.T, blobs keep.Blobs) keep.BlobID {
	list, err := blobs.List()
	require.NoError(t, err)
	require.Len(t, list, 1)
	return list[0].ID
}

// Files of a form come byte for byte and under their names: sheets are not always
// UTF-8. What is kept as a file has a name.
func TestFiles(t *testing.T) {
	a, _, _ := tabs(t)
	heron(t, a)
	send := func(page, name, data string) app.Answer {
		return a.Serve(app.Ask{Method: "POST", At: bench + page, Files: []pages.File{{Field: "file", Name: name, Data: []byte(data)}}})
	}
	r := send("bring", "std.csv", "date;hours;what\n2026-09-01;2;L\xf6tstelle\n") // Windows-1252
	require.Equal(t, 200, r.Status)
	require.Contains(t, r.Body, "<h2>std.csv</h2>")
	require.Contains(t, r.Body, "2.00 h on no task")
	r = send("bring", "all.xlsx", "PK\x03\x04rest")
	require.Equal(t, 422, r.Status)
	require.Contains(t, r.Body, "all.xlsx: want a workbook that can be read, .xlsx")
	r = get(a, bench+"export/all.xlsx")
	require.Equal(t, "heron-all.xlsx", r.Name)
	r = send("bring", r.Name, r.Body)
	require.Equal(t, 200, r.Status)
	require.Contains(t, r.Body, "<h2>heron-all.xlsx, orders</h2>")
	require.Contains(t, r.Body, "nothing is new")
	r = get(a, bench+"export/forecast.json")
	require.Equal(t, "heron-forecast.json", r.Name)
	require.Contains(t, r.Body, `"schema": "ampwright/forecast/1"`)
	r = send("log", "ride.csv", rideLog)
	require.Equal(t, 200, r.Status)
	require.Contains(t, r.Body, "The file is not kept: you said so.")
	require.Equal(t, "heron-hours.csv", get(a, bench+"export/hours.csv").Name)
}
