package book

import (
	"slices"
	"sync"

	"ampwright/model"
	"ampwright/sync/keep"
)

// A queue holds what links have brought and nobody has stored yet. While one lot
// is on its way to the disk the next gathers: links share a transaction.
type queue struct {
	mu      sync.Mutex
	waiting []delivery
	storing bool // somebody empties the queue
}

type delivery struct {
	raws  [][]byte
	links []model.Link
	seals []model.Seal
	done  func(error)
}

// Queue stores entries and seals as [Book.Add] does, later, in the order of the
// calls, and calls done then: with nil once they are durable and folded in. done
// must not call the Book.
func (b *Book) Queue(raws [][]byte, seals []model.Seal, done func(error)) {
	links, err := keep.Links(raws) // here, so that it costs those nothing who store
	if err != nil {
		done(err)
		return
	}
	q := &b.queue
	q.mu.Lock()
	defer q.mu.Unlock()
	q.waiting = append(q.waiting, delivery{raws, links, seals, done})
	if !q.storing {
		q.storing = true
		go b.empty()
	}
}

// empty stores what waits until nothing does.
func (b *Book) empty() {
	for {
		q := &b.queue
		q.mu.Lock()
		lot := q.waiting
		q.waiting = nil
		q.storing = len(lot) > 0
		q.mu.Unlock()
		if len(lot) == 0 {
			return
		}
		b.deliver(lot)
	}
}

// deliver stores a lot in one transaction. If that fails each delivery is tried
// alone: one may be bad and the others good.
func (b *Book) deliver(lot []delivery) {
	b.writing.Lock()
	defer b.writing.Unlock()
	all := lot[0]
	for _, d := range lot[1:] {
		all.raws = slices.Concat(all.raws, d.raws)
		all.links = slices.Concat(all.links, d.links)
		all.seals = slices.Concat(all.seals, d.seals)
	}
	_, err := b.add(all.raws, all.links, all.seals)
	for _, d := range lot {
		if err != nil && len(lot) > 1 {
			_, alone := b.add(d.raws, d.links, d.seals)
			d.done(alone)
			continue
		}
		d.done(err)
	}
}
