package pair

import (
	"crypto/sha256"
	"net"
	"net/netip"
	"testing"

	"github.com/stretchr/testify/require"
)

// Other laptops are answered from when a person asks for it, also when the garage
// is served again, until he asks for the contrary; phones keep what they have.
func TestLaptops(t *testing.T) {
	k := newGarage(t)
	require.False(t, k.ForLaptops())
	at, err := k.Laptops(false)
	require.NoError(t, err)
	require.Empty(t, at)
	require.Nil(t, k.authority, "nobody has asked for anything")

	at, err = k.Laptops(true)
	require.NoError(t, err)
	require.Equal(t, []string{k.lanPort()}, at)
	require.True(t, k.ForLaptops())
	require.EqualValues(t, sha256.Sum256(k.authority.issuing.Raw), k.Pin())
	pin := k.Pin()
	reach := func() error {
		c, err := net.Dial("tcp", at[0])
		if err == nil {
			c.Close()
		}
		return err
	}
	require.NoError(t, reach())
	require.NoError(t, k.Add(false))
	require.NoError(t, k.Stop()) // no phone came
	require.NoError(t, reach())
	require.NoError(t, k.Close())
	require.Error(t, reach())

	again := openGarage(t, k.dir, k.book)
	require.NoError(t, again.Resume())
	require.True(t, again.ForLaptops())
	require.NoError(t, reach())
	require.Equal(t, pin, again.Pin())
	require.NoError(t, again.Add(true)) // another authority: who knew this one must be invited anew
	require.True(t, again.ForLaptops())
	require.NotEqual(t, pin, again.Pin())
	require.NoError(t, again.Stop())

	_, err = again.Laptops(false)
	require.NoError(t, err)
	require.False(t, again.ForLaptops())
	require.Error(t, reach())
	require.NoError(t, again.Close())
	last := openGarage(t, k.dir, k.book)
	require.NoError(t, last.Resume())
	require.Nil(t, last.lan)

	_, err = last.Laptops(true)
	require.NoError(t, err)
	require.NoError(t, last.Add(false))
	last.handset().pair()
	_, err = last.Laptops(false)
	require.NoError(t, err)
	require.NoError(t, reach(), "there is a phone")

	// Without a network nothing is changed.
	alone := newGarage(t)
	alone.cfg.Host, alone.cfg.Addresses = "", func() []netip.Addr { return nil }
	_, err = alone.Laptops(true)
	require.EqualError(t, err, "this computer has no private IPv4 address now: connect it to the network")
	require.Nil(t, alone.authority)
}
