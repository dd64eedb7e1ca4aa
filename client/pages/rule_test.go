package pages

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// However long a build is and wherever its holds are, the rule shows each stage
// once, in its length, within the picture, and no words over others.
func TestRule(t *testing.T) {
	num := func(s string) float64 {
		f, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return f
	}
	rapid.Check(t, func(t *rapid.T) {
		var stages []ruleStage
		var marks []ruleMark
		at := 0.0
		for i := range rapid.IntRange(1, 30).Draw(t, "stages") {
			wide := rapid.Float64Range(0.1, 60).Draw(t, "hours")
			done := rapid.Float64Range(0, wide).Draw(t, "done")
			hand := rapid.Float64Range(done, wide).Draw(t, "in hand")
			stages = append(stages, ruleStage{id: "s" + strconv.Itoa(i), from: at, done: at + done, hand: at + hand, to: at + wide})
			if rapid.Bool().Draw(t, "held") {
				marks = append(marks, ruleMark{at + wide, "some-check", ": not taken"})
			}
			at += wide
		}
		for _, shape := range []struct{ width, legs int }{{1232, 1}, {760, 2}, {328, 3}} {
			r := drawRule("x", "says", shape.width, shape.legs, stages, marks)
			require.Len(t, r.Legs, shape.legs)
			total, first, bars := 0.0, 0, 0
			for _, leg := range r.Legs {
				for _, p := range leg.Pieces {
					x, wide := num(p.X), num(p.Width)
					require.GreaterOrEqual(t, x, 0.9)
					require.LessOrEqual(t, x+wide, float64(shape.width))
					require.LessOrEqual(t, num(p.Done)+num(p.Hand), wide+0.2) // each is rounded to a tenth
					total += wide
					if p.First {
						first++
					}
				}
				bars += strings.Count(leg.Bars, "M")
				for i, a := range leg.Texts {
					for _, b := range leg.Texts[:i] {
						if a.Y == b.Y { // 7.4 units a letter, as the draftsman reckons
							left, right := a, b
							if num(a.X) > num(b.X) {
								left, right = b, a
							}
							require.LessOrEqual(t, num(left.X)+7.4*float64(len(left.Text)), num(right.X))
						}
					}
				}
			}
			require.Equal(t, len(stages), first)
			require.Equal(t, len(marks), bars)
			require.InDelta(t, float64((shape.width-2-ruleEnd)*shape.legs), total, 0.1*float64(len(stages)+shape.legs))
		}
	})
}

func TestSome(t *testing.T) {
	require.Equal(t, "a, b and 2 more", some([]string{"a", "b", "c", "d"}, 2))
	require.Equal(t, "a, b", some([]string{"a", "b"}, 2))
}

func TestSignals(t *testing.T) {
	require.Equal(t, []signal{{"WARNING", "warning", "arc, unheard of"}, {"CAUTION", "caution", "pinch"}}, signals([]string{"arc", "pinch", "unheard of"}, false))
	require.Equal(t, []signal{{"DANGER", "danger", "shock >60 V DC"}, {"WARNING", "warning", "arc"}, {"NOTICE", "notice", "damage to parts"}},
		signals([]string{"damage to parts", "arc", "shock >60 V DC"}, true))
	require.Empty(t, signals(nil, true))
}
