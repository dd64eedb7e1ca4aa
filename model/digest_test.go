package model_test

import (
	"testing"

	"ampwright/model"

	"github.com/stretchr/testify/require"
)

// Every entry and every change of what stands changes the digest; the same
// entries give the same digest (TestFoldAnyOrder).
func TestDigest(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	seen := map[uint64]bool{b.log.Digest(): true}
	fresh := func() {
		t.Helper()
		require.False(t, seen[b.log.Digest()])
		seen[b.log.Digest()] = true
	}
	id := b.note("x")
	fresh()
	before := b.log.Digest()
	b.hear(b)
	require.Equal(t, before, b.log.Digest())
	b.do("strike", "entry", id.String(), "reason", "y")
	fresh()
	b.hear(phone)
	fresh()
	b.do("strike-off", "device", "phone", "reason", "z", "upto", "none")
	fresh()
	require.Equal(t, "0123abcd", model.DigestText(0x0123abcd_ffffffff))
	require.Equal(t, "00000000", model.DigestText(1))
}
