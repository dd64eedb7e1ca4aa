package model

import (
	"crypto/ed25519"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// The signature is that of RFC 8032 over the text in the documentation, key first.
func TestVouch(t *testing.T) {
	old := ed25519.NewKeyFromSeed(make([]byte, 32))
	was, now := uuid.UUID{1, 15: 2}, uuid.UUID{3, 15: 4}
	key := ed25519.PublicKey(make([]byte, 32))
	v := Vouch(was, old, now, key)
	require.Len(t, v, VouchSize)
	public := old.Public().(ed25519.PublicKey)
	require.Equal(t, public, ed25519.PublicKey(v[:32]))
	text := "ampwright name 1\x01" + string(make([]byte, 14)) + "\x02\x03" + string(make([]byte, 14)) + "\x04" + string(make([]byte, 32))
	require.True(t, ed25519.Verify(public, []byte(text), v[32:]))

	// It holds for this name and key alone, and as it is.
	require.True(t, (&Voucher{was, v}).holds(now, key))
	require.False(t, (&Voucher{was, v}).holds(was, key))
	require.False(t, (&Voucher{now, v}).holds(now, key))
	require.False(t, (&Voucher{was, v}).holds(now, public))
	require.False(t, (&Voucher{was, v[:95]}).holds(now, key))
	require.False(t, (&Voucher{was, nil}).holds(now, key))
}

// However long the line of names, only so much of it is shown, and read.
func TestVouchersAreFew(t *testing.T) {
	l := NewLogbook()
	var first, last uuid.UUID
	var key ed25519.PrivateKey
	for n := range byte(MaxLine + 2) {
		old, was := key, last
		last, key = uuid.UUID{n + 1}, ed25519.NewKeyFromSeed(append(make([]byte, 31), n))
		public := key.Public().(ed25519.PublicKey)
		body := &Replica{Key: public}
		if n == 0 {
			first = last
		} else {
			body.Was, body.Vouch = was, Vouch(was, old, last, public)
		}
		pen := Pen{Replica: last}
		raws, err := pen.Write([]Draft{{Body: body}}, 1)
		require.NoError(t, err)
		_, err = l.Add(raws[0])
		require.NoError(t, err)
	}
	line := l.Vouchers(last)
	require.Len(t, line, MaxLine)
	require.Empty(t, l.Vouchers(first))
	require.Empty(t, l.Vouchers(uuid.UUID{99}))
	_, err := NewLogbook().Introduced(last, key.Public().(ed25519.PublicKey), line)
	require.EqualError(t, err, "it continues none that is known here")
	got, err := l.Introduced(last, key.Public().(ed25519.PublicKey), line)
	require.NoError(t, err)
	require.Equal(t, line[0].Replica, got)
}
