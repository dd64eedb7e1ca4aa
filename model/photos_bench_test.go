package model_test

import (
	"testing"

	"ampwright/model"
	"ampwright/model/modeltest"

	"github.com/stretchr/testify/require"
)

// BenchmarkPhotos finds the photos in a logbook of 100,000 entries for the first
// time; after that only what is new is looked at.
func BenchmarkPhotos(b *testing.B) {
	raws := modeltest.Garage(100_000, 1)
	for b.Loop() {
		b.StopTimer()
		l := model.NewLogbook()
		for _, raw := range raws {
			_, err := l.Add(raw)
			require.NoError(b, err)
		}
		b.StartTimer()
		require.NotEmpty(b, l.Photos())
	}
}
