package session_test

import (
	"crypto/ed25519"
	"testing"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/sync/session"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// BenchmarkFill brings 100,000 entries to a fresh replica that folds them in and
// stores nothing: both sides one after the other on one core.
func BenchmarkFill(b *testing.B) {
	keys := map[uuid.UUID]ed25519.PrivateKey{}
	log := model.NewLogbook()
	heads := map[uuid.UUID]*model.Pen{}
	for _, raw := range modeltest.Garage(100_000, 1) {
		e, err := model.Decode(raw)
		require.NoError(b, err)
		pen := heads[e.Replica]
		if pen == nil {
			pub, key, err := ed25519.GenerateKey(nil)
			require.NoError(b, err)
			pen = &model.Pen{Replica: e.Replica}
			keys[e.Replica], heads[e.Replica] = key, pen
			e.Body = &model.Replica{Key: pub}
		}
		raws, err := pen.Write([]model.Draft{{Build: e.Build, Author: e.Author, Body: e.Body}}, e.Stamp)
		require.NoError(b, err)
		_, err = log.Add(raws[0])
		require.NoError(b, err)
		if pen.Head.Seq%100 == 1 || log.Len() > 99_900 {
			seals, err := model.SealCommit(raws, func(m []byte) []byte { return ed25519.Sign(keys[e.Replica], m) })
			require.NoError(b, err)
			require.NoError(b, log.AddSeal(seals[0]))
		}
	}
	for b.Loop() {
		bytes := 0
		full, fresh := newBare(b, log, true), newBare(b, model.NewLogbook(), false)
		full.step(session.Opened{})
		fresh.step(session.Opened{})
		for len(full.out)+len(fresh.out) > 0 {
			for _, d := range [][2]*bare{{full, fresh}, {fresh, full}} {
				for _, f := range d[0].out {
					bytes += len(f)
					d[1].step(session.Frame{Bytes: f})
				}
				d[0].out = nil
			}
		}
		if fresh.log.Len() != log.Len() {
			b.Fatalf("%d entries came, want %d", fresh.log.Len(), log.Len())
		}
		b.ReportMetric(float64(bytes)/100_000, "B/entry")
	}
	b.ReportMetric(100_000*float64(b.N)/b.Elapsed().Seconds(), "entries/s")
}

// A bare device does no more than fold.
type bare struct {
	b       *testing.B
	log     *model.Logbook
	session *session.Session
	out     [][]byte
}

func newBare(b *testing.B, log *model.Logbook, dials bool) *bare {
	pub, key, err := ed25519.GenerateKey(nil)
	require.NoError(b, err)
	cfg := session.Config{
		Replica: uuid.New(), Key: pub, Sign: func(m []byte) []byte { return ed25519.Sign(key, m) },
		Nonce: [32]byte{pub[0], pub[1], 1}, Dials: dials, Secret: secret,
	}
	s, err := session.New(cfg)
	require.NoError(b, err)
	return &bare{b: b, log: log, session: s}
}

func (d *bare) step(ev session.Event) {
	for _, e := range d.session.Step(start, d.log, ev) {
		switch e := e.(type) {
		case session.Send:
			d.out = append(d.out, e.Frame)
		case session.Append:
			for _, raw := range e.Raws {
				if _, err := d.log.Add(raw); err != nil {
					d.b.Fatal(err)
				}
			}
			for _, s := range e.Seals {
				if err := d.log.AddSeal(s); err != nil {
					d.b.Fatal(err)
				}
			}
			d.step(session.Kept{Batch: e.Batch})
		}
	}
}
