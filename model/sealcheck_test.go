package model_test

import (
	"crypto/ed25519"
	"testing"

	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// A seal is checked with the key of its own chain, also where two chains begin
// under one name; without the beginning it is refused.
func TestSealCheck(t *testing.T) {
	replica := uuid.UUID{1}
	var check model.SealCheck
	var seals []model.Seal
	for n := range byte(2) {
		own := key(uuid.UUID{2, n})
		pen := model.Pen{Replica: replica}
		raws, err := pen.Write([]model.Draft{
			{Body: &model.Replica{Key: own.Public().(ed25519.PublicKey)}}, {Body: &model.Note{Text: "x"}},
		}, 1<<40)
		require.NoError(t, err)
		more, err := model.SealCommit(raws, func(m []byte) []byte { return ed25519.Sign(own, m) })
		require.NoError(t, err)
		seals = append(seals, more...)
		for _, raw := range raws {
			link, err := model.LinkOf(raw)
			require.NoError(t, err)
			check.Show(raw, link)
		}
		require.NoError(t, check.Check(more[0]))

		var half model.SealCheck
		require.ErrorContains(t, half.Check(more[0]), "want one of an entry that is there")
		link, err := model.LinkOf(raws[1])
		require.NoError(t, err)
		half.Show(raws[1], link)
		require.ErrorContains(t, half.Check(more[0]), "no first entry with a key leads to it")
	}
	require.NoError(t, check.Check(seals[0]))
	crossed := seals[0]
	crossed.Sig = seals[1].Sig
	require.ErrorContains(t, check.Check(crossed), "it was not made with the key in that replica's first entry")
	for _, other := range []model.Seal{
		{Replica: uuid.UUID{9}, Head: seals[0].Head, Sig: seals[0].Sig},
		{Replica: replica, Head: model.Head{Seq: 1, ID: seals[0].Head.ID}, Sig: seals[0].Sig},
	} {
		require.ErrorContains(t, check.Check(other), "want one of an entry that is there")
	}
}
