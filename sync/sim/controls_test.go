package sim_test

import (
	"testing"

	"ampwright/model"
	"ampwright/sync/session"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// Each rule of replication is there for a reason: a world that breaks it is
// caught within some hundred seeds.
func TestControls(t *testing.T) {
	for _, s := range []sabotage{
		{name: "number-only vectors", log: numbersOnly},
		{name: "acknowledged before stored", ackEarly: true},
		{name: "last writer wins", line: lastWriterWins},
		{name: "unknown kinds dropped", dropUnknown: true},
		{name: "remembered cursors", remember: true, log: rememberedCursors},
		{name: "photos asked for when they are looked at, not before", lazy: true},
	} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			const most = 300
			seeds, caught := 0, 0
			for seed := uint64(1); seed <= most && caught < 3; seed++ {
				seeds++
				if _, err := run(seed, 500, s); err != nil {
					if caught++; caught == 1 {
						t.Logf("seed %d: %v", seed, err)
					}
				}
			}
			t.Logf("caught in %d of %d seeds", caught, seeds)
			require.Positive(t, caught, "not caught in %d seeds", seeds)
		})
	}
}

// A numberLog takes the number of a head for its name.
type numberLog struct {
	session.Log
	w *world
	d *device
}

func numbersOnly(w *world, e *end, l session.Log) session.Log { return numberLog{l, w, e.dev} }

// at returns an entry of d with this number, or the zero ID.
func (n numberLog) at(replica uuid.UUID, seq uint64) model.ID {
	for _, l := range n.d.disk.order {
		if l.Replica == replica && l.Seq == seq {
			return l.ID
		}
	}
	return model.ID{}
}

func (n numberLog) Has(id model.ID) bool {
	r := n.w.written[id]
	return r != nil && n.at(r.Replica, r.Seq) != model.ID{} || n.Log.Has(id)
}

func (n numberLog) Missing(have model.Vector, max int) ([]model.Portion, bool) {
	own := model.Vector{}
	for replica, heads := range have {
		for _, h := range heads {
			if id := n.at(replica, h.Seq); id != (model.ID{}) {
				h.ID = id
			}
			own[replica] = append(own[replica], h)
		}
	}
	return n.Log.Missing(own, max)
}

// lastWriterWins reports of each field the latest writing alone.
func lastWriterWins(w *world, d *device, id model.ID) (model.Line, bool) {
	ln, ok := d.fold.Line(id)
	if s, set := ln.Body.(*model.Set); ok && set {
		for _, r := range w.fields[fieldOf(ln.Build, s)] {
			if o, ok := d.fold.Line(r.ID); ok && o.Stamp > ln.Stamp && !o.Struck && !o.Held {
				ln.Replaced = true
			}
		}
	}
	return ln, ok
}

// A cursorLog sends from where the peer once was.
type cursorLog struct {
	session.Log
	e *end
}

func rememberedCursors(w *world, e *end, l session.Log) session.Log { return cursorLog{l, e} }

func (c cursorLog) Missing(have model.Vector, max int) ([]model.Portion, bool) {
	return c.Log.Missing(join(have, c.e.dev.cursors[c.e.peer.dev.n]), max)
}
