// Command phone is the program on the phone: compiled to WebAssembly it runs in a
// worker of a web page, keeps the logbook in the browser's storage and answers
// the page's taps.
//
// The page (boot.js) starts the worker (worker.js) and sends messages of an id, a
// method, an address and a form; each is answered by one with the same id. The
// worker also sends {ready}, {news} when another tab has written, and {broken,
// fault} when it can't go on.
package main

import (
	"crypto/ed25519"
	"crypto/rand"
	"encoding/base64"
	"syscall/js"

	"ampwright/client/phone/app"
	"ampwright/client/phone/device"
	"ampwright/client/phone/idb"
	"ampwright/model/plan"
	"ampwright/sync/book"

	"github.com/google/uuid"
)

// logbook is the name of the database.
const logbook = "ampwright"

func main() {
	news := make(chan struct{}, 1)
	a, err := open(func() {
		select {
		case news <- struct{}{}:
		default: // they are told already
		}
	})
	if err != nil {
		tell(map[string]any{"broken": true, "fault": "The logbook does not open: " + err.Error()})
		return
	}
	asks := make(chan js.Value, 256)
	js.Global().Set("onmessage", js.FuncOf(func(_ js.Value, args []js.Value) any {
		select {
		case asks <- args[0].Get("data"):
		default:
			tell(map[string]any{"id": args[0].Get("data").Get("id"), "fault": "Too many taps are waiting for an answer: wait a moment."})
		}
		return nil
	}))
	tell(map[string]any{"ready": true})
	for {
		select {
		case m := <-asks:
			r := a.Serve(app.Ask{Method: m.Get("method").String(), At: m.Get("at").String(), Form: text(m.Get("form"))})
			tell(map[string]any{
				"id": m.Get("id"), "status": r.Status, "at": r.At, "body": r.Body, "type": r.Type, "fault": r.Fault, "broken": r.Broken, "busy": r.Busy,
			})
		case <-news:
			if fresh, err := a.CatchUp(); fresh && err == nil { // the next answer tells of an error
				tell(map[string]any{"news": true})
			}
		}
	}
}

func tell(m map[string]any) { js.Global().Call("postMessage", m) }

func text(v js.Value) string {
	if v.Type() != js.TypeString {
		return ""
	}
	return v.String()
}

// open opens the logbook under the identity this device has, or a new one.
func open(heard func()) (*app.App, error) {
	settings := js.Global().Get("settings")
	store, err := idb.Open(logbook, heard)
	if err != nil {
		return nil, err
	}
	var a *app.App
	err = store.Hold(func() error {
		data, err := idb.ReadDevice(logbook)
		if err != nil {
			return err
		}
		heads, err := store.Heads()
		if err != nil {
			return err
		}
		fresh, err := device.New("phone", "builder", rand.Reader)
		if err != nil {
			return err
		}
		d, notice, err := device.Choose(data, heads, fresh)
		if err != nil {
			return err
		}
		clock, err := newClock(text(settings.Get("zone")))
		if err != nil {
			return err
		}
		a, err = app.Open(app.Config{
			Store: store,
			Book: book.Config{
				Replica: d.Replica, Key: d.Key.Public().(ed25519.PublicKey), Device: d.Name, Person: d.Person,
				Now: clock.now, NewID: uuid.New, Plans: plan.Builtin,
			},
			Plans: plan.List(), Once: newToken, Storage: storage, Notice: notice, Version: text(settings.Get("version")),
			Asset: func(name string) string {
				return text(settings.Get(map[string]string{"look.css": "css", "icon.svg": "icon"}[name]))
			},
		})
		if err != nil || d.Replica != fresh.Replica {
			return err
		}
		if data, err = d.Encode(); err != nil { // after the opening entry: without one it would seem lost
			return err
		}
		return idb.WriteDevice(logbook, data)
	})
	return a, err
}

// newToken returns 128 bits that nobody can guess, in the letters of a URL.
func newToken() string {
	b := make([]byte, 16)
	rand.Read(b) // never fails
	return base64.RawURLEncoding.EncodeToString(b)
}
