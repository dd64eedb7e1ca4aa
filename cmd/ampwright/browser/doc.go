// Package browser tests the program as it is used: the server as its own process,
// its pages and the phone's in Chromium, with a thumb. The phone's program is the one
// that was built last: run `go run ./cmd/dev build` first. The tests have the tag
// browser.
package browser
