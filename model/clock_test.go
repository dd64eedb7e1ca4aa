package model_test

import (
	"testing"
	"time"

	"ampwright/model"

	"github.com/stretchr/testify/require"
)

// A phone's clock is two hours fast. What it writes is kept and counts; it is
// flagged by this device's clock, and by the offset once the two have met. After
// its clock was put right nothing more is flagged.
func TestFastClock(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	phone.now = b.now.Add(2 * time.Hour)
	fast := phone.do("hours", "task", "asm-01", "hours", "1")
	b.hear(phone)
	require.EqualValues(t, 60, b.build().Hours.Logged)
	f := finding(b.build(), model.FindingClock)
	require.True(t, f.Open && !f.Nonconformance())
	require.Equal(t, "phone wrote 1 of its entries later than now by this clock, up to 2026-09-01 10:00: one of the two clocks is wrong", f.Text)
	line, _ := b.log.Line(fast)
	require.Zero(t, line.Clock)

	b.later(time.Minute)
	b.write(&model.Meet{At: model.WhenOf(b.now), With: phone.pen.Replica, Offset: (2 * time.Hour).Milliseconds()})
	line, _ = b.log.Line(fast)
	require.Equal(t, 2*time.Hour, line.Clock)
	f = finding(b.build(), model.FindingClock)
	require.Equal(t, "the clock of phone was 2 h 00 min ahead of the other's when they met on 2026-09-01: what it wrote is dated by it", f.Text)

	b.later(24 * time.Hour)
	phone.now = b.now
	right := phone.note("clock put right")
	b.hear(phone)
	b.later(time.Minute)
	b.write(&model.Meet{At: model.WhenOf(b.now), With: phone.pen.Replica, Offset: 900})
	line, _ = b.log.Line(right)
	require.Equal(t, 900*time.Millisecond, line.Clock)
	line, _ = b.log.Line(fast)
	require.Equal(t, 2*time.Hour, line.Clock, "measured by the meeting it came with")
	require.Nil(t, finding(b.build(), model.FindingClock))

	// An entry stamped a year ahead is taken as any other, and pulls no clock along.
	phone.now = b.now.AddDate(1, 0, 0)
	phone.do("hours", "task", "asm-01", "hours", "2")
	b.hear(phone)
	require.EqualValues(t, 180, b.build().Hours.Logged)
	line, _ = b.log.Line(b.note("x"))
	require.Equal(t, b.now.Add(model.MaxLead), line.Stamp.Time())
	require.NotNil(t, finding(b.build(), model.FindingClock))
}

// A clock that runs behind is said to.
func TestSlowClock(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	phone.note("x")
	b.hear(phone)
	b.write(&model.Meet{At: model.WhenOf(b.now), With: phone.pen.Replica, Offset: -(7 * time.Minute).Milliseconds()})
	require.Contains(t, finding(b.build(), model.FindingClock).Text, "was 7 min 00 s behind the other's")
	b.write(&model.Meet{At: model.WhenOf(b.now.Add(time.Minute)), With: phone.pen.Replica, Offset: -(5 * time.Minute).Milliseconds()})
	require.Nil(t, finding(b.build(), model.FindingClock), "five minutes are let pass")
}
