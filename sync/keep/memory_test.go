package keep_test

import (
	"testing"

	"ampwright/sync/keep"
	"ampwright/sync/keep/keeptest"
)

func TestMemory(t *testing.T) {
	keeptest.Run(t, func(*testing.T) (keep.Log, func() keep.Log) { return keep.NewMemory(), nil })
}
