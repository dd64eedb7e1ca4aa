package words

import (
	"fmt"
	"strings"

	"ampwright/calc/unit"
	"ampwright/model"
)

func (c Context) work(b *model.Work) Said {
	return Said{
		Kind: "hours", Note: b.Note, Task: b.Task,
		Text: Join("; ", c.stretch(b.Minutes, b.Task, b.At), before("by ", b.Who), c.changed(b.Changes, b.Answered)),
	}
}

// clockOff says for how long the clock ran, rounded to the minute as the
// build's hours are, if the entry that started it is here.
func (c Context) clockOff(b *model.ClockOff) Said {
	s := Said{Kind: "clock off", Note: b.Note}
	what := ""
	switch on, here := c.body(b.On).(*model.ClockOn); {
	case here && b.Minutes != 0:
		s.Task, what = on.Task, "counted as "+c.stretch(b.Minutes, on.Task, on.At)
	case here:
		s.Task, what = on.Task, c.stretch(max(0, (b.At.Unix-on.At.Unix+30)/60), on.Task, on.At)
	case b.Minutes != 0:
		what = "counted as " + Hours(b.Minutes, c.Style.Mark)
	}
	s.Text = Join("; ", what, c.changed(b.Changes, b.Answered))
	return s
}

// stretch writes a stretch of work: "1.5 h on brk-01 from 2026-11-20 18:00".
func (c Context) stretch(minutes int64, key string, from model.When) string {
	return Hours(minutes, c.Style.Mark) + " on " + task(key) + before(" from ", c.moment(from))
}

func task(key string) string {
	if key == "" {
		return "no task"
	}
	return key
}

func (c Context) changed(kinds []string, answered bool) string {
	switch {
	case len(kinds) > 0:
		return "changed: " + c.Changes(kinds)
	case answered:
		return "changed nothing that matters to a reading"
	}
	return ""
}

// Changes writes kinds of change with the words of the build's plan.
func (c Context) Changes(kinds []string) string {
	titles := make([]string, len(kinds))
	for i, k := range kinds {
		titles[i] = k
		if c.Build != nil {
			titles[i] = Lower(c.Build.ChangeTitle(k))
		}
	}
	return strings.Join(titles, ", ")
}

func (c Context) reading(b *model.Reading) Said {
	value := Join(", ", c.answer(b), b.Seen, pictured(b.Photo))
	if value == "" {
		value = "no value"
	}
	return Said{
		Kind: "reading", Note: b.Note, Check: b.Check,
		Text: Join("; ", Join(": ", b.Check, value), before("typed ", b.Typed), before("with ", b.Instrument), proved(b, c.Style), before("witness ", b.Witness),
			before("limit then ", b.Limit), before("then ", b.Was)),
	}
}

// answer writes what was read with the digits it was typed with: all of a few
// points, else the least and the greatest.
func (c Context) answer(b *model.Reading) string {
	switch {
	case b.Answer == model.AnswerYes:
		return "yes"
	case b.Answer == model.AnswerNo:
		return "no"
	case b.Answer == model.AnswerPhoto && len(b.Photo) == 0:
		return model.PhotoElsewhere
	case len(b.Values) == 0:
		return ""
	}
	show := func(m int64) string {
		return unit.FormatDecimal(unit.Decimal{Mantissa: m, Exp: int8(b.Exp)}, b.Unit, c.Style)
	}
	low, high := b.Values[0], b.Values[0]
	points := make([]string, len(b.Values))
	for i, m := range b.Values {
		points[i] = show(m)
		low, high = min(low, m), max(high, m)
	}
	if len(points) <= 4 {
		return strings.Join(points, ", ")
	}
	return fmt.Sprintf("%s to %s, %d points", show(low), show(high), len(points))
}

// proved says what the tester showed on a known source before and after.
func proved(b *model.Reading, st unit.Style) string {
	if len(b.Proof) != 2 || b.ProofExp < -100 || b.ProofExp > 100 {
		return ""
	}
	show := func(m int64) string {
		return unit.FormatDecimal(unit.Decimal{Mantissa: m, Exp: int8(b.ProofExp)}, b.Unit, st)
	}
	return "on the known source " + show(b.Proof[0]) + " before, " + show(b.Proof[1]) + " after"
}

// pictured names a photo by the beginning of its hash.
func pictured(hash []byte) string {
	if len(hash) == 0 {
		return ""
	}
	return fmt.Sprintf("photo %.8x", hash)
}

func photo(b *model.Photo) Said {
	size := ""
	if b.Bytes > 0 {
		size = fmt.Sprintf("%d kB", b.Bytes/1000)
	}
	return Said{
		Kind: "photo", Note: b.Note, Task: b.Task, Check: b.Check, Also: []string{b.Part},
		Text: Join("; ", fmt.Sprintf("%.8x", b.Hash)+before(" of ", Join(", ", b.Task, b.Check, b.Part)), Join(", ", b.Type, size)),
	}
}
