package book

import "sync"

// watchers are told when the logbook grows.
type watchers struct {
	mu sync.Mutex
	of map[chan<- struct{}]bool
}

// Watch puts a value into grew, if there is room, whenever entries have been
// folded in: before whoever wrote or brought them is told.
func (b *Book) Watch(grew chan<- struct{}) (stop func()) {
	w := &b.watchers
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.of == nil {
		w.of = map[chan<- struct{}]bool{}
	}
	w.of[grew] = true
	return func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		delete(w.of, grew)
	}
}

func (w *watchers) tell() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for grew := range w.of {
		select {
		case grew <- struct{}{}:
		default:
		}
	}
}
