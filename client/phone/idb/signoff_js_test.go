package idb

import (
	"syscall/js"
	"testing"

	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// The key for sign-offs is made once, signs what Go verifies, and is handed to
// nobody.
func TestSignOffKey(t *testing.T) {
	name := fresh()
	key, err := SignOffKey(name)
	require.NoError(t, err)
	require.NotNil(t, key, "this browser has no Ed25519: want one that has (Chromium from 137)")
	again, err := SignOffKey(name)
	require.NoError(t, err)
	require.Equal(t, key.Key, again.Key)
	other, err := SignOffKey(fresh())
	require.NoError(t, err)
	require.NotEqual(t, key.Key, other.Key)

	pen := model.Pen{Replica: uuid.UUID{1}}
	raws, err := pen.Write([]model.Draft{
		{Body: &model.Replica{Person: "builder"}}, {Build: uuid.UUID{2}, Body: &model.Release{Point: "pedal-returns"}}, {Build: uuid.UUID{2}, Body: &model.Note{}},
	}, 1_780_000_000_000<<16)
	require.NoError(t, err)
	for _, k := range []*model.SignOffKey{key, again} {
		drafts, err := k.Signed(raws, "builder", model.When{})
		require.NoError(t, err) // it verifies what the browser returns
		require.Len(t, drafts, 1)
		require.Equal(t, model.IDOf(raws[1]), drafts[0].Body.(*model.Signature).Of)
	}

	var got js.Value
	require.NoError(t, transactBeside(name, "read", "readonly", func(store js.Value) { got = store.Call("get", signOffKey) }))
	private := got.Get("result").Get("private")
	require.False(t, private.Get("extractable").Bool())
	subtle := js.Global().Get("crypto").Get("subtle")
	for _, format := range []string{"pkcs8", "jwk", "raw"} {
		_, err := await("export", func() js.Value { return subtle.Call("exportKey", format, private) })
		require.Error(t, err, format)
	}
}
