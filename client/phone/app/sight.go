package app

import (
	"context"
	"time"
)

// outOfSight is how long a tab keeps the link when nobody looks at it: long enough
// to look something up and come back. A link is made anew at every look anyway.
const outOfSight = 5 * time.Second

// Sight notes whether somebody looks at this tab.
func (l *Link) Sight(seen bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.unseen == seen {
		l.unseen = !seen
		close(l.turned)
		l.turned = make(chan struct{})
	}
}

// sight returns whether somebody looks, and what is closed when that changes.
func (l *Link) sight() (seen bool, turned <-chan struct{}) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return !l.unseen, l.turned
}

// Lead runs the link, until ctx is done, whenever somebody looks at this tab and it
// is this tab's turn, which lead waits for. A tab that is out of sight for a while
// gives the turn back: a browser stops such tabs as it pleases, and another may be
// in sight.
func (l *Link) Lead(ctx context.Context, lead func() (release func(), err error)) error {
	for ctx.Err() == nil {
		if seen, turned := l.sight(); !seen {
			select {
			case <-turned:
			case <-ctx.Done():
			}
			continue
		}
		release, err := lead()
		if err != nil {
			return err
		}
		if seen, _ := l.sight(); seen {
			err = l.runInSight(ctx)
		}
		release()
		if err != nil {
			return err
		}
	}
	return nil
}

// runInSight runs the link until nobody has looked for a while.
func (l *Link) runInSight(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	go func() {
		for ctx.Err() == nil {
			seen, turned := l.sight()
			var late <-chan time.Time
			if !seen {
				late = l.cfg.After(outOfSight)
			}
			select {
			case <-turned:
			case <-late:
				stop()
				l.drop()
			case <-ctx.Done():
			}
		}
	}()
	err := l.Run(ctx)
	l.change(func() {
		l.running = false
		if l.unseen {
			l.standing.Linked, l.standing.Since, l.standing.Again = false, l.cfg.Now(), 0
			l.standing.Why = "this page was out of sight and let the link go; it is made again when somebody looks"
		}
	})
	return err
}
