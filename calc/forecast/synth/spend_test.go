package synth

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// All that a build pays and gets is in its purse at the end, and of every part
// and sale the logbook knows at any time either the range or what came of it.
func TestSpendAt(t *testing.T) {
	for number := range uint64(200) {
		s := PlaySpend(number/3, number)
		require.Equal(t, s, PlaySpend(number/3, number))
		p, net := s.At(1)
		require.Equal(t, net, p.Paid-p.Refunded-p.Sales+p.Fees)
		require.Empty(t, p.ToBuy)
		require.Empty(t, p.ToSell)
		require.Zero(t, p.Committed)
		before := p.Paid
		for _, share := range []float64{0.7, 0.3, 0} {
			p, same := s.At(share)
			require.Equal(t, net, same)
			require.Len(t, s.Bought, len(p.ToBuy)+len(p.Bought))
			require.Len(t, s.Sales, len(p.ToSell)+len(p.Sold))
			require.LessOrEqual(t, p.Paid, before)
			require.LessOrEqual(t, p.Unlisted, p.Paid)
			before = p.Paid
			for _, i := range append(p.ToBuy, p.ToSell...) {
				require.True(t, 0 <= i.Low && i.Low <= i.High, i.Name)
			}
		}
	}
}
