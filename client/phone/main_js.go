// Command phone is the program on the phone: compiled to WebAssembly it runs in a
// worker of a web page, keeps the logbook in the browser's storage and in step
// with the laptop, and answers the page's taps.
//
// The page (boot.js) starts the worker (worker.js) and sends messages of an id, a
// method, an address, a form and the photos and files in it, or of an id and the name of a
// photo to show; each is answered by one with the same id. It sends {wake} when it
// comes into sight again or the network may be another, {seen} when it goes out of
// sight and comes back, and {unkept} with the name of an error where the browser
// keeps no copy of it. The worker also sends {ready}; {news, entries} when what the
// last page showed is out of date, and whether by entries that came or only by where
// they are now, or by a forecast that the first page did without; {arrived}, the
// name of a photo of which something is new; and {broken, fault} when it can't go on.
package main

import (
	"runtime"
	"runtime/debug"
	"sync"
	"syscall/js"
	"time"

	"ampwright/client/pages"
	"ampwright/client/phone/app"
)

// logbook is the name of the database.
const logbook = "ampwright"

// startGC is how far the heap grows before its garbage is collected, in percent,
// until the first page is there: with the usual 100 a tenth of that time went there.
const startGC = 400

// deepen makes the stack as deep as it becomes sooner or later. Each time that it is
// found too short all of it is moved, and each frame on it looked up.
//
//go:noinline
func deepen() { var room [64 << 10]byte; runtime.KeepAlive(&room) }

func main() {
	deepen()
	debug.SetGCPercent(startGC)
	started := sync.OnceFunc(func() { debug.SetGCPercent(100) })
	written, grew, changed := make(chan struct{}, 1), make(chan struct{}, 1), make(chan struct{}, 1)
	p, err := open(func() { ring(written) })
	if err != nil {
		tell(map[string]any{"broken": true, "fault": "The logbook does not open: " + err.Error()})
		return
	}
	p.app.Watch(grew)
	p.join(func() { ring(changed) })
	asks := make(chan js.Value, 256)
	js.Global().Set("onmessage", js.FuncOf(func(_ js.Value, args []js.Value) any {
		m := args[0].Get("data")
		if m.Get("wake").Truthy() {
			p.link.Wake()
			return nil
		}
		if name := text(m.Get("photo")); name != "" {
			go p.photo(m.Get("id"), name)
			return nil
		}
		if seen := m.Get("seen"); seen.Type() == js.TypeBoolean {
			p.link.Sight(seen.Bool())
			return nil
		}
		select {
		case asks <- m:
		default:
			tell(map[string]any{"id": m.Get("id"), "fault": "Too many taps are waiting for an answer: wait a moment."})
		}
		return nil
	}))
	tell(map[string]any{"ready": true})
	var due <-chan struct{}    // not nil: something is new, and the page hears of it then
	var pause <-chan time.Time // not nil: the last page lacks something, which is worked out then
	for {
		select {
		case m := <-asks:
			if why := m.Get("unkept"); why.Type() == js.TypeString {
				p.app.Unkept(why.String())
				due = atMost(due)
				continue
			}
			r := p.app.Serve(app.Ask{Method: m.Get("method").String(), At: m.Get("at").String(), Form: text(m.Get("form")), Photos: photosOf(m.Get("photos")), Files: filesOf(m.Get("files"))})
			var body any = r.Body
			if r.Name != "" { // a file, byte for byte
				body = arrayOf([]byte(r.Body))
			}
			tell(map[string]any{
				"id": m.Get("id"), "status": r.Status, "at": r.At, "body": body, "type": r.Type, "name": r.Name, "fault": r.Fault, "broken": r.Broken, "busy": r.Busy, "posted": r.Posted,
			})
			started()
			pause = nil
			if r.Lacks {
				pause = after(pageShown)
			}
		case <-pause:
			pause = nil
			p.app.Finish()
			p.news()
		case <-written:
			p.app.CatchUp() // the next answer tells of an error
		case <-grew:
			due = atMost(due)
		case <-changed:
			p.share()
			due = atMost(due)
		case <-due:
			due = nil
			p.news()
		}
	}
}

// news tells the page that what it shows is out of date, if it is.
func (p *program) news() {
	if entries, standing := p.app.News(); standing {
		tell(map[string]any{"news": true, "entries": entries})
	}
}

// photo answers the page that asks for the bytes of a photo.
func (p *program) photo(id js.Value, name string) {
	data, err := p.app.Photo(name)
	if err != nil {
		tell(map[string]any{"id": id, "fault": err.Error()})
		return
	}
	tell(map[string]any{"id": id, "bytes": arrayOf(data)})
}

func arrayOf(data []byte) js.Value {
	array := js.Global().Get("Uint8Array").New(len(data))
	js.CopyBytesToJS(array, data)
	return array
}

// photosOf takes the photos of a form over.
func photosOf(list js.Value) (photos []app.Photo) {
	if !list.Truthy() {
		return nil
	}
	for i := range list.Length() {
		photos = append(photos, app.Photo{Field: text(list.Index(i).Get("field")), Bytes: bytesOf(list.Index(i))})
	}
	return photos
}

// filesOf takes the other files of a form over.
func filesOf(list js.Value) (files []pages.File) {
	if !list.Truthy() {
		return nil
	}
	for i := range list.Length() {
		f := list.Index(i)
		files = append(files, pages.File{Field: text(f.Get("field")), Name: text(f.Get("name")), Data: bytesOf(f)})
	}
	return files
}

func bytesOf(sent js.Value) []byte {
	bytes := sent.Get("bytes")
	data := make([]byte, bytes.Length())
	js.CopyBytesToGo(data, bytes)
	return data
}

// ring puts a value into c if there is room: who listens is told already.
func ring(c chan<- struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}

func tell(m map[string]any) { js.Global().Call("postMessage", m) }

func text(v js.Value) string {
	if v.Type() != js.TypeString {
		return ""
	}
	return v.String()
}
