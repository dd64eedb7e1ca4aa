package pair

import (
	"encoding/hex"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func count(from byte) []byte {
	b := make([]byte, nonceSize)
	for i := range b {
		b[i] = from + byte(i)
	}
	return b
}

// Made with another program: hmac and hashlib of Python 3, from the words in
// doc.go. HMAC: RFC 2104.
func TestProof(t *testing.T) {
	const secret = "GAYTEMZUGU3DOOBZMFRGGZDFMY"
	require.Equal(t, "81ac7e75cb121ddad3ebe31633963e90e4955e224e9a9500fd3921f7eb49a6a0", hex.EncodeToString(Proof(secret, count(0))))
	require.Equal(t, "901027", Code(secret, count(0), count(16)))
	require.Len(t, Code(secret, count(1), count(16)), 6)
}

func opened(t *testing.T) (*Window, View) {
	var w Window
	w.Open(at)
	v := w.View(at)
	require.True(t, v.Open)
	require.Regexp(t, `^[A-Z2-7]{26}$`, v.Picture) // 128 bits need 25.6 characters of 5
	require.Regexp(t, `^[A-Z2-7]{10}$`, v.Typed)   // 50 bits
	return &w, v
}

func (w *Window) try(secret string, now time.Time) (string, []byte, error) {
	return w.Knock("a phone", count(0), Proof(secret, count(0)), now)
}

func TestWindow(t *testing.T) {
	for i := range 2 {
		w, v := opened(t)
		secret := []string{v.Picture, v.Typed}[i]
		id, nonce, err := w.try(secret, at)
		require.NoError(t, err)
		shown := w.View(at)
		require.Equal(t, Code(secret, count(0), nonce), shown.Code)
		require.Empty(t, shown.Picture+shown.Typed)

		_, in, err := w.Collect(id, at)
		require.NoError(t, err)
		require.False(t, in) // nobody has said yes
		require.ErrorIs(t, w.Answer("another", true, at), errShut)
		require.NoError(t, w.Answer(id, true, at))
		_, _, err = w.Collect("another", at)
		require.ErrorIs(t, err, errShut)
		name, in, err := w.Collect(id, at)
		require.NoError(t, err)
		require.True(t, in)
		require.Equal(t, "a phone", name)

		// Used up: the secret, the proof and the way to the token.
		_, _, err = w.try(secret, at)
		require.ErrorIs(t, err, errShut)
		_, _, err = w.Collect(id, at)
		require.ErrorIs(t, err, errShut)
	}
}

func TestWindowEnds(t *testing.T) {
	w, v := opened(t)
	last := at.Add(5*time.Minute - time.Nanosecond)
	id, _, err := w.try(v.Picture, last)
	require.NoError(t, err)
	require.NoError(t, w.Answer(id, true, last))
	_, _, err = w.Collect(id, last.Add(1))
	require.ErrorIs(t, err, errShut)
	require.False(t, w.View(last.Add(1)).Open)

	w, v = opened(t)
	_, _, err = w.try(v.Picture, last.Add(1))
	require.ErrorIs(t, err, errShut)

	// A wrong proof at the fifth time shuts it: there is no sixth try.
	w, v = opened(t)
	for range WindowTries {
		require.True(t, w.View(at).Open)
		_, _, err = w.try(v.Typed[:9], at)
		require.ErrorIs(t, err, errProof)
	}
	require.Equal(t, "5 attempts were made with a wrong code", w.View(at).Over)
	_, _, err = w.try(v.Picture, at)
	require.ErrorIs(t, err, errShut)

	// A proof is for its nonce.
	w, v = opened(t)
	_, _, err = w.Knock("x", count(1), Proof(v.Picture, count(0)), at)
	require.ErrorIs(t, err, errProof)
	_, _, err = w.Knock("x", nil, Proof(v.Picture, nil), at)
	require.ErrorIs(t, err, errProof)
}

// Two phones with the right code: which is the person's nobody can tell.
func TestTwoPhones(t *testing.T) {
	w, v := opened(t)
	first, _, err := w.try(v.Picture, at)
	require.NoError(t, err)
	_, _, err = w.try(v.Typed, at)
	require.ErrorIs(t, err, errTwo)
	require.ErrorIs(t, w.Answer(first, true, at), errShut)
	_, _, err = w.Collect(first, at)
	require.ErrorIs(t, err, errTwo)
	require.Contains(t, w.View(at).Over, "two phones")
}

func TestRefused(t *testing.T) {
	w, v := opened(t)
	id, _, err := w.try(v.Picture, at)
	require.NoError(t, err)
	require.NoError(t, w.Answer(id, false, at))
	_, in, err := w.Collect(id, at)
	require.ErrorIs(t, err, errRefused)
	require.False(t, in)
	w.Open(at)
	require.Empty(t, w.View(at).Over)
}

func TestPlainName(t *testing.T) {
	for in, want := range map[string]string{
		"": "a phone", " \n\x00 ": "a phone", "my\x1b[31m  phone\u202e": "my [31m phone", strings.Repeat("ä", 50): strings.Repeat("ä", 40),
	} {
		require.Equal(t, want, plainName(in))
	}
}
