package keep_test

import (
	"testing"

	"ampwright/sync/keep"
	"ampwright/sync/keep/keeptest"
)

func TestMemoryBlobs(t *testing.T) {
	keeptest.RunBlobs(t, func(*testing.T) (keep.Blobs, func() keep.Blobs, func(keep.BlobID)) {
		m := keep.NewMemoryBlobs()
		return m, nil, m.Damage
	})
}
