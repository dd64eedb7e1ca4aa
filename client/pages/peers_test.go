package pages_test

import (
	"net/url"
	"strings"
	"testing"
	"time"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/demo"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// heardSite is the garage's site on a device that has heard others.
func (g *garage) heardSite(t *testing.T, peers *map[uuid.UUID]model.Peer) {
	t.Helper()
	site, err := pages.New(pages.Config{
		Book: g.book, Once: uuid.NewString, Peers: func() map[uuid.UUID]model.Peer { return *peers },
	})
	require.NoError(t, err)
	g.site = site
}

func (g *garage) device(t *testing.T, name string) model.Device {
	t.Helper()
	for _, d := range g.build().Devices {
		if d.Name == name {
			return d
		}
	}
	t.Fatalf("no device %s", name)
	return model.Device{}
}

// Of each entry a page says where it is kept; of the book, what is here only;
// and of each device what it lacks.
func TestWhereEntriesAre(t *testing.T) {
	g := heron(t)
	var peers map[uuid.UUID]model.Peer
	g.heardSite(t, &peers)
	require.NotContains(t, texts(t, g.page(g.at+"/logbook"), ".log .said small"), "kept on")
	require.Contains(t, texts(t, g.page(g.at+"/logbook"), ".log .said small"), "on this device only")
	require.Contains(t, texts(t, g.page(g.at+"/settings"), "#devices small"), "no contact on record")

	phone, tower := g.device(t, "pocket phone").Replica, uuid.UUID{15: 9}
	var have model.Vector
	g.book.Read(func(l *model.Logbook) { have = l.Vector() })
	heard := demo.End.Add(-10 * time.Minute) // after the two last met on record
	peers = map[uuid.UUID]model.Peer{phone: {Vector: have, Heard: heard}}
	g.post(g.at+"/write/note", url.Values{"text": {"said since"}})

	doc := g.page(g.at + "/logbook")
	rows := find(doc, ".log li")
	require.Contains(t, texts(t, rows[0], ".said small"), "on this device only")
	require.Contains(t, texts(t, rows[1], ".said small"), "on pocket phone")
	require.Contains(t, texts(t, doc, ".top-line"), "1 entry is on this device only, written 0 min ago")
	require.Contains(t, texts(t, doc, ".title-block"), "on this device only 1, oldest 0 min")
	require.Contains(t, texts(t, doc, ".title-block"), "pocket phone 20 Nov 19:20")
	doc = g.page(g.at + "/settings")
	require.Contains(t, texts(t, doc, "#devices .note"), "1 entry is on this device only")
	require.Contains(t, texts(t, doc, "#devices small"), "1 entry here is not known to be there")

	peers[tower] = model.Peer{Vector: have, Heard: heard.Add(time.Minute)}
	href, _ := attr(find(g.page(g.at+"/logbook"), ".log li")[1].FirstChild.LastChild, "href")
	facts := texts(t, g.page(href), ".facts")
	require.Contains(t, facts, "kept on 3 devices")
	require.Regexp(t, `00000000 said so 20 Nov 19:21; pocket phone said so 20 Nov 19:20`, facts, "the one heard last comes first")

	// A device that was struck off is no place to rely on.
	g.post(g.at+"/write/strike-off", url.Values{"device": {phone.String()}, "reason": {"lost"}})
	require.Contains(t, texts(t, g.page(href), ".facts"), "on 00000000")
}

// Of what devices wrote apart all values stand with who wrote them where, and
// one tap settles it.
func TestClashSaysWho(t *testing.T) {
	g := heron(t)
	b := g.build()
	for n, w := range []struct{ device, person, value string }{{"old <tablet>", "Kim", "1/2/3"}, {"yard phone", "Robin", "2/3/5"}} {
		pen := model.Pen{Replica: [16]byte{0: 0xaa, 15: byte(n)}}
		raws, err := pen.Write([]model.Draft{
			{Body: &model.Replica{Device: w.device, Person: w.person}},
			{Build: b.ID, Body: &model.Set{At: model.WhenOf(b.Now), What: "task", Key: "brk-01", Field: "estimate", Value: w.value}},
		}, model.StampAt(b.Now))
		require.NoError(t, err)
		_, err = g.book.Add(raws)
		require.NoError(t, err)
	}
	writes := find(g.page(g.at+"/findings"), ".clash li")
	require.Len(t, writes, 2)
	said := texts(t, g.page(g.at+"/findings"), ".clash li")
	require.Contains(t, said, "Kim, old <tablet>, ")
	require.Contains(t, said, "Robin, yard phone, ")
	form := find(writes[0], "form")[0]
	require.Equal(t, "this one holds", texts(t, form, "button"))
	action, _ := attr(form, "action")
	require.Equal(t, 303, g.post(action, filled(form)).Status)
	require.Empty(t, find(g.page(g.at+"/findings"), ".clash"))
}

// A device that goes on under a new name says so instead of what it lacks, and is
// told apart from what it is called now, wherever it is named.
func TestNewNameIsTold(t *testing.T) {
	g := heron(t)
	old := g.device(t, "pocket phone").Replica
	pen := model.Pen{Replica: [16]byte{0: 0xaa}}
	raws, err := pen.Write([]model.Draft{
		{Body: &model.Replica{Device: "pocket phone", Person: "builder", Was: old}},
		{Build: demo.Build, Body: &model.Note{At: model.WhenOf(demo.End), Text: "after the restore"}},
	}, model.StampAt(demo.End.Add(time.Minute)))
	require.NoError(t, err)
	_, err = g.book.Add(raws)
	require.NoError(t, err)
	peers := map[uuid.UUID]model.Peer{old: {Heard: demo.End}, pen.Replica: {Heard: demo.End}}
	g.heardSite(t, &peers)
	lists := map[string]string{}
	for _, d := range find(g.page(g.at+"/settings"), "#devices li") {
		lists[texts(t, d, "span")] = texts(t, d, "small")
	}
	was, is := "", ""
	for name, said := range lists {
		switch {
		case strings.HasPrefix(name, "pocket phone ("+old.String()[:8]+")"):
			was = said
		case strings.HasPrefix(name, "pocket phone (aa000000)"):
			is = said
		}
	}
	require.Contains(t, was, "goes on as pocket phone (aa000000)")
	require.NotContains(t, was, "not known to be there")
	require.Contains(t, is, "continues pocket phone (4845524f) under a new name")
	require.Contains(t, is, "not known to be there")
	require.Contains(t, texts(t, find(g.page(g.at+"/logbook"), ".log li")[0], "small"), "pocket phone (aa000000)")
}

// Entries that only a newer version understands are counted, of the build and of
// the garage.
func TestNewerEntriesAreCounted(t *testing.T) {
	g := heron(t)
	for n, build := range []uuid.UUID{demo.Build, {}} {
		raw, err := (&model.Entry{
			Replica: [16]byte{0: 0xab, 15: byte(n)}, Seq: 1, Build: build, Stamp: model.StampAt(demo.End), Body: &model.Unknown{Name: "recall", CBOR: "\xa0"},
		}).Encode()
		require.NoError(t, err)
		_, err = g.book.Add([][]byte{raw})
		require.NoError(t, err)
	}
	require.Contains(t, texts(t, g.page(g.at+"/settings"), "#devices .note"), "2 entries need a newer version of the program")
	require.Contains(t, texts(t, g.page(g.at+"/logbook"), ".warn"), "2 entries are from a newer version of the program and left out here")
}
