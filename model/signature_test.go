package model_test

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"testing"
	"time"

	"ampwright/model"

	"github.com/stretchr/testify/require"
)

func unhex(t testing.TB, s string) []byte {
	b, err := hex.DecodeString(strings.Join(strings.Fields(s), ""))
	require.NoError(t, err)
	return b
}

// Signatures as others publish them.
func TestSignaturePublished(t *testing.T) {
	for _, tt := range []struct {
		name string
		s    model.Signature
		text string
	}{
		// RFC 8032, section 7.1, test 2: the one-byte message 72.
		{"Ed25519", model.Signature{
			Alg: model.EdDSA,
			Key: unhex(t, "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c"),
			Sig: unhex(t, `92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da
				085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00`),
		}, "\x72"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			require.NoError(t, tt.s.Verify([]byte(tt.text)))
			require.ErrorContains(t, tt.s.Verify([]byte(tt.text+"x")), "does not fit")
			for i := range tt.s.Sig {
				bad := tt.s
				bad.Sig = append([]byte{}, tt.s.Sig...)
				bad.Sig[i] ^= 1
				require.Error(t, bad.Verify([]byte(tt.text)), i)
			}
			other := tt.s
			other.Alg = "ES256"
			require.EqualError(t, other.Verify([]byte(tt.text)), `signed by "ES256" with a key of 32 bytes: want EdDSA and 32`)
			other.Alg, other.Key = tt.s.Alg, nil
			require.ErrorContains(t, other.Verify([]byte(tt.text)), "a key of 0 bytes")
			other.Key, other.Sig = tt.s.Key, nil
			require.ErrorContains(t, other.Verify([]byte(tt.text)), "does not fit")
		})
	}
}

// edKey is a key made from a word, as a phone's browser would hold it.
func edKey(word string) *model.SignOffKey {
	seed := sha256.Sum256([]byte(word))
	key := ed25519.NewKeyFromSeed(seed[:])
	return &model.SignOffKey{Alg: model.EdDSA, Key: key.Public().(ed25519.PublicKey), Sign: func(m []byte) ([]byte, error) { return ed25519.Sign(key, m), nil }}
}

// signedDo makes a wish as a device with a key for sign-offs does.
func (b *bench) signedDo(k *model.SignOffKey, name string, pairs ...string) model.ID {
	b.t.Helper()
	drafts, err := b.try(name, pairs...)
	require.NoError(b.t, err)
	id := b.store(drafts)
	signed, err := k.Signed([][]byte{b.raws[len(b.raws)-1]}, "builder", model.WhenOf(b.now))
	require.NoError(b.t, err)
	require.Len(b.t, signed, 1)
	b.store(signed)
	return id
}

// A phone's sign-off is signed, and every replica can tell; from the first one on
// a sign-off of that phone without it opens nothing.
func TestSignedRelease(t *testing.T) {
	key := edKey("phone")
	laptop := start(t, kart)
	b := laptop.join(2)
	b.do("read", "check", "pedal-returns", "value", "yes")
	b.do("read", "check", "chain-offset", "value", "0.4 mm")
	b.later(time.Minute)
	b.do("release", "point", "pedal-returns")
	require.Empty(t, b.build().Releases[0].Changed, "before the first signature none is asked for")
	require.Nil(t, b.build().Releases[0].Signed)

	first := b.signedDo(key, "release", "point", "pedal-returns")
	r := b.build().Releases[1]
	require.Empty(t, r.Changed)
	require.Equal(t, first, r.Signed.Of)
	require.Empty(t, r.Signed.Fault)
	require.Regexp(t, `^([0-9a-f]{4} ){3}[0-9a-f]{4}$`, r.Signed.Fingerprint())

	b.do("release", "point", "pedal-returns")
	require.Equal(t, []string{"its device signs what it signs off, and this is not signed"}, b.build().Releases[2].Changed)
	b.signedDo(edKey("thief"), "release", "point", "pedal-returns")
	require.Equal(t, []string{"it was signed with another key than the one its device began with"}, b.build().Releases[3].Changed)

	// Another device that signs nothing is not asked to.
	laptop.hear(b)
	laptop.later(time.Hour)
	laptop.do("release", "point", "pedal-returns")
	last := laptop.build().Releases
	require.Empty(t, last[len(last)-1].Changed)

	// A limit that changes makes it stale, signed or not.
	b.later(time.Minute)
	b.do("read", "check", "mount-load-kart", "value", "5000 N")
	b.signedDo(key, "release", "point", "mount-load-kart")
	require.Empty(t, b.build().Check("mount-load-kart").Released.Changed)
	b.do("limit", "check", "mount-load-kart", "min", "4000", "note", "lighter box")
	now := b.build().Releases
	require.Contains(t, strings.Join(now[len(now)-1].Changed, "; "), "now min 4000 N")
	require.Empty(t, now[len(now)-1].Signed.Fault, "the signature itself stands")
}

// A signature under anything else than its own sign-off counts for nothing.
func TestSignatureMisplaced(t *testing.T) {
	laptop := start(t, kart)
	b := laptop.join(2)
	b.do("read", "check", "pedal-returns", "value", "yes")
	b.later(time.Minute)
	key := edKey("phone")
	b.signedDo(key, "release", "point", "pedal-returns")
	var sig model.Signature
	e, err := model.Decode(b.raws[len(b.raws)-1])
	require.NoError(t, err)
	sig = *e.Body.(*model.Signature)

	b.later(time.Minute)
	moved := sig
	moved.Of = b.do("release", "point", "pedal-returns")
	b.write(&moved) // the concerned build is left out: it is the garage's
	require.Equal(t, []string{"its device signs what it signs off, and this is not signed"}, b.build().Releases[1].Changed)
	b.store([]model.Draft{{Build: b.id, Body: &moved}})
	require.Equal(t, []string{"its signature does not count: the signature does not fit what was signed"}, b.build().Releases[1].Changed)

	laptop.hear(b)
	laptop.later(time.Hour)
	other := sig
	other.Of = laptop.do("release", "point", "pedal-returns")
	b.hear(laptop)
	b.now = laptop.now
	b.store([]model.Draft{{Build: b.id, Body: &other}})
	last := b.build().Releases
	require.Empty(t, last[len(last)-1].Changed, "what another device signs off is not spoilt")
}

// The statement says in lines what is signed, and a name cannot add a line.
func TestStatement(t *testing.T) {
	b := start(t, kart)
	reading := b.do("read", "check", "spread-kart", "value", "40 mV")
	b.later(time.Minute)
	b.do("release", "point", "spread-kart")
	raw := b.raws[len(b.raws)-1]
	text, ok := model.Statement(raw, "Ann\nperson Bob")
	require.True(t, ok)
	whole := sha256.Sum256(raw)
	limit := sha256.Sum256([]byte("spread-kart max 60 mV"))
	require.Equal(t, `ampwright sign-off 1
build 09000000-0000-0000-0000-000000000000
release spread-kart
on `+reading.String()+`
criterion `+hex.EncodeToString(limit[:])+`
person Ann person Bob
time 2026-09-01T08:01:00Z
entry `+hex.EncodeToString(whole[:])+`
`, string(text))
	_, ok = model.Statement(b.raws[0], "x")
	require.False(t, ok)
}
