package app_test

import (
	"context"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// A tab that is out of sight for a while lets the link go and gives its turn back;
// in sight again it takes both up. A moment out of sight changes nothing.
func TestLinkOutOfSight(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := newWorld(t)
		w.secret = []byte("0123456789abcdef")
		var turns, back atomic.Int32
		ctx, cancel := context.WithCancel(context.Background())
		over := make(chan error, 1)
		go func() {
			over <- w.link.Lead(ctx, func() (func(), error) { turns.Add(1); return func() { back.Add(1) }, nil })
		}()
		synctest.Wait()
		w.link.Invite(w.secret)
		time.Sleep(time.Second)
		w.requireInStep()
		dials := w.dials.Load()

		w.link.Sight(false)
		time.Sleep(4 * time.Second)
		w.link.Sight(true)
		time.Sleep(time.Minute)
		require.Equal(t, []int32{1, 0, dials}, []int32{turns.Load(), back.Load(), w.dials.Load()})
		w.requireInStep()

		w.link.Sight(false)
		time.Sleep(6 * time.Second)
		synctest.Wait()
		require.EqualValues(t, 1, back.Load())
		require.False(t, w.link.Running())
		require.Contains(t, get(w.app, "/phone/this").Body, "not linked: this page was out of sight and let the link go")
		select {
		case <-w.last.over:
		default:
			t.Fatal("the connection stands")
		}
		time.Sleep(time.Hour)
		require.Equal(t, dials, w.dials.Load())
		post(w.app, bench+"write/note", "text", "written before the screen went dark")

		w.link.Sight(true)
		time.Sleep(time.Second)
		synctest.Wait()
		require.EqualValues(t, 2, turns.Load())
		w.requireInStep()
		cancel()
		require.NoError(t, <-over)
		require.EqualValues(t, 2, back.Load())
	})
}

// Whoever gets the turn when nobody looks at it any more gives it on at once.
func TestTurnOutOfSight(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := newWorld(t)
		turn, back := make(chan bool), make(chan bool)
		ctx, cancel := context.WithCancel(context.Background())
		defer cancel()
		go w.link.Lead(ctx, func() (func(), error) { <-turn; return func() { back <- true }, nil })
		synctest.Wait()
		w.link.Sight(false)
		turn <- true
		<-back
		synctest.Wait()
		require.False(t, w.link.Running())
	})
}
