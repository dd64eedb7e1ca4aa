package model_test

import (
	"fmt"
	"testing"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// note writes a note on the build, and returns its name.
func (b *bench) note(text string) model.ID { return b.do("note", "text", text) }

// held returns which of the entries a logbook holds back.
func held(t *testing.T, l *model.Logbook, ids ...model.ID) []bool {
	t.Helper()
	out := make([]bool, len(ids))
	for i, id := range ids {
		line, ok := l.Line(id)
		require.True(t, ok)
		out[i] = line.Held
	}
	return out
}

// meet makes replicas hear all of each other.
func meet(benches ...*bench) {
	for _, a := range benches {
		for _, b := range benches {
			if a != b {
				a.hear(b)
			}
		}
	}
}

// A phone is lost and struck off. What it wrote up to the cut counts, what comes
// from it later is kept and shown and counts for nothing, until it is let in.
func TestStrikeOffDevice(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	before := phone.do("hours", "task", "asm-01", "hours", "1")
	meet(b, phone)
	after := phone.do("hours", "task", "asm-01", "hours", "2")
	estimate := phone.do("estimate", "task", "mot-05", "estimate", "1/2/3")
	again := phone.do("hours", "task", "asm-01", "hours", "3", "instead", before.String())
	strike := phone.do("strike", "entry", before.String(), "reason", "was on the other bike")

	b.later(time.Hour)
	was := b.build().Task("mot-05").Estimate
	shut := b.do("strike-off", "device", "phone", "reason", "lost on the train")
	require.Nil(t, finding(b.build(), model.FindingHeld))
	b.hear(phone)
	phone.hear(b)
	for _, log := range []*model.Logbook{b.log, phone.log} {
		require.Equal(t, []bool{false, true, true, true, true}, held(t, log, before, after, estimate, strike, again))
		line, _ := log.Line(before)
		require.False(t, line.Struck || line.Replaced)
		last, ok := log.Closed(phone.pen.Replica)
		require.True(t, ok)
		require.Equal(t, model.Head{Seq: 2, ID: before}, last)
		_, ok = log.Closed(b.pen.Replica)
		require.False(t, ok)
	}
	build := b.build()
	require.EqualValues(t, 60, build.Hours.Logged)
	require.Equal(t, was, build.Task("mot-05").Estimate)
	f := finding(build, model.FindingHeld)
	require.True(t, f.Open && !f.Nonconformance())
	require.Equal(t, []model.ID{after, estimate, again, strike}, f.Held)
	require.Equal(t, "4 entries of phone are held back, counting for nothing: builder struck the device off on 2026-09-01 (lost on the train)", f.Text)
	for _, d := range build.Devices {
		if d.Name == "phone" {
			require.Equal(t, 4, d.Held)
			require.Equal(t, 6, d.Entries)
			require.Equal(t, "lost on the train", d.Closed.Reason)
			require.Equal(t, uint64(2), d.Closed.Last.Seq)
		} else {
			require.Nil(t, d.Closed)
		}
	}

	in := b.do("let-in", "entries", after.String(), "reason", "it was us")
	require.EqualValues(t, 180, b.build().Hours.Logged)
	require.Len(t, finding(b.build(), model.FindingHeld).Held, 3)
	b.do("strike", "entry", in.String(), "reason", "no, it was not")
	require.EqualValues(t, 60, b.build().Hours.Logged)
	b.do("let-in", "device", "phone", "reason", "all of it was us")
	require.Nil(t, finding(b.build(), model.FindingHeld))
	require.EqualValues(t, 5*60, b.build().Hours.Logged, "1 h is struck out and replaced by 3 h")
	last, _ := b.log.Closed(phone.pen.Replica)
	require.EqualValues(t, 2, last.Seq, "to let entries in opens nothing")

	b.do("strike", "entry", shut.String(), "reason", "it was found")
	_, ok := b.log.Closed(phone.pen.Replica)
	require.False(t, ok)
}

// A closed device cannot undo its close, close others or let itself in.
func TestClosedDeviceIsPowerless(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	third := b.join(3)
	meet(b, phone, third)
	shut := b.do("strike-off", "device", "00000000-0000-0000-0000-000000000002", "reason", "lost")
	phone.hear(b)
	own := phone.note("still here")
	undo := phone.do("strike", "entry", shut.String(), "reason", "never mind")
	in := phone.write(&model.ReplicaAdmit{At: model.WhenOf(phone.now), Entries: []model.ID{own, undo}, Reason: "let me in"})
	other := phone.write(&model.ReplicaClose{At: model.WhenOf(phone.now), Replica: third.pen.Replica, Reason: "out with it"})
	instead := phone.write(&model.ReplicaClose{At: model.WhenOf(phone.now), Replica: third.pen.Replica, Reason: "out with it"}, shut)
	meet(b, phone, third)
	for _, log := range []*model.Logbook{b.log, phone.log, third.log} {
		require.Equal(t, []bool{false, true, true, true, true, true}, held(t, log, shut, own, undo, in, other, instead))
		_, ok := log.Closed(phone.pen.Replica)
		require.True(t, ok)
		_, ok = log.Closed(third.pen.Replica)
		require.False(t, ok)
		require.Equal(t, b.log.Digest(), log.Digest())
	}

	// A third device may undo the close; then what the phone wrote stands, and
	// its close of the third with it.
	third.do("strike", "entry", shut.String(), "reason", "it was found")
	b.hear(third)
	require.Equal(t, []bool{false, false, false}, held(t, b.log, own, undo, other))
	_, ok := b.log.Closed(third.pen.Replica)
	require.True(t, ok, "the phone's own close counts now")
}

// Two devices close each other before they hear of it: both are closed. A third
// decides by closing one of them below its close.
func TestMutualCloses(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	third := b.join(3)
	third.write(&model.Note{Text: "x"})
	meet(b, phone, third)
	last := model.Head{Seq: 1, ID: model.IDOf(phone.raws[0])}
	b.do("strike-off", "device", "00000000-0000-0000-0000-000000000002", "reason", "lost")
	mine := b.note("after")
	phone.do("strike-off", "device", "laptop", "reason", "taken over")
	downstream := phone.do("strike-off", "device", "00000000-0000-0000-0000-000000000003", "reason", "and this one")
	theirs := phone.note("after")
	meet(b, phone, third)
	for _, log := range []*model.Logbook{b.log, phone.log, third.log} {
		require.Equal(t, []bool{true, true, true}, held(t, log, mine, theirs, downstream))
		_, ok := log.Closed(third.pen.Replica)
		require.False(t, ok, "what a closed device wrote past its cut closes nobody")
	}
	third.do("strike-off", "device", "00000000-0000-0000-0000-000000000002", "reason", "the laptop is right", "upto", last.ID.String())
	meet(b, phone, third)
	for _, log := range []*model.Logbook{b.log, phone.log, third.log} {
		require.Equal(t, []bool{false, true, true}, held(t, log, mine, theirs, downstream))
		_, ok := log.Closed(b.pen.Replica)
		require.False(t, ok)
	}
}

// Three devices close one another in a ring: all three are closed.
func TestRingOfCloses(t *testing.T) {
	b := start(t, hub)
	two, three := b.join(2), b.join(3)
	meet(b, two, three)
	ring := []*bench{b, two, three}
	ends := []model.ID{b.pen.Head.ID, two.pen.Head.ID, three.pen.Head.ID}
	for i, d := range ring {
		next := (i + 1) % 3
		d.write(&model.ReplicaClose{At: model.WhenOf(d.now), Replica: ring[next].pen.Replica, Upto: ends[next], Reason: "lost"})
	}
	meet(ring...)
	for _, d := range ring {
		for _, o := range ring {
			_, ok := d.log.Closed(o.pen.Replica)
			require.True(t, ok)
		}
	}
}

// Two closed devices, each with a strike of the close that closed the other: both
// closes stand, and what hangs on them is decided by them.
func TestClosesThatLeanOnEachOther(t *testing.T) {
	b := start(t, hub)
	devices := []*bench{b}
	for n := byte(2); n < 6; n++ {
		devices = append(devices, b.join(n))
	}
	meet(devices...)
	shutA := b.write(&model.ReplicaClose{Replica: devices[2].pen.Replica, Upto: devices[2].pen.Head.ID})
	shutB := devices[1].write(&model.ReplicaClose{Replica: devices[3].pen.Replica, Upto: devices[3].pen.Head.ID})
	meet(devices...)
	devices[2].write(&model.Strike{Reason: "no"}, shutB)
	devices[3].write(&model.Strike{Reason: "no"}, shutA)
	devices[2].write(&model.ReplicaClose{Replica: devices[4].pen.Replica})
	meet(devices...)
	for i, closed := range []bool{false, false, true, true, false} {
		_, ok := b.log.Closed(devices[i].pen.Replica)
		require.Equal(t, closed, ok, i)
	}
}

// Of two closes the lower cut holds; a close in place of another moves the cut
// either way; a device may close itself.
func TestCuts(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	var ids []model.ID
	for i := range 6 {
		ids = append(ids, phone.note(fmt.Sprint(i)))
	}
	meet(b, phone)
	at := func() int {
		for i, h := range held(t, b.log, ids...) {
			if h {
				return i
			}
		}
		return len(ids)
	}
	b.do("strike-off", "device", "phone", "reason", "x", "upto", ids[3].String())
	require.Equal(t, 4, at())
	low := b.do("strike-off", "device", "phone", "reason", "x", "upto", ids[1].String())
	require.Equal(t, 2, at())
	_, err := b.try("strike-off", "device", "phone", "reason", "x")
	require.ErrorContains(t, err, `device "phone": was struck off by builder on 2026-09-01 already`)
	b.do("strike-off", "device", "phone", "reason", "x", "upto", ids[2].String(), "instead", low.String())
	require.Equal(t, 3, at())
	b.do("strike-off", "device", "phone", "reason", "x", "upto", "none")
	require.Equal(t, 0, at())
	require.Equal(t, "phone", b.build().Devices[1].Name, "its opening entry is held, its name is known")

	before := b.note("before")
	b.do("strike-off", "device", "laptop", "reason", "sold")
	require.Equal(t, []bool{false, true}, held(t, b.log, before, b.note("after")))
}

// A cut that has not arrived holds everything back; so does one that is in no
// chain of that replica.
func TestUnseenCut(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	one, two := phone.note("1"), phone.note("2")
	b.hear(&bench{raws: phone.raws[:2]})
	b.write(&model.ReplicaClose{At: model.WhenOf(b.now), Replica: phone.pen.Replica, Upto: two, Reason: "lost"})
	require.Equal(t, []bool{true}, held(t, b.log, one))
	b.hear(phone)
	require.Equal(t, []bool{false, false}, held(t, b.log, one, two))
	b.write(&model.ReplicaClose{At: model.WhenOf(b.now), Replica: phone.pen.Replica, Upto: model.IDOf(b.raws[0]), Reason: "lost"})
	require.Equal(t, []bool{true, true}, held(t, b.log, one, two))
}

// A copy of the phone's folder writes on beside the phone: the same on every
// device, with the number and the ends of both lines. A cut on one line holds
// the other from where they part.
func TestDuplicatedDevice(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	common := phone.note("common")
	copied := &bench{t: t, plans: b.plans, log: model.NewLogbook(), pen: phone.pen, id: b.id, now: phone.now}
	copied.hear(b)
	copied.hear(phone)
	copied.raws = nil
	a1, a2 := phone.note("a1"), phone.note("a2")
	c1 := copied.note("c1")
	b.hear(phone)
	require.Nil(t, finding(b.build(), model.FindingForked))
	b.hear(copied)
	phone.hear(copied)
	var wants model.Fork
	wants.Number = 3
	wants.Heads = []model.Head{{Seq: 3, ID: c1}, {Seq: 4, ID: a2}}
	for _, log := range []*model.Logbook{b.log, phone.log} {
		_, devices := log.Garage()
		require.Nil(t, devices[0].Fork)
		require.Equal(t, &wants, devices[1].Fork)
		require.Equal(t, wants.Heads, log.Heads()[phone.pen.Replica])
	}
	f := finding(b.build(), model.FindingForked)
	require.Equal(t, fmt.Sprintf("phone exists twice: its files were copied, or a backup put back, and both wrote on under one name; from entry no. 3 on there are 2 lines, which end in %s (no. 3) and %s (no. 4); all are kept; each copy takes a name of its own once it hears of the other", c1.Short(), a2.Short()), f.Text)

	_, err := b.try("strike-off", "device", "phone", "reason", "copied")
	require.ErrorContains(t, err, "upto is missing: the device was duplicated and its lines end in")
	b.do("strike-off", "device", "phone", "reason", "copied", "upto", a1.String())
	require.Equal(t, []bool{false, false, true, true}, held(t, b.log, common, a1, a2, c1))
	b.do("strike-off", "device", "phone", "reason", "copied", "upto", c1.String())
	require.Equal(t, []bool{false, true, true, true}, held(t, b.log, common, a1, a2, c1), "two cuts on two lines: what leads to both")
}

// Entries that come out of order make no fork of a chain.
func TestNoForkOutOfOrder(t *testing.T) {
	b := start(t, hub)
	b.note("1")
	b.note("2")
	l := model.NewLogbook()
	for i := range b.raws {
		_, err := l.Add(b.raws[len(b.raws)-1-i])
		require.NoError(t, err)
		_, devices := l.Garage()
		require.Nil(t, devices[0].Fork)
	}
}

// A replica that continues another after a restore says so.
func TestContinues(t *testing.T) {
	b := start(t, hub)
	next := &bench{t: t, plans: b.plans, log: model.NewLogbook(), pen: model.Pen{Replica: uuid.UUID{15: 7}}, id: b.id, now: b.now}
	next.hear(b)
	next.write(&model.Replica{Device: "laptop, restored", Person: "builder", Was: b.pen.Replica})
	_, devices := next.log.Garage()
	require.Equal(t, b.pen.Replica, devices[1].Was)
	require.Equal(t, uuid.Nil, devices[0].Was)
}

// A build that a device started after it was closed is not there.
func TestHeldBuild(t *testing.T) {
	b := start(t, hub)
	require.Len(t, b.log.BuildIDs(), 1)
	b.write(&model.ReplicaClose{At: model.WhenOf(b.now), Replica: b.pen.Replica, Reason: "none of it was ours"})
	require.Empty(t, b.log.BuildIDs())
	_, err := b.log.Build(b.id, b.now, nil)
	require.ErrorIs(t, err, model.ErrNoBuild)
}
