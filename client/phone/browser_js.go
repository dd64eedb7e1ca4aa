package main

import (
	"syscall/js"
	"time"

	"ampwright/client/phone/app"
	"ampwright/client/phone/zone"
)

// A clock tells the time in the zone of the browser.
type clock struct {
	name  string
	place *time.Location
}

func newClock(name string) (*clock, error) {
	c := &clock{name: name}
	return c, c.find(time.Now())
}

// now looks whether the device has gone to another zone since.
func (c *clock) now() time.Time {
	now := time.Now()
	if _, offset := now.In(c.place).Zone(); offset != offsetAt(now.Unix()) {
		c.name = js.Global().Get("Intl").Call("DateTimeFormat").Call("resolvedOptions").Get("timeZone").String()
		c.find(now) // where that fails the zone before stands: the moment is right in any
	}
	return now.In(c.place)
}

func (c *clock) find(now time.Time) error {
	place, err := zone.Location(c.name, offsetAt, time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC), now.AddDate(6, 0, 0))
	if err == nil {
		c.place = place
	}
	return err
}

// offsetAt asks the browser how many seconds it is east of UTC at a moment: over a
// thousand times at the start, and so in one call (worker.js).
func offsetAt(unix int64) int { return east.Invoke(float64(unix)).Int() }

var east = js.Global().Get("east")

// after is [time.After].
func after(d time.Duration) <-chan time.Time { return time.After(d) }

// pageShown is how long after an answer what it lacks is worked out: by then the page
// is shown, and a tap that follows at once has been answered.
const pageShown = 200 * time.Millisecond

// pageAgain is how long after something new the page hears of it: what comes in
// that time is told with it, so that a thousand entries are one new page.
const pageAgain = 200 * time.Millisecond

// atMost returns due, or a new one if that is nil.
func atMost(due <-chan struct{}) <-chan struct{} {
	if due != nil {
		return due
	}
	c := make(chan struct{})
	time.AfterFunc(pageAgain, func() { close(c) })
	return c
}

// storage asks the browser about this page's storage. What it does not tell is
// left zero.
func storage() (s app.Storage) {
	manager := js.Global().Get("navigator").Get("storage")
	if !manager.Truthy() {
		return s
	}
	s.Kept = await(manager.Call("persisted")).Truthy()
	if e := await(manager.Call("estimate")); e.Truthy() {
		s.Used, s.Room = int64(e.Get("usage").Float()), int64(e.Get("quota").Float())
	}
	return s
}

// await waits for a promise; undefined is what a broken one promised.
func await(promise js.Value) js.Value {
	done := make(chan js.Value, 1)
	kept := js.FuncOf(func(_ js.Value, args []js.Value) any { done <- args[0]; return nil })
	broken := js.FuncOf(func(js.Value, []js.Value) any { done <- js.Undefined(); return nil })
	defer kept.Release()
	defer broken.Release()
	promise.Call("then", kept, broken)
	return <-done
}
