package link_test

import (
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"ampwright/model"
	"ampwright/sync/peers"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// What the other side holds is told as it comes to hold it, and the time goes on
// while it is there; then a logbook says of each entry where it is.
func TestHeard(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a, b := newDevice(t, 1), newDevice(t, 2)
		a.notes(300)
		var known peers.Peers
		var mu sync.Mutex
		times := 0
		cfg := a.config(true)
		cfg.Heard = func(replica uuid.UUID, holds model.Peer) {
			mu.Lock()
			defer mu.Unlock()
			times++
			known.Heard(replica, holds)
		}
		alone := func() (entries int) {
			a.book.Read(func(l *model.Logbook) { entries, _ = l.Holders(known.All()).Alone() })
			return entries
		}
		require.Equal(t, 301, alone())
		x, y := newPipe()
		s, c := run(t, y, b.config(false)), run(t, x, cfg)
		synctest.Wait()
		require.Zero(t, alone())
		mu.Lock() // nothing is heard meanwhile
		a.notes(1)
		require.Equal(t, 1, alone(), "written, and not known to be over there")
		mu.Unlock()
		synctest.Wait()
		require.Zero(t, alone())
		v, _ := b.read()
		require.Equal(t, v, known.All()[b.name].Vector)

		mu.Lock()
		before := times
		mu.Unlock()
		time.Sleep(10 * time.Minute) // of the bubble
		synctest.Wait()
		require.Less(t, time.Since(known.All()[b.name].Heard), 2*time.Minute)
		mu.Lock()
		require.LessOrEqual(t, times-before, 11)
		mu.Unlock()
		c.end()
		c.wait()
		s.wait()
		a.notes(2)
		require.Equal(t, 2, alone())
	})
}
