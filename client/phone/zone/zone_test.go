package zone_test

import (
	"testing"
	"time"
	_ "time/tzdata"

	"ampwright/client/phone/zone"

	"github.com/stretchr/testify/require"
)

// Zones of the IANA time zone database (as Go carries it): half hours, the
// southern summer, no summer time, a zone that gave it up, two changes within
// five weeks (Morocco in Ramadan), a day left out (Samoa, 2011).
func TestLikeTheDatabase(t *testing.T) {
	from, to := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2031, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, name := range []string{
		"UTC", "Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Asia/Kolkata", "Asia/Kathmandu",
		"America/Sao_Paulo", "Africa/Casablanca", "Pacific/Apia", "Europe/Dublin",
	} {
		want, err := time.LoadLocation(name)
		require.NoError(t, err)
		calls := 0
		got, err := zone.Location(name, func(unix int64) int {
			calls++
			_, offset := time.Unix(unix, 0).In(want).Zone()
			return offset
		}, from, to)
		require.NoError(t, err)
		require.Equal(t, name, got.String())
		require.Less(t, calls, 3000, name)
		for at := from; at.Before(to); at = at.Add(30 * time.Minute) {
			_, w := at.In(want).Zone()
			_, g := at.In(got).Zone()
			if w != g {
				t.Fatalf("%s at %v: %d s east, want %d", name, at, g, w)
			}
		}
		typed := time.Date(2026, 7, 1, 19, 30, 0, 0, want)
		require.True(t, typed.Equal(time.Date(2026, 7, 1, 19, 30, 0, 0, got)), name)
	}
}

// Outside of the span the nearest offset stands.
func TestOutside(t *testing.T) {
	from, to := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
	berlin, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	got, err := zone.Location("here", func(unix int64) int { _, o := time.Unix(unix, 0).In(berlin).Zone(); return o }, from, to)
	require.NoError(t, err)
	_, early := from.AddDate(-1, 6, 0).In(got).Zone()
	_, late := to.AddDate(1, 6, 0).In(got).Zone()
	require.Equal(t, []int{3600, 7200}, []int{early, late})
}
