package idb

import (
	"sync"
	"syscall/js"
)

// Keys of what is kept beside a logbook.
const (
	thisKey   = "this"
	peersKey  = "peers"
	photosKey = "photos"
)

// ReadDevice returns what WriteDevice stored beside the logbook called name; nil
// where there is nothing.
func ReadDevice(name string) ([]byte, error) { return readBeside(name, thisKey) }

// WriteDevice keeps who this device is beside the logbook called name, in place
// of what was there.
func WriteDevice(name string, data []byte) error { return writeBeside(name, thisKey, data) }

// ReadPeers returns what WritePeers stored beside the logbook called name; nil
// where there is nothing.
func ReadPeers(name string) ([]byte, error) { return readBeside(name, peersKey) }

// WritePeers keeps what other devices were heard to hold beside the logbook
// called name, in place of what was there.
func WritePeers(name string, data []byte) error { return writeBeside(name, peersKey, data) }

// ReadPhotos returns what WritePhotos stored beside the logbook called name; nil
// where there is nothing.
func ReadPhotos(name string) ([]byte, error) { return readBeside(name, photosKey) }

// WritePhotos keeps which photos the laptop holds beside the logbook called name,
// in place of what was there.
func WritePhotos(name string, data []byte) error { return writeBeside(name, photosKey, data) }

func readBeside(name, key string) ([]byte, error) {
	var value js.Value
	err := transactBeside(name, "read who this device is", "readonly", func(store js.Value) { value = store.Call("get", key) })
	if err != nil {
		return nil, err
	}
	if value = value.Get("result"); !value.Truthy() {
		return nil, nil
	}
	return bytesOf(value), nil
}

func writeBeside(name, key string, data []byte) error {
	record := arrayOf(data)
	err := transactBeside(name, "write who this device is", "readwrite", func(store js.Value) { store.Call("put", record, key) })
	if err == nil {
		secondOf(name).do(put(key, record))
	}
	return err
}

// beside are the databases beside logbooks, by the logbooks' names. They stay open:
// to open one takes longer than all that is asked of it at the start.
var beside = struct {
	sync.Mutex
	by map[string]*database
}{by: map[string]*database{}}

func transactBeside(name, doing, mode string, f func(store js.Value)) error {
	beside.Lock()
	defer beside.Unlock()
	db := beside.by[name]
	if db == nil {
		db = &database{name: name + "-device", version: 1, store: "device", options: map[string]any{}}
		beside.by[name] = db
	}
	return db.transact(doing, mode, f)
}
