package book

import (
	"ampwright/model"
	"ampwright/sync/keep"
)

// Follow folds in what others have written to the same store, under this name
// too, and returns how many entries were new. It stores nothing: tabs of a browser
// share a store, and each has a Book. Whoever writes must have followed all
// that was written before.
func (b *Book) Follow(raws [][]byte, seals ...model.Seal) (int, error) {
	links, err := keep.Links(raws)
	if err != nil {
		return 0, err
	}
	b.writing.Lock()
	defer b.writing.Unlock()
	added, err := b.take(raws, links, seals)
	if err != nil {
		return added, err
	}
	b.Read(func(l *model.Logbook) {
		pen, err := l.Pen(b.cfg.Replica)
		if err != nil {
			b.forked = err
			return
		}
		b.pen = pen
	})
	return added, nil
}
