package idb

import (
	"errors"
	"syscall/js"
)

// A database is an IndexedDB database with one object store.
type database struct {
	name, store string
	version     int
	options     map[string]any // of the object store
	handle      js.Value
	closed      *js.Func
	newer       bool // a newer program asked for it
}

var errNewer = errors.New("a newer version of this program is open in another tab: reload this page")

// open opens the database, and makes it where it is not there.
func (d *database) open() error {
	doing := "open " + d.name
	factory := js.Global().Get("indexedDB")
	if !factory.Truthy() {
		return &Error{doing, "NotSupportedError", "this browser has no IndexedDB, or not in a private window"}
	}
	var request js.Value
	if err := try(doing, func() { request = factory.Call("open", d.name, d.version) }); err != nil {
		return err
	}
	upgrade := js.FuncOf(func(js.Value, []js.Value) any {
		if db := request.Get("result"); !db.Get("objectStoreNames").Call("contains", d.store).Bool() {
			db.Call("createObjectStore", d.store, d.options)
		}
		return nil
	})
	defer upgrade.Release()
	request.Set("onupgradeneeded", upgrade)
	if first(request, "success", "error")() == "error" {
		return errorOf(doing, request.Get("error"))
	}
	d.handle = request.Get("result")
	closed := js.FuncOf(func(_ js.Value, args []js.Value) any {
		if e := args[0]; e.Get("type").String() == "versionchange" && e.Get("newVersion").Truthy() {
			d.newer = true
		}
		d.handle.Call("close") // lets a newer program, or one that clears up, go ahead
		return nil
	})
	d.handle.Set("onversionchange", closed)
	d.closed = &closed
	return nil
}

func (d *database) close() {
	if d.handle.IsUndefined() {
		return
	}
	if d.closed != nil {
		d.handle.Set("onversionchange", js.Null())
		d.closed.Release()
		d.closed = nil
	}
	d.handle.Call("close")
}

// transact runs a transaction, on a database that is opened where it is not yet:
// f makes requests, and may make more in the handlers of those; when all are
// answered it is complete, and durable if it writes. If the connection turns out
// dead it is opened again, once, and f runs again.
func (d *database) transact(doing, mode string, f func(store js.Value)) error {
	if d.handle.IsUndefined() {
		if err := d.open(); err != nil {
			return err
		}
	}
	err := d.once(doing, mode, f)
	if dead(err) && !d.newer {
		d.close()
		if err := d.open(); err != nil {
			return err
		}
		err = d.once(doing, mode, f)
	}
	if err != nil && d.newer {
		return errNewer
	}
	return err
}

func (d *database) once(doing, mode string, f func(store js.Value)) error {
	var tx js.Value
	var wait func() string
	err := try(doing, func() {
		tx = d.handle.Call("transaction", d.store, mode, map[string]any{"durability": "strict"})
		wait = first(tx, "complete", "abort")
	})
	if err != nil {
		return err
	}
	if err := try(doing, func() { f(tx.Call("objectStore", d.store)) }); err != nil {
		try(doing, func() { tx.Call("abort") })
		wait()
		return err
	}
	if wait() == "abort" {
		return errorOf(doing, tx.Get("error"))
	}
	return nil
}
