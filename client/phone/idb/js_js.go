package idb

import (
	"errors"
	"fmt"
	"syscall/js"
	"time"
)

// An Error is what the browser said of a request.
type Error struct {
	Doing string // "write to the logbook"
	Name  string // of the DOMException
	Text  string
}

func (e *Error) Error() string {
	switch e.Name {
	case "QuotaExceededError":
		return e.Doing + ": the browser gives this page no more room, nothing was written: free some of the phone's storage, then send it again"
	case "VersionError":
		return e.Doing + ": a newer version of this program has written it: load the page again where the laptop can be reached"
	case "":
		return e.Doing + ": the browser broke it off and does not say why, nothing was written: send it again"
	}
	return fmt.Sprintf("%s: %s: %s", e.Doing, e.Name, e.Text)
}

// dead reports whether err may be cured by opening the database again: the
// browser has closed the connection, which it may do at any time.
func dead(err error) bool {
	var e *Error
	return errors.As(err, &e) && (e.Name == "" || e.Name == "InvalidStateError" || e.Name == "AbortError" || e.Name == "UnknownError")
}

// errorOf makes an error of an exception or null.
func errorOf(doing string, exception js.Value) *Error {
	if !exception.Truthy() {
		return &Error{Doing: doing}
	}
	return &Error{Doing: doing, Name: exception.Get("name").String(), Text: exception.Get("message").String()}
}

// try calls f and returns what JavaScript throws in it as an error.
func try(doing string, f func()) (err error) {
	defer func() {
		switch r := recover().(type) {
		case nil:
		case js.Error:
			err = errorOf(doing, r.Value)
		default:
			panic(r)
		}
	}()
	f()
	return nil
}

// first waits for the first of some events and returns its name.
func first(target js.Value, events ...string) func() string {
	name := make(chan string, len(events))
	heard := js.FuncOf(func(_ js.Value, args []js.Value) any {
		name <- args[0].Get("type").String()
		return nil
	})
	for _, e := range events {
		target.Call("addEventListener", e, heard, map[string]any{"once": true})
	}
	return func() string {
		got := <-name
		for _, e := range events {
			target.Call("removeEventListener", e, heard)
		}
		heard.Release()
		return got
	}
}

// await waits for the promise that f returns.
func await(doing string, f func() js.Value) (js.Value, error) { return awaitUntil(nil, doing, f) }

// errLate says that a promise was neither kept nor broken in time.
var errLate = errors.New("the browser does not answer")

// awaitUntil waits no longer than until late, if that is not nil.
func awaitUntil(late <-chan time.Time, doing string, f func() js.Value) (js.Value, error) {
	var promise js.Value
	if err := try(doing, func() { promise = f() }); err != nil {
		return js.Undefined(), err
	}
	type answer struct {
		value js.Value
		err   error
	}
	answers := make(chan answer, 1)
	done := js.FuncOf(func(_ js.Value, args []js.Value) any {
		answers <- answer{value: args[0]}
		return nil
	})
	failed := js.FuncOf(func(_ js.Value, args []js.Value) any {
		answers <- answer{err: errorOf(doing, args[0])}
		return nil
	})
	promise.Call("then", done, failed)
	select {
	case a := <-answers:
		done.Release()
		failed.Release()
		return a.value, a.err
	case <-late: // an answer may come yet: the functions stay
		return js.Undefined(), errLate
	}
}

// bytesOf copies a Uint8Array.
func bytesOf(array js.Value) []byte {
	b := make([]byte, array.Get("length").Int())
	js.CopyBytesToGo(b, array)
	return b
}

// arrayOf makes a Uint8Array.
func arrayOf(parts ...[]byte) js.Value {
	n := 0
	for _, p := range parts {
		n += len(p)
	}
	array := js.Global().Get("Uint8Array").New(n)
	at := 0
	for _, p := range parts {
		js.CopyBytesToJS(array.Call("subarray", at), p)
		at += len(p)
	}
	return array
}
