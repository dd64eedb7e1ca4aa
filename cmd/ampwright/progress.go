package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"time"

	"ampwright/sync/keep"
	"ampwright/sync/link"
	"ampwright/sync/session"
)

// Progress shows on exchanges that take a while.
const (
	quietTime = time.Second // without a word
	betweens  = 250 * time.Millisecond
)

// A progress says how far an exchange is: with a bar on a terminal, else in lines
// of JSON.
type progress struct {
	p       *program
	refused int

	mu    sync.Mutex
	at    session.Progress
	come  int // photos
	left  int // photos that are asked for
	shown bool
}

type progressJSON struct {
	In   int `json:"in"`   // entries that have come
	Want int `json:"want"` // of so many
	Out  int `json:"out"`  // entries that have gone

	Photos     int `json:"photos"`     // photos that have come
	PhotosLeft int `json:"photosLeft"` // that are still asked for
}

func (p *program) newProgress() *progress { return &progress{p: p} }

// tell is the link's Tell.
func (b *progress) tell(e session.Effect) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if at, ok := e.(session.Progress); ok {
		b.at = at
		return
	}
	if text := linkNotice(e); text != "" {
		b.clear()
		b.p.talk("note: %s", text)
	}
	if _, ok := e.(session.Refused); ok {
		b.refused++
	}
}

// came is the link's Came.
func (b *progress) came(_ keep.BlobID, left int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.come, b.left = b.come+1, left
}

// follow shows how far the link is until stop is called.
func (b *progress) follow(l *link.Link) (stop func()) {
	over, gone := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(gone)
		for wait := quietTime; ; wait = betweens {
			select {
			case <-time.After(wait):
				b.show(l.Peer().Took)
			case <-over:
				b.mu.Lock()
				defer b.mu.Unlock()
				b.clear()
				return
			}
		}
	}()
	return func() { close(over); <-gone }
}

func (b *progress) show(out int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if !terminal(b.p.err) || b.p.json {
		if line, err := json.Marshal(progressJSON{b.at.Got, b.at.Want, out, b.come, b.left}); err == nil { // made of numbers
			fmt.Fprintf(b.p.err, "%s\n", line)
		}
		return
	}
	const width = 30
	done := 0
	if b.at.Want > 0 {
		done = width * b.at.Got / b.at.Want
	}
	photos := ""
	if b.come+b.left > 0 {
		photos = fmt.Sprintf(", photos %d of %d", b.come, b.come+b.left)
	}
	fmt.Fprintf(b.p.err, "\r[%s%s] %d of %d in, %d out%s ", strings.Repeat("#", done), strings.Repeat(".", width-done), b.at.Got, b.at.Want, out, photos)
	b.shown = true
}

// clear takes the bar away.
func (b *progress) clear() {
	if b.shown {
		fmt.Fprintf(b.p.err, "\r%s\r", strings.Repeat(" ", 78))
		b.shown = false
	}
}
