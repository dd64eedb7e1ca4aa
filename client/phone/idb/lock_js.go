package idb

import "syscall/js"

// Hold calls f while no other tab is in a Hold of the same logbook. Whoever
// gives numbers to entries must be in one, and must have read the News in it.
// The error is f's, or says that this browser has no locks.
func (s *Store) Hold(f func() error) error {
	release, err := lock(s.db.name)
	if err != nil {
		return err
	}
	defer release()
	return f()
}

// Lead waits until no other tab leads for the logbook called name, then leads
// until release is called or the page ends: one tab keeps the link for all.
func Lead(name string) (release func(), err error) { return lock(name + "-link") }

// lock waits for the Web Lock called name. It is let go by release, or by the
// browser when the page ends.
func lock(name string) (release func(), err error) {
	locks := js.Global().Get("navigator").Get("locks")
	if !locks.Truthy() {
		return nil, &Error{"keep other tabs from writing", "NotSupportedError", "this browser has no Web Locks, or the page is not on https or on this very machine"}
	}
	resolve := make(chan js.Value, 1)
	executor := js.FuncOf(func(_ js.Value, args []js.Value) any { resolve <- args[0]; return nil })
	granted := js.FuncOf(func(js.Value, []js.Value) any { return js.Global().Get("Promise").New(executor) })
	if err := try("keep other tabs from writing", func() { locks.Call("request", name, granted) }); err != nil {
		return nil, err
	}
	done := <-resolve
	executor.Release()
	granted.Release()
	return func() { done.Invoke() }, nil
}
