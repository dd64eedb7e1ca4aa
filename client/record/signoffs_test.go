package record_test

import (
	"crypto/ed25519"
	"testing"
	"time"

	"ampwright/client/record"
	"ampwright/model"
	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// The record says whose key a sign-off was signed with, and that it no longer holds
// once what it was signed on has changed.
func TestSignOffs(t *testing.T) {
	seed := make([]byte, ed25519.SeedSize)
	secret := ed25519.NewKeyFromSeed(seed)
	key := &model.SignOffKey{Alg: model.EdDSA, Key: secret.Public().(ed25519.PublicKey), Sign: func(m []byte) ([]byte, error) { return ed25519.Sign(secret, m), nil }}
	now := time.Date(2026, 11, 20, 19, 0, 0, 0, time.UTC)
	id := uuid.UUID{0: 9}
	l, pen := model.NewLogbook(), model.Pen{Replica: uuid.UUID{15: 1}}
	store := func(drafts []model.Draft, err error) [][]byte {
		require.NoError(t, err)
		raws, err := pen.Write(drafts, model.StampAt(now))
		require.NoError(t, err)
		for _, raw := range raws {
			_, err := l.Add(raw)
			require.NoError(t, err)
		}
		now = now.Add(time.Minute)
		return raws
	}
	do := func(name string, pairs ...string) [][]byte {
		w := model.Wish{Name: name, Values: map[string][]string{}}
		for i := 0; i < len(pairs); i += 2 {
			w.Values[pairs[i]] = []string{pairs[i+1]}
		}
		var b *model.Build
		if name != "start" {
			var err error
			b, err = l.Build(id, now, plan.Builtin)
			require.NoError(t, err)
		}
		return store(l.Write(b, w, model.Desk{Now: now, Person: "Robin", Owner: "Robin", Plans: plan.Builtin, NewID: func() uuid.UUID { return id }}))
	}
	signs := func() *record.Table {
		b, err := l.Build(id, now, plan.Builtin)
		require.NoError(t, err)
		r, err := record.Make(b, l, record.Config{})
		require.NoError(t, err)
		s := section(r, "sign-offs")
		if s == nil {
			return nil
		}
		return s.Table
	}
	store([]model.Draft{{Body: &model.Replica{Device: "phone", Person: "Robin"}}}, nil)
	do("start", "plan", "kart-chain", "title", "kart", "currency", "EUR")
	require.Nil(t, signs(), "no section without a sign-off")
	do("read", "check", "pedal-returns", "value", "yes")
	raws := do("release", "point", "pedal-returns")
	require.Equal(t, record.Cell{Small: "by no key of its own"}, signs().Rows[0].Cells[2])

	raws = do("release", "point", "pedal-returns")
	store(key.Signed(raws, "Robin", model.WhenOf(now)))
	row := signs().Rows[0]
	require.Len(t, signs().Rows, 1, "of releases of one point the last")
	require.Equal(t, "on phone of Robin", row.Cells[2].Text)
	require.Regexp(t, `^key ([0-9a-f]{4} ){3}[0-9a-f]{4}$`, row.Cells[2].Small)
	require.Equal(t, "HOLDS", row.Cells[3].Mark)
	require.Len(t, row.On, 2, "it rests on the release and on its signature")

	do("read", "check", "pedal-returns", "value", "yes")
	require.Equal(t, "NO LONGER", signs().Rows[0].Cells[3].Mark)
	require.Contains(t, signs().Rows[0].Cells[3].Small, "taken again since")
}
