package main

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"encoding/binary"
	"syscall/js"

	"ampwright/client/phone/app"
	"ampwright/client/phone/device"
	"ampwright/client/phone/idb"
	"ampwright/client/phone/socket"
	"ampwright/sync/link"
)

// join keeps this device in step with the laptop that served the page. One tab
// does it for all, while somebody looks at it. On a BroadcastChannel it tells the others how the link is
// ({standing}, JSON) and of photos that came ({arrived}); they pass on what the
// person does ({wake}, {invite}) and which photos they wait for ({photo}), and a new
// one asks ({ask}). changed is called when the standing is another.
func (p *program) join(changed func()) {
	known, _ := idb.ReadPeers(logbook) // without them it is all told again
	photos, _ := idb.ReadPhotos(logbook)
	p.tabs = js.Global().Get("BroadcastChannel").New(logbook + "-link")
	keep, keepPhotos := make(chan []byte, 1), make(chan []byte, 1)
	p.link = p.app.NewLink(app.LinkConfig{
		Dial: func(ctx context.Context) (link.Conn, error) {
			return socket.Dial(ctx, js.Global().Get("location").Get("origin").String())
		},
		Self: func() device.Device { return p.self }, Program: text(js.Global().Get("settings").Get("version")),
		Now: p.clock.now, After: after, Random: chance, Nonce: nonce, Peers: known, Changed: changed,
		Keep:   func(peers []byte) { latest(keep, peers) },
		Photos: photos, KeepPhotos: func(photos []byte) { latest(keepPhotos, photos) },
		Arrived: func(name string, here bool) {
			p.tabs.Call("postMessage", map[string]any{"arrived": name, "here": here})
			tell(map[string]any{"arrived": name})
		},
		PassPhoto: func(name string) { p.tabs.Call("postMessage", map[string]any{"photo": name}) },
		Pass: func(secret []byte) {
			m := map[string]any{"wake": true}
			if secret != nil {
				m["invite"] = base64.StdEncoding.EncodeToString(secret)
			}
			p.tabs.Call("postMessage", m)
		},
	})
	p.tabs.Set("onmessage", js.FuncOf(func(_ js.Value, args []js.Value) any { p.hear(args[0].Get("data"), changed); return nil }))
	go func() {
		for peers := range keep {
			idb.WritePeers(logbook, peers) // a memory: an error loses nothing but that
		}
	}()
	go func() {
		for photos := range keepPhotos {
			idb.WritePhotos(logbook, photos)
		}
	}()
	go func() {
		p.tabs.Call("postMessage", map[string]any{"ask": true})
		p.link.Lead(context.Background(), func() (func(), error) { return idb.Lead(logbook) }) // without locks nothing is written here at all
	}()
}

// hear takes what another tab says. Only the tab that runs the link has ears for
// anything but the standing.
func (p *program) hear(m js.Value, changed func()) {
	if s := text(m.Get("standing")); s != "" {
		p.link.Take([]byte(s)) // what does not read is told again
		return
	}
	if name := text(m.Get("arrived")); name != "" {
		p.link.TakePhoto(name, m.Get("here").Truthy())
		tell(map[string]any{"arrived": name})
		return
	}
	if !p.link.Running() {
		return
	}
	secret, err := base64.StdEncoding.DecodeString(text(m.Get("invite")))
	switch {
	case err == nil && len(secret) > 0:
		p.link.Invite(secret)
	case m.Get("photo").Truthy():
		p.link.WantPhoto(text(m.Get("photo")))
	case m.Get("wake").Truthy():
		p.link.Wake()
	case m.Get("ask").Truthy():
		changed()
	}
}

// share tells other tabs how the link is.
func (p *program) share() {
	if data := p.link.Bytes(); data != nil {
		p.tabs.Call("postMessage", map[string]any{"standing": string(data)})
	}
}

// latest puts data into c in place of what nobody has taken yet.
func latest(c chan []byte, data []byte) {
	select {
	case <-c:
	default:
	}
	c <- data
}

func nonce() (n [32]byte) {
	rand.Read(n[:]) // never fails
	return n
}

func chance() uint64 {
	var b [8]byte
	rand.Read(b[:]) // never fails
	return binary.LittleEndian.Uint64(b[:])
}
