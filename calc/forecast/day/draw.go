package day

// draw throws the dice of one trial of so many.
func (p *play) draw(seed uint64, trial, trials int) {
	p.key = key(seed, trial)
	share := even(trial, 2)
	p.level = int64(float64(65536*p.exponential(float64(p.weeks.spread*p.normal[int(share*steps)]))) + 0.5)
	sum := 0.0
	for i := range p.tasks {
		t := &p.tasks[i]
		d := mix(p.key ^ t.draw)
		again := t.again(d >> 32)
		p.raw[i] = 0
		if t.share > 0 {
			raw := float64(t.share * p.exponential(float64(t.spread*p.normal[d%steps])))
			p.raw[i] = float64(raw * (1 + float64(again)/2))
			sum += p.raw[i]
		}
		p.wait[i] = whole(float64(t.waits(p.normal[d>>10%steps])*float64(1+again)), 2*never)
	}
	perShare := 0.0
	if sum > 0 {
		perShare = quantile(p.hours, (float64(trial)+0.5)/float64(trials)) / sum
	}
	for i, raw := range p.raw {
		p.minutes[i] = 0
		if raw > 0 {
			p.minutes[i] = max(whole(float64(raw*perShare), never), 1)
		}
	}
	for k := range p.parts {
		p.arrive[k] = p.arrival(&p.parts[k], mix(p.key^p.parts[k].draw)) * 1440
	}
}

// again returns how many times the hold point of a task stays shut.
func (t *node) again(draw uint64) int32 {
	n := int32(0)
	for chance := t.retest; n < 3 && draw < chance; chance = chance * t.retest >> 32 {
		n++
	}
	return n
}

// waits returns the minutes of the unattended wait at a normal deviate.
func (t *node) waits(z float64) float64 {
	low, likely, high := t.wait[0], t.wait[1], t.wait[2]
	if z > 0 {
		return likely + float64(z/tenth*(high-likely))
	}
	return max(likely+float64(z/tenth*(likely-low)), low/2)
}

// whole rounds minutes, and cuts off what is more than most.
func whole(minutes float64, most int32) int32 { return int32(min(minutes, float64(most)) + 0.5) }
