package idb

import "syscall/js"

// ReadDevice returns what WriteDevice stored beside the logbook called name; nil
// where there is nothing.
func ReadDevice(name string) ([]byte, error) {
	db, err := openDevice(name)
	if err != nil {
		return nil, err
	}
	defer db.close()
	var value js.Value
	err = db.transact("read who this device is", "readonly", func(store js.Value) { value = store.Call("get", "this") })
	if err != nil {
		return nil, err
	}
	if value = value.Get("result"); !value.Truthy() {
		return nil, nil
	}
	return bytesOf(value), nil
}

// WriteDevice keeps who this device is beside the logbook called name, in place
// of what was there.
func WriteDevice(name string, data []byte) error {
	db, err := openDevice(name)
	if err != nil {
		return err
	}
	defer db.close()
	return db.transact("write who this device is", "readwrite", func(store js.Value) { store.Call("put", arrayOf(data), "this") })
}

func openDevice(name string) (*database, error) {
	db := &database{name: name + "-device", version: 1, store: "device", options: map[string]any{}}
	return db, db.open()
}
