package pair

import (
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

func TestPhones(t *testing.T) {
	dir := t.TempDir()
	p, err := ReadPhones(dir)
	require.NoError(t, err)
	first, err := p.Add("pocket phone", at)
	require.NoError(t, err)
	second, err := p.Add("bench tablet", at)
	require.NoError(t, err)
	require.Len(t, first, 43) // by hand: 256 bits in base64, 42.7 characters
	require.NotEqual(t, first, second)

	again := func() *Phones {
		t.Helper()
		q, err := ReadPhones(dir)
		require.NoError(t, err)
		return q
	}
	f, here, ok := again().Enter(first, at)
	require.True(t, ok)
	require.Equal(t, "pocket phone", f.Name)
	require.NoError(t, here.Err())
	for _, token := range []string{"", first[:42], first + "A", string(f.Sum)} {
		_, _, ok := p.Enter(token, at)
		require.False(t, ok)
	}

	// No token is on the disk, and nobody else may read what is.
	path := filepath.Join(dir, phonesFile)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NotContains(t, string(data), first)
	require.NotContains(t, string(data), second)
	if runtime.GOOS != "windows" { // modes mean nothing there
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Equal(t, fs.FileMode(0o600), info.Mode().Perm())
	}

	// The last contact, on disk to the minute.
	later := at.Add(3 * time.Hour)
	f, here, _ = p.Enter(first, later)
	require.Equal(t, later, p.List()[1].Last)
	p.Enter(first, later.Add(59*time.Second))
	require.True(t, again().List()[1].Last.Equal(later))
	p.Enter(first, later.Add(60*time.Second))
	require.True(t, again().List()[1].Last.Equal(later.Add(time.Minute)))

	replica := uuid.New()
	require.NoError(t, p.Bind(f.ID, replica))
	require.Equal(t, replica, again().List()[1].Replica)

	n, err := p.Drop(func(f Phone) bool { return f.Replica == replica })
	require.NoError(t, err)
	require.Equal(t, 1, n)
	require.Error(t, here.Err())
	_, _, ok = p.Enter(first, later)
	require.False(t, ok)
	_, _, ok = again().Enter(first, later)
	require.False(t, ok)
	_, _, ok = again().Enter(second, later)
	require.True(t, ok)
	require.EqualError(t, p.Bind(f.ID, replica), "this phone was taken off the list")

	for range maxPhones - 1 {
		_, err = p.Add("x", at)
		require.NoError(t, err)
	}
	_, err = p.Add("x", at)
	require.EqualError(t, err, "32 phones are paired, at most 32 are possible: take one off the list first")

	for text, want := range map[string]string{
		`{"format":"another/1"}`: `format "another/1", want "ampwright-phones/1"`,
		`{"format":"ampwright-phones/1","phones":[{"id":"x","sum":"AAAA"}]}`: "phone 1 has no sum of 32 bytes",
		`{"format":"ampwright-phones/1","phones":[null]}`:                    "phone 1 has no sum of 32 bytes",
		`{`: "read phones.json: ",
	} {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		_, err = ReadPhones(dir)
		require.ErrorContains(t, err, want)
	}
}

func TestSockets(t *testing.T) {
	p, err := ReadPhones(t.TempDir())
	require.NoError(t, err)
	_, err = p.Add("x", at)
	require.NoError(t, err)
	id := p.List()[0].ID
	for range maxSockets {
		require.True(t, p.socket(id, 1))
	}
	require.False(t, p.socket(id, 1))
	require.True(t, p.socket(id, -1))
	require.True(t, p.socket(id, 1))
}
