package session_test

import (
	"errors"
	"testing"

	"ampwright/model"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/stretchr/testify/require"
)

// finish asks the dialling side to end in order and runs to the end.
func (p *pair) finish() {
	p.a.step(p.now, session.Finish{})
	p.run()
}

// A side that is to finish ends once both hold the same, whatever each brought.
func TestFinish(t *testing.T) {
	a, b := newDevice(t, 1), newDevice(t, 2)
	a.notes("drum brake ", 900)
	b.notes("photo ", 40)
	invited(a, b)
	p := &pair{t: t, a: a, b: b, now: start}
	for _, d := range []*device{a, b} {
		d.cfg.Dials = d == a
		var err error
		d.session, err = session.New(d.cfg)
		require.NoError(t, err)
	}
	b.step(p.now, session.Opened{})
	a.step(p.now, session.Opened{})
	p.finish() // before anything has been said
	require.Equal(t, session.End{Code: wire.CodeStopped, Text: "all is exchanged"}, ended(a))
	require.True(t, ended(b).Theirs)
	p.requireSame()
	require.Equal(t, 901, a.session.Peer().Took)
	require.Equal(t, 41, b.session.Peer().Took)
	require.Len(t, sent[*wire.Beat](p), 1)
}

// What the other side writes before it answers the last question still comes.
func TestFinishWaitsForTheOtherSide(t *testing.T) {
	a, b := known(t)
	p := dial(t, a, b)
	b.write(&model.Note{Text: "said before the question came"})
	a.step(p.now, session.Finish{})
	require.Empty(t, of[session.End](a))
	b.step(p.now, session.Grew{})
	p.run()
	require.Equal(t, "all is exchanged", ended(a).Text)
	require.Equal(t, a.log.Vector(), b.log.Vector())
	require.Len(t, sent[*wire.Beat](p), 2)
}

// Entries that nobody sealed, or that the other side cannot store, keep nobody
// from finishing.
func TestFinishWithLess(t *testing.T) {
	a, b := known(t)
	pen, err := b.log.Pen(b.name)
	require.NoError(t, err)
	raws, err := pen.Write([]model.Draft{{Body: &model.Note{Text: "not sealed"}}}, model.StampAt(start))
	require.NoError(t, err)
	b.keep(raws, nil)
	p := dial(t, a, b)
	b.fail = errors.New("no space left on device")
	a.write(&model.Note{Text: "it has no room for this"})
	a.step(p.now, session.Grew{})
	p.finish()
	require.Equal(t, "all is exchanged", ended(a).Text)
	require.Len(t, of[session.Refused](a), 1)
	require.Zero(t, a.session.Peer().Took)
	require.NotEqual(t, a.log.Vector(), b.log.Vector())
}
