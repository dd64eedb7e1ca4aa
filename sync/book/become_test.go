package book_test

import (
	"errors"
	"testing"

	"ampwright/model"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// renewing opens a book that takes the names given, one after the other.
func renewing(t *testing.T, log keep.Log, names ...uuid.UUID) *book.Book {
	cfg := config()
	cfg.Renew = func(string) (uuid.UUID, []byte, error) {
		if len(names) == 0 {
			return uuid.Nil, nil, errors.New("no more names")
		}
		name := names[0]
		names = names[1:]
		return name, make([]byte, 32), nil
	}
	b, err := book.Open(log, cfg)
	require.NoError(t, err)
	return b
}

func heads(b *book.Book) (h map[uuid.UUID][]model.Head) {
	b.Read(func(l *model.Logbook) { h = l.Heads() })
	return h
}

// The opening entry of a new name comes before all else, also where it could not
// be stored at once.
func TestBecome(t *testing.T) {
	second, third := uuid.UUID{15: 2}, uuid.UUID{15: 3}
	log := &failing{Log: keep.NewMemory()}
	b := renewing(t, log, second, third)
	id := start(t, b)
	require.NoError(t, b.Become("a test"))
	require.Equal(t, second, b.Replica())
	require.EqualValues(t, 1, heads(b)[second][0].Seq)

	log.err = errors.New("no space left on device")
	require.ErrorContains(t, b.Become("a test"), "no space left on device")
	_, err := b.Do(id, wish("note", "text", "seen"), "")
	require.ErrorContains(t, err, "no space left on device")
	require.Empty(t, heads(b)[third])
	log.err = nil
	out, err := b.Do(id, wish("note", "text", "seen"), "")
	require.NoError(t, err)
	require.Len(t, out.Entries, 1, "the wish's, not the opening")
	require.EqualValues(t, 2, heads(b)[third][0].Seq)

	require.ErrorContains(t, b.Become("a test"), "no more names")
	_, err = b.Do(id, wish("note", "text", "seen again"), "")
	require.ErrorContains(t, err, "no more names", "it must not write on under the old name")
	require.EqualValues(t, 2, heads(b)[third][0].Seq)
}

// Entries of this replica that were written elsewhere end its name; without a
// way to take another nothing more is written.
func TestOwnEntriesFromElsewhere(t *testing.T) {
	log := keep.NewMemory()
	start(t, open(t, log))
	var all [][]byte
	require.NoError(t, log.Runs(func(run []byte) error {
		return model.UnpackRun(run, func(raw string, _ model.ID) error {
			all = append(all, []byte(raw))
			return nil
		})
	}))
	behind := keep.NewMemory() // set back by one entry
	require.NoError(t, behind.Append(all[:1]))
	b := renewing(t, behind, uuid.UUID{15: 2})
	n, err := b.Add(all)
	require.NoError(t, err)
	require.Equal(t, 1, n)
	require.Equal(t, uuid.UUID{15: 2}, b.Replica())

	behind = keep.NewMemory()
	require.NoError(t, behind.Append(all[:1]))
	b = open(t, behind)
	n, err = b.Add(all)
	require.ErrorContains(t, err, "must take a new name and cannot")
	require.Equal(t, 1, n)
	_, err = b.Do(uuid.Nil, wish("settings", "mark", "comma"), "")
	require.ErrorContains(t, err, "must take a new name and cannot")
	require.EqualValues(t, 2, heads(b)[laptop][0].Seq)
}
