package model

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
)

// A rowBook says which entry stands for each line of a sheet. Two devices may
// bring in one sheet before they meet; a line is counted once all the same.
//
// Of the entries of one kind with the same key, those that are struck out are
// passed over. The oldest by stamp stands, but what was written in its place
// goes before what was not. Entries that say something else than the one that
// stands, and than what it replaced, are a finding.
type rowBook struct {
	here  map[ID]bool // keys of lines that are in the build
	again map[ID][]ID // standing entry -> the others
	of    map[ID]ID   // the other way round
	apart [][2]ID     // standing entry, and one that says something else
}

// standing returns the entry that is counted for this one: mostly itself.
func (r *rowBook) standing(id ID) ID {
	if of, ok := r.of[id]; ok {
		return of
	}
	return id
}

// oneOfEachRow leaves in the ledger one entry for each line of a sheet.
func (l *Logbook) oneOfEachRow(g *ledger) {
	g.rows = rowBook{here: map[ID]bool{}, again: map[ID][]ID{}, of: map[ID]ID{}}
	past := map[kind]map[ID][]uint32{} // replaced entries by their lines
	for _, n := range g.replaced {
		it := &l.items[n]
		e, err := decode(it.raw, it.id)
		if err != nil {
			continue
		}
		if key := rowOf(e.Body); key != nil && *key != (ID{}) {
			if past[it.kind] == nil {
				past[it.kind] = map[ID][]uint32{}
			}
			past[it.kind][*key] = append(past[it.kind][*key], n)
			g.rows.here[*key] = true
		}
	}
	oneOfEach(l, &g.rows, past[kindWork], &g.work, func(b *Work) ID { return b.Row })
	oneOfEach(l, &g.rows, past[kindReading], &g.readings, func(b *Reading) ID { return b.Row })
	oneOfEach(l, &g.rows, past[kindPurchase], &g.purchases, func(b *Purchase) ID { return b.Row })
	oneOfEach(l, &g.rows, past[kindOrder], &g.orders, func(b *Order) ID { return b.Row })
	oneOfEach(l, &g.rows, past[kindArrival], &g.arrivals, func(b *Arrival) ID { return b.Row })
	oneOfEach(l, &g.rows, past[kindSale], &g.sales, func(b *Sale) ID { return b.Row })
	oneOfEach(l, &g.rows, past[kindRefund], &g.refunds, func(b *Refund) ID { return b.Row })
	oneOfEach(l, &g.rows, past[kindNote], &g.notes, func(b *Note) ID { return b.Row })
	for _, others := range g.rows.again { // the same on every replica
		slices.SortFunc(others, func(x, y ID) int { return bytes.Compare(x[:], y[:]) })
	}
	slices.SortFunc(g.rows.apart, func(x, y [2]ID) int {
		return cmp.Or(bytes.Compare(x[0][:], y[0][:]), bytes.Compare(x[1][:], y[1][:]))
	})
}

func oneOfEach[T any](l *Logbook, rows *rowBook, past map[ID][]uint32, list *[]got[T], row func(*T) ID) {
	best := map[ID]uint32{}
	count := 0
	for i := range *list {
		key := row(&(*list)[i].body)
		if key == (ID{}) {
			continue
		}
		count++
		n := (*list)[i].n
		if first, ok := best[key]; !ok || l.goesBefore(n, first, past[key]) {
			best[key] = n
		}
		rows.here[key] = true
	}
	if count == len(best) && len(past) == 0 {
		return
	}
	kept := (*list)[:0]
	for i := range *list {
		one := &(*list)[i]
		key := row(&one.body)
		stands := best[key]
		if key != (ID{}) && len(past[key]) > 0 && !l.corrects(stands, past[key]) {
			continue // what was written in its place is no line of a sheet
		}
		if key == (ID{}) || one.n == stands {
			kept = append(kept, *one)
			continue
		}
		leader, other := l.items[stands].id, l.items[one.n].id
		rows.again[leader] = append(rows.again[leader], other)
		rows.of[other] = leader
		said := append([]uint32{stands}, past[key]...)
		if !l.saidBy(one.n, said) {
			rows.apart = append(rows.apart, [2]ID{leader, other})
		}
	}
	*list = kept
	for key, old := range past { // who names what was replaced means what stands now
		if stands, ok := best[key]; ok {
			for _, n := range old {
				rows.of[l.items[n].id] = l.items[stands].id
			}
		}
	}
}

// goesBefore reports whether entry a stands rather than b.
func (l *Logbook) goesBefore(a, b uint32, past []uint32) bool {
	if x, y := l.corrects(a, past), l.corrects(b, past); x != y {
		return x
	}
	return l.compare(a, b) < 0
}

// corrects reports whether entry n was written in the place of one of past.
func (l *Logbook) corrects(n uint32, past []uint32) bool {
	for _, p := range past {
		for _, m := range l.namers[p] {
			if m == n {
				return true
			}
		}
	}
	return false
}

// saidBy reports whether one of others says what entry n says. What an arrival
// brings is another order on every device.
func (l *Logbook) saidBy(n uint32, others []uint32) bool {
	it := &l.items[n]
	for _, o := range others {
		if it.kind == kindArrival || l.items[o].raw[l.items[o].body:] == it.raw[it.body:] {
			return true
		}
	}
	return false
}

// findRows raises lines of sheets that two devices took differently.
func (b *Build) findRows() {
	for _, pair := range b.rows.apart {
		one, _ := b.log.Line(pair[0])
		two, _ := b.log.Line(pair[1])
		text := fmt.Sprintf("one line of a sheet was taken for two things: entry %s on %s stands, %s on %s does not; strike out the wrong one",
			pair[0].Short(), b.deviceOf(pair[0]), pair[1].Short(), b.deviceOf(pair[1]))
		key := "row:" + pair[0].String() + "/" + pair[1].String()
		f := &Finding{Key: key, Kind: FindingRow, At: one.Moment, Open: true, Text: text}
		if bytes.Compare(pair[0][:], pair[1][:]) > 0 {
			f.Key = "row:" + pair[1].String() + "/" + pair[0].String()
		}
		if two.Moment.Unix > f.At.Unix {
			f.At = two.Moment
		}
		b.raise(f)
	}
}

func (b *Build) deviceOf(id ID) string {
	f, _ := b.FactOf(id)
	return f.Device
}
