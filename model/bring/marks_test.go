package bring

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Marks and groups are found as package regexp finds them by these patterns.
func TestMarks(t *testing.T) {
	comma := regexp.MustCompile(`^\D*[0-9][0-9. ]*,([0-9]{1,2}|[0-9]{4,})\D*$`)
	point := regexp.MustCompile(`^\D*[0-9][0-9, ]*\.([0-9]{1,2}|[0-9]{4,})\D*$`)
	grouped := regexp.MustCompile(`[1-9][0-9]{0,2}([.,][0-9]{3})+`)
	same := func(t require.TestingT, s string) {
		require.Equal(t, comma.MatchString(s), showsMark(s, ','), "%q", s)
		require.Equal(t, point.MatchString(s), showsMark(s, '.'), "%q", s)
		for _, mark := range []string{".", ","} {
			want := grouped.ReplaceAllStringFunc(s, func(s string) string { return strings.ReplaceAll(s, mark, "") })
			require.Equal(t, want, ungroup(s, mark), "%q", s)
		}
	}
	for _, s := range []string{
		"", "1,5", "1.5", "EUR 1.234,50", "1 234,5 kg", "1,234", "1.234", "1,2345", "0,125", "01.234", "12.345.678", "1.234.5678", "1234.567", "1,2,3", "x1,5y", "1,5-2,5", "1,5\n", "\xff1,5\xff", ",5", "5,",
		"0.000.000", "1.000.00", "9999.999,999", "1. 5", "1 ,5", "100.200,300.400",
	} {
		same(t, s)
	}
	rapid.Check(t, func(t *rapid.T) {
		same(t, strings.Join(rapid.SliceOf(rapid.SampledFrom([]string{"0", "1", "12", "345", "0000", ".", ",", " ", "-", "€", "\n", "\xff", "000"})).Draw(t, "pieces"), ""))
	})
}

// Boxes are found as package regexp finds them by this pattern.
func TestTicked(t *testing.T) {
	tick := regexp.MustCompile(`^(?:[-*•]\s*)?(?:\[\s*([^\]\s]?)\s*\]|([☐□☑☒✓✔■]))\s*(.*)$`)
	same := func(t require.TestingT, s string) {
		var want [3]string
		m := tick.FindStringSubmatch(s)
		if m != nil {
			want = [3]string(m[1:])
		}
		inside, mark, thing, ok := ticked(s)
		require.Equal(t, m != nil, ok, "%q", s)
		require.Equal(t, want, [3]string{inside, mark, thing}, "%q", s)
	}
	for _, s := range []string{"", "[ ] a", "- [x] b", "*[X]", "• ☑ c", "☐", "[]d", "[xy] e", "x [ ]", "[", "[x", "[x]\na", "- ", "[\xff] f", "[•]", "- - [x]"} {
		same(t, s)
	}
	rapid.Check(t, func(t *rapid.T) {
		same(t, strings.Join(rapid.SliceOf(rapid.SampledFrom([]string{"-", "*", "•", "[", "]", "x", "é", " ", "\t", "\n", "\v", "☑", "■", "\xff", "lamp"})).Draw(t, "pieces"), ""))
	})
}
