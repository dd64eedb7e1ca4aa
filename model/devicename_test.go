package model_test

import (
	"testing"
	"time"

	"ampwright/model"

	"github.com/stretchr/testify/require"
)

// A device is called by its latest name, in the list and beside what it wrote before;
// a name given on a device that was struck off does not count.
func TestNameDevice(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	note := phone.do("note", "text", "seen")
	meet(b, phone)
	called := func(x *bench) string {
		for _, d := range x.build().Devices {
			if d.Replica == phone.pen.Replica {
				return d.Name
			}
		}
		return ""
	}
	require.Equal(t, "phone", called(b))
	phone.later(time.Hour)
	phone.do("name-device", "device", "phone", "name", "shed phone")
	b.hear(phone)
	for _, x := range []*bench{b, phone} {
		require.Equal(t, "shed phone", called(x))
		fact, ok := x.build().FactOf(note)
		require.True(t, ok)
		require.Equal(t, "shed phone", fact.Device)
	}
	_, err := b.try("name-device", "device", "shed phone", "name", "shed phone")
	require.ErrorContains(t, err, "nothing was changed")
	_, err = b.try("name-device", "device", "shed", "name", "x")
	require.ErrorContains(t, err, "is not a device of this garage")

	b.do("strike-off", "device", "shed phone", "reason", "lost")
	phone.do("name-device", "device", "shed phone", "name", "mine now")
	b.hear(phone)
	require.Equal(t, "shed phone", called(b))
	require.Equal(t, 40, model.MaxName)
}
