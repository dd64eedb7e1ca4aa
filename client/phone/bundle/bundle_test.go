package bundle_test

import (
	"bytes"
	"compress/gzip"
	"testing"
	"testing/fstest"

	"ampwright/client/phone/bundle"

	"github.com/stretchr/testify/require"
)

func folder(t *testing.T, text string) fstest.MapFS {
	dir := fstest.MapFS{}
	for _, name := range bundle.Names {
		var gz bytes.Buffer
		w := gzip.NewWriter(&gz)
		_, err := w.Write([]byte(text + name))
		require.NoError(t, err)
		require.NoError(t, w.Close())
		dir[name+".gz"] = &fstest.MapFile{Data: gz.Bytes()}
		dir[name+".br"] = &fstest.MapFile{Data: []byte("br " + text + name)}
	}
	return dir
}

func TestLoad(t *testing.T) {
	b, err := bundle.Load(folder(t, "one "))
	require.NoError(t, err)
	other, err := bundle.Load(folder(t, "two "))
	require.NoError(t, err)
	for _, name := range bundle.Names {
		require.Regexp(t, `^[a-z]+\.[0-9a-f]{12}\.(js|packed)$`, b.Address(name))
		require.NotEqual(t, b.Address(name), other.Address(name))
		f, ok := b.Get(b.Address(name))
		require.True(t, ok)
		require.Equal(t, f, b.Named(name))
		plain, err := f.Plain()
		require.NoError(t, err)
		require.Equal(t, "one "+name, string(plain))
		_, ok = b.Get(name)
		require.False(t, ok)
	}
	require.Equal(t, "application/octet-stream", b.Named("phone.packed").Type)
}

func TestNotBuilt(t *testing.T) {
	_, err := bundle.Load(fstest.MapFS{"README.md": {}})
	require.ErrorIs(t, err, bundle.ErrNotBuilt)
	half := folder(t, "")
	delete(half, "sw.js.gz")
	_, err = bundle.Load(half)
	require.ErrorContains(t, err, "by halves")
}
