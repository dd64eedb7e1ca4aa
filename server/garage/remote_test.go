package garage

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/server/bolt"
	"ampwright/server/web"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// serve serves g as the program does, and returns the folder's other end.
func serve(t *testing.T, dir string, g *Garage, wrap func(http.Handler) http.Handler) {
	t.Helper()
	site, err := pages.New(pages.Config{Book: g.Book, Plans: plan.Editions(), Once: uuid.NewString})
	require.NoError(t, err)
	s := httptest.NewUnstartedServer(nil)
	address := s.Listener.Addr().String()
	h := web.New(web.Config{Site: site, Book: g.Book, Hosts: []string{address}, Token: "let me in"})
	s.Config.Handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Date", noon.Format(http.TimeFormat))
		wrap(h).ServeHTTP(w, r)
	})
	s.Start()
	t.Cleanup(s.Close)
	require.NoError(t, g.Serving(address, "let me in"))
}

func plain(h http.Handler) http.Handler { return h }

// A wish that goes through the server has the same outcome as one that is done
// in this process.
func TestLocalAndRemoteAgree(t *testing.T) {
	dir := t.TempDir()
	g := open(t, dir)
	serve(t, dir, g, plain)
	h, err := Enter(dir, config())
	require.NoError(t, err)
	require.IsType(t, &Remote{}, h)
	require.True(t, noon.Equal(h.Now()))
	require.Equal(t, raws(t, g), raws(t, h))

	heron, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	n, err := h.Import(heron)
	require.NoError(t, err)
	require.Equal(t, len(heron), n)
	start(t, h, "Kart")
	require.Equal(t, raws(t, g), raws(t, h), "what was written is seen at once")

	local := open(t, t.TempDir()) // a second garage to do the same in
	_, err = local.Import(raws(t, g))
	require.NoError(t, err)
	for _, tt := range []struct {
		wish          string
		values        map[string][]string
		raised, stale int // by hand, from the demo's end
		refused       bool
	}{
		{"read", map[string][]string{"check": {"motor-iso"}, "value": {"12k"}, "sure": {"yes"}}, 1, 0, false},
		{"change", map[string][]string{"changes": {"motor-leads"}}, 0, 1, false},
		{"note", map[string][]string{"text": {"said by another"}, "by": {"Jo"}}, 0, 0, false},
		{"hours", map[string][]string{"task": {"nowhere"}, "hours": {"all day"}, "at": {"noon"}}, 0, 0, true},
		{"settings", map[string][]string{"mark": {"comma"}}, 0, 0, false},
	} {
		at := demo.Build
		if tt.wish == "settings" {
			at = uuid.Nil
		}
		w := model.Wish{Name: tt.wish, Values: tt.values}
		want, wantErr := local.Do(at, w, "")
		got, err := h.Do(at, w, "")
		if tt.refused {
			var a, b *model.WishError
			require.ErrorAs(t, wantErr, &a)
			require.ErrorAs(t, err, &b)
			require.Len(t, b.Fields, 3)
			require.Equal(t, a.Fields, b.Fields)
			continue
		}
		require.NoError(t, wantErr)
		require.NoError(t, err)
		require.Equal(t, want.Build, got.Build)
		require.Len(t, got.Entries, len(want.Entries))
		require.Len(t, got.Raised, tt.raised, w)
		require.Equal(t, keysOf(want.Raised), keysOf(got.Raised))
		require.Len(t, got.Stale, tt.stale, w)
		require.Len(t, want.Stale, tt.stale)
	}

	// What is imported through the server is there for both.
	n, err = h.Import(raws(t, local))
	require.NoError(t, err)
	require.Equal(t, 5, n, "the other garage's first entry, and four of its wishes")
	require.Equal(t, raws(t, g), raws(t, h))
	n, err = h.Import(raws(t, local))
	require.NoError(t, err)
	require.Zero(t, n)
	all := raws(t, local)
	_, err = h.Import(append(all[:1:1], all[len(all)-1][:40]))
	require.Error(t, err)
	require.NoError(t, h.Close())
	require.Equal(t, raws(t, g), raws(t, h))
}

// keysOf leaves out the names of entries, which differ.
func keysOf(list []*model.Finding) []string {
	var keys []string
	for _, f := range list {
		key, _, _ := strings.Cut(f.Key, ":")
		keys = append(keys, key+" "+f.Text)
	}
	return keys
}

// Who holds the logbook may be another program than the note says, or none.
func TestServersThatAreNoUse(t *testing.T) {
	stop := make(chan struct{})
	t.Cleanup(func() { close(stop) }) // before the servers close
	for name, tt := range map[string]struct {
		h    http.HandlerFunc
		want string
	}{
		"says nothing": {func(_ http.ResponseWriter, r *http.Request) {
			select {
			case <-stop:
			case <-r.Context().Done():
			}
		}, "it does not answer: "},
		"sends us elsewhere": {func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, "http://192.0.2.7/", http.StatusFound)
		}, "it sends us elsewhere"},
		"talks of another thing": {func(w http.ResponseWriter, _ *http.Request) { w.Write([]byte("<p>hello")) }, "line 1: want one entry or seal as a JSON object"},
		"does not know us":       {func(w http.ResponseWriter, _ *http.Request) { http.Error(w, "who?", http.StatusUnauthorized) }, "401"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			g := open(t, dir)
			serve(t, dir, g, func(http.Handler) http.Handler { return tt.h })
			began := time.Now()
			_, err := Enter(dir, config())
			var busy *BusyError
			require.ErrorAs(t, err, &busy)
			require.ErrorContains(t, err, tt.want)
			require.NotContains(t, err.Error(), "let me in")
			require.Less(t, time.Since(began), 3*time.Second)
		})
	}

	// A wrong token: the note is of another time.
	dir := t.TempDir()
	g := open(t, dir)
	serve(t, dir, g, plain)
	held, err := bolt.ReadHolder(dir)
	require.NoError(t, err)
	require.NoError(t, g.Serving(held.Address, "an old one"))
	_, err = Enter(dir, config())
	require.ErrorContains(t, err, "401 Unauthorized: the token of this server is wanted")
}
