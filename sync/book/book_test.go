package book_test

import (
	"errors"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

var laptop = uuid.UUID{15: 1}

func config() book.Config {
	return book.Config{
		Replica: laptop, Device: "laptop", Person: "builder", Plans: plan.Builtin,
		Now:   func() time.Time { return demo.End },
		NewID: func() uuid.UUID { return uuid.UUID{0: 9} },
	}
}

func open(t *testing.T, log keep.Log) *book.Book {
	t.Helper()
	b, err := book.Open(log, config())
	require.NoError(t, err)
	return b
}

func wish(name string, pairs ...string) model.Wish {
	w := model.Wish{Name: name, Values: map[string][]string{}}
	for i := 0; i < len(pairs); i += 2 {
		w.Values[pairs[i]] = []string{pairs[i+1]}
	}
	return w
}

func start(t *testing.T, b *book.Book) uuid.UUID {
	out, err := b.Do(uuid.Nil, wish("start", "plan", "kart-chain", "title", "kart", "currency", "EUR"), "")
	require.NoError(t, err)
	return out.Build
}

// A double tap makes one entry, and both taps hear the same.
func TestOnce(t *testing.T) {
	b := open(t, keep.NewMemory())
	id := start(t, b)
	w := wish("hours", "task", "in-01", "hours", "1", "once", "tap-1")
	first, err := b.Do(id, w, "")
	require.NoError(t, err)
	second, err := b.Do(id, w, "")
	require.NoError(t, err)
	require.Equal(t, first, second)
	build, err := b.Build(id)
	require.NoError(t, err)
	require.EqualValues(t, 60, build.Hours.Logged)
}

// A full disk loses nothing that was acknowledged and shows nothing that was
// not.
func TestStoreFails(t *testing.T) {
	log := &failing{Log: keep.NewMemory()}
	b := open(t, log)
	id := start(t, b)
	log.err = errors.New("no space left on device")
	_, err := b.Do(id, wish("hours", "task", "in-01", "hours", "1"), "")
	require.ErrorContains(t, err, "no space left on device")
	build, err := b.Build(id)
	require.NoError(t, err)
	require.Zero(t, build.Hours.Logged)
	log.err = nil
	_, err = b.Do(id, wish("hours", "task", "in-01", "hours", "2"), "")
	require.NoError(t, err)

	again := open(t, log)
	build, err = again.Build(id)
	require.NoError(t, err)
	require.EqualValues(t, 120, build.Hours.Logged)
}

type failing struct {
	keep.Log
	err error
}

func (f *failing) Append(raws [][]byte, seals ...model.Seal) error {
	if f.err != nil {
		return f.err
	}
	return f.Log.Append(raws, seals...)
}

// What a wish raises and makes stale is said at once.
func TestOutcome(t *testing.T) {
	b := open(t, keep.NewMemory())
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	n, err := b.Add(raws)
	require.NoError(t, err)
	require.Equal(t, len(raws), n)
	n, err = b.Add(raws)
	require.NoError(t, err)
	require.Zero(t, n, "twice without doubles")

	out, err := b.Do(demo.Build, wish("change", "changes", "motor-leads"), "")
	require.NoError(t, err)
	require.Len(t, out.Stale, 1)
	require.Equal(t, "motor-iso", out.Stale[0].ID)
	out, err = b.Do(demo.Build, wish("hours", "task", "elm-02", "hours", "1"), "")
	require.NoError(t, err)
	require.Len(t, out.Raised, 2, "elm-01 and chs-03 are not finished")
}

// Entries from elsewhere are taken all or none.
func TestAddAllOrNone(t *testing.T) {
	b := open(t, keep.NewMemory())
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	bad := append([][]byte{}, raws[:10]...)
	bad = append(bad, []byte("no entry"))
	_, err = b.Add(bad)
	require.ErrorContains(t, err, "entry 11 of 11")
	_, err = b.Add([][]byte{raws[0], raws[2]})
	require.Error(t, err, "a hole in a chain")
	b.Read(func(l *model.Logbook) { require.Equal(t, 1, l.Len(), "its own opening entry") })
}

// Someone else's name stands on what they write.
func TestPerson(t *testing.T) {
	b := open(t, keep.NewMemory())
	id := start(t, b)
	out, err := b.Do(id, wish("note", "text", "seen"), "reviewer")
	require.NoError(t, err)
	build, err := b.Build(id)
	require.NoError(t, err)
	fact, ok := build.FactOf(out.Entries[0])
	require.True(t, ok)
	require.Equal(t, "reviewer", fact.Person)
	line, _ := build.Entry(out.Entries[0])
	require.Equal(t, "reviewer", line.Author)
}
