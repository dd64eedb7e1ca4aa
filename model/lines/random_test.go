package lines

import (
	"bytes"
	"testing"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/modeltest"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A logbook that is written out and read into an empty one has the same digest:
// the demo, and whatever is drawn.
func TestSameDigest(t *testing.T) {
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	sameDigest(t, raws)
	rapid.Check(t, func(t *rapid.T) { sameDigest(t, modeltest.Logbooks().Draw(t, "logbook")) })
}

func sameDigest(t require.TestingT, raws [][]byte) {
	l, back := model.NewLogbook(), model.NewLogbook()
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	var out bytes.Buffer
	require.NoError(t, WriteLogbook(&out, l))
	read, _, err := Read(&out)
	require.NoError(t, err)
	for _, raw := range read {
		_, err := back.Add(raw)
		require.NoError(t, err)
	}
	require.Equal(t, l.Digest(), back.Digest())
	require.Equal(t, l.Len(), back.Len())
}
