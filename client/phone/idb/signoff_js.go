package idb

import (
	"syscall/js"

	"ampwright/model"
)

const signOffKey = "sign-off"

// SignOffKey returns the key that this device signs sign-offs with, kept beside the
// logbook called name; it is made the first time. The browser made it so that its
// private half can be used here and read by nobody, this program included. nil
// where the browser has no Ed25519 in Web Cryptography. Two tabs must not ask for
// the first time at once: see [Store.Hold].
//
// The key of the device itself, which seals all it writes, is not such a key: it is
// older than Ed25519 in browsers, a logbook may stand on a device whose browser has
// none, and its place in a replica's first entry leaves no other algorithm.
func SignOffKey(name string) (*model.SignOffKey, error) {
	subtle := js.Global().Get("crypto").Get("subtle")
	if !subtle.Truthy() {
		return nil, nil
	}
	var got js.Value
	err := transactBeside(name, "read the key for sign-offs", "readonly", func(store js.Value) { got = store.Call("get", signOffKey) })
	if err != nil {
		return nil, err
	}
	pair := got.Get("result")
	if !pair.Truthy() {
		if pair, err = newSignOffKey(subtle); err != nil || !pair.Truthy() {
			return nil, err
		}
		err = transactBeside(name, "write the key for sign-offs", "readwrite", func(store js.Value) { store.Call("put", pair, signOffKey) })
		if err != nil {
			return nil, err
		}
	}
	return &model.SignOffKey{Alg: model.EdDSA, Key: bytesOf(pair.Get("public")), Sign: func(statement []byte) ([]byte, error) {
		sig, err := await("sign", func() js.Value { return subtle.Call("sign", "Ed25519", pair.Get("private"), arrayOf(statement)) })
		if err != nil {
			return nil, err
		}
		return bytesOf(js.Global().Get("Uint8Array").New(sig)), nil
	}}, nil
}

// newSignOffKey makes a key pair; undefined where the browser has no Ed25519.
func newSignOffKey(subtle js.Value) (js.Value, error) {
	pair, err := await("make the key for sign-offs", func() js.Value {
		return subtle.Call("generateKey", "Ed25519", false, []any{"sign", "verify"})
	})
	if e, ok := err.(*Error); ok && e.Name == "NotSupportedError" {
		return js.Undefined(), nil
	}
	if err != nil {
		return js.Undefined(), err
	}
	public, err := await("read the public key for sign-offs", func() js.Value {
		return subtle.Call("exportKey", "raw", pair.Get("publicKey"))
	})
	if err != nil {
		return js.Undefined(), err
	}
	kept := js.Global().Get("Object").New()
	kept.Set("private", pair.Get("privateKey"))
	kept.Set("public", js.Global().Get("Uint8Array").New(public))
	return kept, nil
}
