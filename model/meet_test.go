package model_test

import (
	"testing"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// A meeting counts even if it is folded in, and looked at, before anything of the
// device that was met.
func TestMeetBeforeTheOther(t *testing.T) {
	laptop, phone := model.Pen{Replica: uuid.UUID{1}}, model.Pen{Replica: uuid.UUID{2}}
	at := time.Date(2026, 9, 5, 18, 0, 0, 0, time.UTC)
	l := model.NewLogbook()
	write := func(pen *model.Pen, body model.Body) {
		raws, err := pen.Write([]model.Draft{{Body: body}}, model.StampAt(at))
		require.NoError(t, err)
		_, err = l.Add(raws[0])
		require.NoError(t, err)
	}
	write(&laptop, &model.Replica{Device: "laptop"})
	write(&laptop, &model.Meet{At: model.WhenOf(at), With: phone.Replica, Offset: 1500})
	l.Digest()
	write(&phone, &model.Replica{Device: "phone"})
	_, devices := l.Garage()
	require.Equal(t, "phone", devices[1].Name)
	require.Equal(t, 1500*time.Millisecond, devices[1].Offset)
	require.Equal(t, model.WhenOf(at), devices[1].Met)
}
