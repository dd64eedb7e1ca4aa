package model_test

import (
	"testing"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// Devices that bear one name are told apart, by the same label in a list, in a
// finding and in a wish.
func TestLabels(t *testing.T) {
	b := start(t, hub)
	old := b.pen.Replica
	var news []uuid.UUID
	for n := range byte(2) {
		news = append(news, uuid.UUID{0xa0 + n})
		pen := model.Pen{Replica: news[n]}
		raws, err := pen.Write([]model.Draft{{Body: &model.Replica{Device: "laptop", Person: "Robin", Was: old}}}, model.StampAt(b.now))
		require.NoError(t, err)
		_, err = b.log.Add(raws[0])
		require.NoError(t, err)
	}
	devices := b.build().Devices
	require.Equal(t, []string{"laptop (a0000000)", "laptop (a1000000)"}, model.Next(devices, old))
	require.Empty(t, model.Next(devices, news[0]))
	require.Equal(t, "bb000000", model.Label(devices, uuid.UUID{0xbb}), "of one that is not known")
	require.Equal(t, "laptop (00000000)", model.Label(devices, old))
	require.Equal(t, "laptop", model.Label(devices[:1], devices[0].Replica), "nobody else has the name")

	_, err := b.try("strike-off", "device", "laptop", "reason", "lost")
	require.ErrorContains(t, err, "fits 00000000 and a0000000 and a1000000")
	drafts, err := b.try("strike-off", "device", "Laptop (a1000000)", "reason", "lost")
	require.NoError(t, err)
	require.Equal(t, news[1], drafts[0].Body.(*model.ReplicaClose).Replica)
}

func TestApart(t *testing.T) {
	for want, d := range map[string]time.Duration{
		"0 s": 400 * time.Millisecond, "59 s": -59 * time.Second, "1 min 00 s": time.Minute, "119 min 59 s": 2*time.Hour - time.Second,
		"2 h 00 min": 2 * time.Hour, "47 h 59 min": 48*time.Hour - time.Second, "2 days 0 h": -48 * time.Hour,
	} {
		require.Equal(t, want, model.Apart(d))
	}
}
