package keep

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Damage behind the back of the store in memory, for its suite.
func (m *MemoryBlobs) Damage(id BlobID) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.whole[id] = append([]byte(nil), m.whole[id]...)
	m.whole[id][len(m.whole[id])/2] ^= 1
}

func TestParseBlobID(t *testing.T) {
	id := BlobID{1, 31: 0xab}
	got, err := ParseBlobID(id.String())
	require.NoError(t, err)
	require.Equal(t, id, got)
	for _, bad := range []string{"", "ab", id.String() + "00", "z" + id.String()[1:]} {
		_, err := ParseBlobID(bad)
		require.ErrorContains(t, err, "want 64 hexadecimal digits")
	}
}
