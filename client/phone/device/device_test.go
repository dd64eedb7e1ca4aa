package device_test

import (
	"bytes"
	"errors"
	"regexp"
	"strings"
	"testing"

	"ampwright/client/phone/device"
	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

func made(t *testing.T, n byte) device.Device {
	d, err := device.New("phone", "builder", bytes.NewReader(bytes.Repeat([]byte{n}, 48)))
	require.NoError(t, err)
	return d
}

func TestEncode(t *testing.T) {
	d := made(t, 1)
	data, err := d.Encode()
	require.NoError(t, err)
	got, err := device.Decode(data)
	require.NoError(t, err)
	require.Equal(t, d, got)
	older := regexp.MustCompile(`,"public":"[^"]*"`).ReplaceAll(data, nil)
	require.NotEqual(t, data, older)
	got, err = device.Decode(older)
	require.NoError(t, err)
	require.Equal(t, d, got)
	for _, bad := range []string{``, `{}`, `{"format":"ampwright-device/2"}`, `{"format":"ampwright-device/1"}`,
		`{"format":"ampwright-device/1","replica":"4845524f-4e00-4000-8000-00000000000b","seed":"AAAA"}`, strings.Replace(string(data), `"public":"`, `"public":"AAAA`, 1), strings.Replace(string(data), `"public":"`, `"public":"!`, 1)} {
		_, err := device.Decode([]byte(bad))
		require.ErrorContains(t, err, "read who this device is", bad)
	}
	_, err = device.New("phone", "builder", bytes.NewReader(nil))
	require.Error(t, err)
}

func TestChoose(t *testing.T) {
	old, fresh := made(t, 1), made(t, 2)
	data, err := old.Encode()
	require.NoError(t, err)
	end := model.Head{Seq: 4}
	none := map[uuid.UUID][]model.Head{}
	for _, tt := range []struct {
		name   string
		data   []byte
		heads  map[uuid.UUID][]model.Head
		want   device.Device
		notice string
	}{
		{"first use", nil, none, fresh, ""},
		{"every day", data, map[uuid.UUID][]model.Head{old.Replica: {end}, uuid.Max: {end, end}}, old, ""},
		{"identity lost", nil, map[uuid.UUID][]model.Head{old.Replica: {end}}, fresh, "who this device is was missing"},
		{"logbook lost", data, none, fresh, "is gone"},
		{"another logbook", data, map[uuid.UUID][]model.Head{uuid.Max: {end}}, fresh, "nothing that this device wrote"},
		{"copied", data, map[uuid.UUID][]model.Head{old.Replica: {end, end}}, fresh, "a copy of this device"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d, notice, err := device.Choose(tt.data, tt.heads, func() (device.Device, error) { return fresh, nil })
			require.NoError(t, err)
			require.Equal(t, tt.want.Replica, d.Replica)
			if tt.notice == "" {
				require.Empty(t, notice)
			}
			require.Contains(t, notice, tt.notice)
		})
	}
	_, _, err = device.Choose([]byte("x"), none, nil)
	require.Error(t, err)
	_, _, err = device.Choose(nil, none, func() (device.Device, error) { return device.Device{}, errors.New("no chance") })
	require.EqualError(t, err, "no chance")
}
