package unit

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParseHours(t *testing.T) {
	for in, want := range map[string]int{ // by hand, 60 minutes to the hour
		"2.5": 150, "2,5": 150, "2h30": 150, "2 h 30": 150, "2h30min": 150, "2 h 30 min": 150, "2h30m": 150, "2H30": 150,
		"2 h": 120, "2 hours": 120, "2,5 h": 150, "150 min": 150, "150m": 150, "150 minutes": 150, "2:30": 150, "02:30": 150,
		"0:01": 1, "24": 1440, "24:00": 1440, "24h00": 1440, "0.33": 20, "0.25": 15, "2h3m": 123, "2h03": 123, "0h30": 30,
		"14:00-16:30": 150, "14:00 – 16:30": 150, "8:00-9:00": 60, "23:30-00:15": 45, "00:00-24:00": 1440, "13:00-24:00": 660,
		"16:30-14:00": 1290, "\u202f1 h": 60,
	} {
		for _, m := range []Mark{Point, Comma} {
			got, err := ParseHours(in, m)
			require.NoError(t, err)
			require.Equal(t, want, got, in)
		}
	}
}

func TestParseHoursRejects(t *testing.T) {
	const such = ` is not a time worked, want one such as 2.5, 2h30, 150 min or 14:00-16:30`
	for in, want := range map[string]string{
		"":             `""` + such,
		"half":         `"half"` + such,
		"h":            `"h"` + such,
		"2h3":          `"2h3"` + such, // 2h30 cut short?
		"2h60":         `"2h60"` + such,
		"2h30h":        `"2h30h"` + such,
		"2h30 min 5":   `"2h30 min 5"` + such,
		"1.5h30":       `"1.5h30"` + such,
		"30min2":       `"30min2"` + such,
		"2:3":          `"2:3"` + such,
		"2:60":         `"2:60"` + such,
		"1:2:3":        `"1:2:3"` + such,
		"3 days":       `"3 days"` + such,
		"5 V":          `"5 V"` + such,
		"1.2.3":        `"1.2.3"` + such,
		"0":            `"0" is 0 h, want 1 min to 24 h; minutes are typed as in 150 min`,
		"-1":           `"-1" is -1.00 h, want 1 min to 24 h; minutes are typed as in 150 min`,
		"150":          `"150" is 150 h, want 1 min to 24 h; minutes are typed as in 150 min`,
		"1441 min":     `"1441 min" is 24.0 h, want 1 min to 24 h; minutes are typed as in 150 min`,
		"24h01":        `"24h01" is 24.0 h, want 1 min to 24 h; minutes are typed as in 150 min`,
		"0:00":         `"0:00" is 0 h, want 1 min to 24 h; minutes are typed as in 150 min`,
		"1,234":        `"1,234" can mean 1.234 h or 1234 h: type one of these`,
		"1,234 min":    `"1,234 min" can mean 1.234 min or 1234 min: type one of these`,
		"14:00-25:00":  `"14:00-25:00" is not a time from and to, want one such as 14:00-16:30`,
		"24:00-25:00":  `"24:00-25:00" is not a time from and to, want one such as 14:00-16:30`,
		"14:00-16:3":   `"14:00-16:3" is not a time from and to, want one such as 14:00-16:30`,
		"14:00-16:30-": `"14:00-16:30-" is not a time from and to, want one such as 14:00-16:30`,
		"14:00-14:00":  `"14:00-14:00" begins and ends at the same time, want 1 min to 24 h`,
	} {
		_, err := ParseHours(in, Point)
		require.EqualError(t, err, want)
	}
}

func TestParseHoursReadsEveryMinute(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.IntRange(1, minutesPerDay-1).Draw(t, "minutes")
		from := rapid.IntRange(0, minutesPerDay-1).Draw(t, "from")
		to := (from + want) % minutesPerDay
		for _, in := range []string{
			fmt.Sprintf("%d:%02d", want/60, want%60),
			fmt.Sprintf("%dh%02d", want/60, want%60),
			fmt.Sprintf("%d min", want),
			fmt.Sprintf("%.4f", float64(want)/60),
			fmt.Sprintf("%d:%02d-%d:%02d", from/60, from%60, to/60, to%60),
		} {
			got, err := ParseHours(in, Point)
			require.NoError(t, err)
			require.Equal(t, want, got, in)
		}
	})
}

func FuzzParseHours(f *testing.F) {
	for _, s := range []string{"2h30", "2,5", "150 min", "14:00-16:30", "23:30–00:15", "1e2h", "1,234", "24h1m"} {
		f.Add(s, false)
	}
	f.Fuzz(func(t *testing.T, s string, comma bool) {
		m := Point
		if comma {
			m = Comma
		}
		got, err := ParseHours(s, m)
		if err == nil && (got < 1 || got > minutesPerDay) || err != nil && got != 0 {
			t.Errorf("ParseHours(%q) = %d, %v", s, got, err)
		}
	})
}
