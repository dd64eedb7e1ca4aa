// Package browser tests the phone's program in a headless Chromium. The tests
// have the build tag "browser", since they need one, and the program built:
//
//	go run ./cmd/dev build
//	go test -tags browser ./client/phone/browser
package browser
