package session_test

import (
	"fmt"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// A dream is a logbook whose keeper believes that it holds more than it does.
type dream struct {
	*model.Logbook
	of   uuid.UUID
	head model.Head
}

func (d dream) Vector() model.Vector {
	v := d.Logbook.Vector()
	v[d.of] = []model.Head{d.head}
	return v
}

func (d dream) Missing(have model.Vector, max int) ([]model.Portion, bool) {
	have[d.of] = d.Logbook.Vector()[d.of]
	return d.Logbook.Missing(have, max)
}

// dreaming returns two devices that know each other; b believes to hold all that a
// wrote, and holds only a's first entry.
func dreaming(t *testing.T) (a, b *device) {
	a, b = known(t)
	a.notes("x", 5)
	said := a.log.Vector()[a.name][0]
	b.recalls = func(l *model.Logbook) session.Log { return dream{l, a.name, said} }
	return a, b
}

// A device that says it holds what it lacks is asked again after growing waits;
// then the link ends and says why, with other chains at rest meanwhile.
func TestFalseMemory(t *testing.T) {
	a, b := dreaming(t)
	p := dial(t, a, b)
	a.write(&model.Note{Text: "y"})
	var at []time.Duration
	p.log = func(from *device, frame []byte) {
		if m, err := wire.Decode(frame); err == nil && from == a {
			if _, ok := m.(*wire.Entries); ok {
				at = append(at, p.now.Sub(start))
			}
		}
	}
	p.grew(a)
	p.pass(20 * time.Second)
	b.notes("z", 3)
	p.grew(b)
	require.Len(t, of[session.Append](a), 1, "b's chain goes on")
	p.pass(10 * time.Minute)
	s := time.Second
	require.Equal(t, []time.Duration{0, 0, 1 * s, 3 * s, 7 * s, 15 * s, 31 * s}, at)
	require.Equal(t, session.End{
		Code: wire.CodeProtocol, Retry: 10 * time.Minute,
		Text: fmt.Sprintf("the other side said 7 times that it holds replica %s up to entry 6, and lacked that entry whenever the next one came: its copy of the logbook is damaged", a.name),
	}, ended(a))
	require.Equal(t, 10*time.Minute, ended(b).Retry)
	require.Less(t, len(p.sent), 60)
}

// An exchange that is to end when all is exchanged ends so too.
func TestFalseMemoryFinish(t *testing.T) {
	a, b := dreaming(t)
	a.write(&model.Note{Text: "y"})
	p := dial(t, a, b)
	p.finish()
	p.pass(time.Minute)
	require.Contains(t, ended(a).Text, "its copy of the logbook is damaged")
}

// A memory that comes back, and one that is wrong now and then while the chain
// goes on, cost waits and nothing else.
func TestMemoryComesBack(t *testing.T) {
	a, b := dreaming(t)
	p := dial(t, a, b)
	for range 5 {
		a.write(&model.Note{Text: "y"})
		said := a.log.Vector()[a.name][0]
		b.recalls = func(l *model.Logbook) session.Log { return dream{l, a.name, said} }
		a.write(&model.Note{Text: "z"})
		p.pass(35 * time.Second) // b says what it believes to have
		require.NotEqual(t, a.log.Vector(), b.log.Vector())
		b.recalls = nil
		p.pass(40 * time.Second)
		p.requireSame()
	}
	require.Greater(t, len(of[session.Refused](a)), 5*3)
	require.Empty(t, of[session.End](a))
}

// A side that sends what follows nothing is not answered for ever.
func TestStray(t *testing.T) {
	a, b := known(t)
	a.notes("x", 5)
	p := dial(t, a, b)
	last, _ := a.log.Missing(model.Vector{b.name: b.log.Vector()[b.name], a.name: a.log.Ladder(a.name)[4:5]}, wire.MaxRaw)
	require.EqualValues(t, 5, last[0].From.Seq)
	b.log = newDevice(t, 2).log
	for n := uint64(2); len(of[session.End](b)) == 0; n++ {
		frame, err := wire.Encode(&wire.Entries{Batch: n, Portions: last})
		require.NoError(t, err)
		b.step(p.now, session.Frame{Bytes: frame})
		require.LessOrEqual(t, n, uint64(100))
	}
	require.Equal(t, session.End{Code: wire.CodeProtocol, Text: "64 batches in a row hold entries that follow none here", Retry: 10 * time.Minute}, ended(b))
}
