package main

import (
	"cmp"
	"crypto/ed25519"
	"crypto/rand"
	"encoding/base64"
	"strings"
	"syscall/js"

	"ampwright/client/phone/app"
	"ampwright/client/phone/device"
	"ampwright/client/phone/idb"
	"ampwright/model"
	"ampwright/model/plan"
	"ampwright/sync/book"

	"github.com/google/uuid"
)

// A program is what runs in one tab.
type program struct {
	app   *app.App
	link  *app.Link
	self  device.Device
	vouch []byte // of the name before, once this one has taken another
	clock *clock
	tabs  js.Value // BroadcastChannel, see join
}

// open opens the logbook under the identity this device has, or a new one.
func open(heard func()) (*program, error) {
	settings := js.Global().Get("settings")
	store, err := idb.Open(logbook, heard)
	if err != nil {
		return nil, err
	}
	p := new(program)
	err = store.Hold(func() error {
		data, err := idb.ReadDevice(logbook)
		if err != nil {
			return err
		}
		heads, err := store.Heads()
		if err != nil {
			return err
		}
		fresh := false
		d, notice, err := device.Choose(data, heads, func() (device.Device, error) {
			fresh = true
			return device.New(cmp.Or(called("name"), "phone"), cmp.Or(called("person"), "builder"), rand.Reader)
		})
		if err != nil {
			return err
		}
		if p.clock, err = newClock(text(settings.Get("zone"))); err != nil {
			return err
		}
		if store.Restored && notice == "" {
			notice = "the browser has lost what it kept for this page. What is here comes from the second copy: look whether the last that you wrote is there."
		}
		p.self = d
		signOff, err := idb.SignOffKey(logbook)
		if err != nil {
			return err
		}
		p.app, err = app.Open(app.Config{
			Store: store, Blobs: idb.NewBlobs(logbook),
			Book: book.Config{
				Replica: d.Replica, Key: d.Key.Public().(ed25519.PublicKey), Device: d.Name, Person: d.Person,
				Sign: func(m []byte) []byte { return p.self.Sign(m) }, Renew: p.renew, Vouch: func() []byte { return p.vouch },
				Now: p.clock.now, NewID: uuid.New, Plans: plan.Builtin, ReadPlan: plan.Load, SignOff: signOff,
			},
			Plans: plan.Editions(), Once: newToken, Storage: storage, Writer: d.Writer, Keep: p.keep, Notice: notice, Version: text(settings.Get("version")),
			Asset: func(name string) string {
				return text(settings.Get(map[string]string{"look.css": "css", "icon.svg": "icon"}[name]))
			},
		})
		if err != nil || !fresh {
			return err
		}
		if data, err = p.self.Encode(); err != nil { // after the opening entry: without one it would seem lost
			return err
		}
		return idb.WriteDevice(logbook, data)
	})
	return p, err
}

// called is a name that was typed when this device was paired, cut to what one may
// be; "" for none.
func called(field string) string {
	name := []rune(strings.Join(strings.Fields(text(js.Global().Get("settings").Get(field))), " "))
	return string(name[:min(len(name), model.MaxName)])
}

// keep keeps who writes on this device from now on.
func (p *program) keep(writer string) error {
	d := p.self
	d.Writer = writer
	data, err := d.Encode()
	if err == nil {
		err = idb.WriteDevice(logbook, data)
	}
	if err == nil {
		p.self = d
	}
	return err
}

// renew makes this device another one, since a copy of it is about.
func (p *program) renew(string) (uuid.UUID, []byte, error) {
	fresh, err := device.New(p.self.Name, p.self.Person, rand.Reader)
	if err != nil {
		return uuid.Nil, nil, err
	}
	fresh.Writer = p.self.Writer
	data, err := fresh.Encode()
	if err == nil {
		err = idb.WriteDevice(logbook, data)
	}
	if err != nil {
		return uuid.Nil, nil, err
	}
	public := fresh.Key.Public().(ed25519.PublicKey)
	p.vouch = model.Vouch(p.self.Replica, p.self.Key, fresh.Replica, public)
	p.self = fresh
	return fresh.Replica, public, nil
}

// newToken returns 128 bits that nobody can guess, in the letters of a URL.
func newToken() string {
	b := make([]byte, 16)
	rand.Read(b) // never fails
	return base64.RawURLEncoding.EncodeToString(b)
}
