package spend

// What is believed of parts that no list knew, before a build shows its own:
// common practice, no published source.
const (
	unlistedShare  = 0.15 // they come to 15 % of the list over the whole build,
	unlistedBuilds = 0.5  // which holds as strongly as half a build of its own does,
	unlistedSpread = 0.8  // and may be off by this share of itself (standard deviation)
	unlistedPiece  = 0.03 // one such part costs some three hundredths of the list
)

// unthought is what parts will cost that nobody has thought of yet, where by the
// ranges the list has so much to buy and so much bought. They turn up evenly
// over the build; none do once all hours are worked and the list is bought.
func (p Purse) unthought(toBuy, bought float64, b *Basis) sum {
	list := toBuy + bought
	b.Left = 1 - p.Along
	if list > 0 {
		b.Left = max(b.Left, toBuy/list)
	}
	done, unlisted := 1-b.Left, float64(p.Unlisted)
	whole := (float64(unlistedBuilds*unlistedShare*list) + unlisted) / (unlistedBuilds + done)
	if list > 0 {
		b.Unlisted = whole / list
	}
	mean := float64(whole * b.Left)
	if mean == 0 {
		return sum{}
	}
	spread, piece := float64(mean*unlistedSpread), float64(mean*unlistedPiece)
	variance := float64(float64(spread*spread)*(unlistedBuilds/(unlistedBuilds+done))) + float64(piece*(list+unlisted))
	// The third moment is that of a gamma distribution: skew twice the spread
	// over the mean.
	return sum{mean, variance, float64(2*variance) * (variance / mean)}
}
