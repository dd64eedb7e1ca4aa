// Package chromium drives a headless Chromium for the tests, over the DevTools
// protocol on two pipes: no port, and no library. The protocol is documented at
// chromedevtools.github.io/devtools-protocol.
package chromium

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime"
	"sync"
)

// Path returns the Chromium of this machine: $CHROMIUM, else the first of the
// usual names in the path.
func Path() (string, error) {
	if p := os.Getenv("CHROMIUM"); p != "" {
		return exec.LookPath(p)
	}
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			return p, nil
		}
	}
	return "", errors.New("no Chromium on this machine: install it (package chromium), or name it in CHROMIUM")
}

// Flags keep Chromium to itself: no window, no profile of the user's, no calls
// home. Web pages are not kept from anything they could do otherwise.
var Flags = []string{
	"--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
	"--disable-component-update", "--disable-sync", "--hide-scrollbars",
}

// A Browser is a running Chromium. It is safe for concurrent use.
type Browser struct {
	cmd  *exec.Cmd
	in   io.WriteCloser
	gone chan struct{} // closed when it has ended

	mu      sync.Mutex
	last    int
	answers map[int]chan message
	heard   map[string]func(method string, params json.RawMessage) // by session
}

// A message is one of the protocol, in either direction.
type message struct {
	ID      int             `json:"id,omitempty"`
	Session string          `json:"sessionId,omitempty"`
	Method  string          `json:"method,omitempty"`
	Params  json.RawMessage `json:"params,omitempty"`
	Result  json.RawMessage `json:"result,omitempty"`
	Error   *struct {
		Message string `json:"message"`
	} `json:"error,omitempty"`
}

// Start starts Chromium with a profile in the folder given. End it with Close or
// Kill.
func Start(path, profile string, flags ...string) (*Browser, error) {
	if runtime.GOOS == "windows" {
		return nil, errors.New("pipes to Chromium are not to be had on Windows")
	}
	theirIn, in, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	out, theirOut, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	args := append([]string{"--remote-debugging-pipe", "--user-data-dir=" + profile}, Flags...)
	b := &Browser{
		cmd: exec.Command(path, append(append(args, flags...), "about:blank")...), in: in, gone: make(chan struct{}),
		answers: map[int]chan message{}, heard: map[string]func(string, json.RawMessage){},
	}
	b.cmd.ExtraFiles = []*os.File{theirIn, theirOut} // its descriptors 3 and 4
	ownGroup(b.cmd)
	err = b.cmd.Start()
	theirIn.Close()
	theirOut.Close()
	if err != nil {
		return nil, err
	}
	go b.listen(out)
	return b, nil
}

func (b *Browser) listen(out io.ReadCloser) {
	for r := bufio.NewReaderSize(out, 1<<20); ; {
		line, err := r.ReadBytes(0)
		if err != nil {
			break
		}
		var m message
		if json.Unmarshal(line[:len(line)-1], &m) != nil {
			continue
		}
		b.mu.Lock()
		answer, heard := b.answers[m.ID], b.heard[m.Session]
		delete(b.answers, m.ID)
		b.mu.Unlock()
		switch {
		case m.ID != 0 && answer != nil:
			answer <- m
		case m.Method != "" && heard != nil:
			heard(m.Method, m.Params)
		}
	}
	out.Close()
	b.cmd.Wait()
	close(b.gone)
}

// Call sends a command to a session ("" is the browser's own) and reads its
// result into a pointer, which may be nil.
func (b *Browser) Call(ctx context.Context, session, method string, params, result any) error {
	p, err := json.Marshal(params)
	if err != nil {
		return err
	}
	if params == nil {
		p = nil
	}
	answer := make(chan message, 1)
	b.mu.Lock()
	b.last++
	m := message{ID: b.last, Session: session, Method: method, Params: p}
	b.answers[m.ID] = answer
	data, err := json.Marshal(m)
	if err == nil {
		_, err = b.in.Write(append(data, 0))
	}
	b.mu.Unlock()
	if err != nil {
		return fmt.Errorf("%s: %w", method, err)
	}
	select {
	case m := <-answer:
		if m.Error != nil {
			return fmt.Errorf("%s: %s", method, m.Error.Message)
		}
		if result != nil {
			return json.Unmarshal(m.Result, result)
		}
		return nil
	case <-b.gone:
		return fmt.Errorf("%s: Chromium has ended", method)
	case <-ctx.Done():
		return fmt.Errorf("%s: %w", method, ctx.Err())
	}
}

// Close ends Chromium in good order, so that its profile can be opened again.
func (b *Browser) Close(ctx context.Context) error {
	err := b.Call(ctx, "", "Browser.close", nil, nil)
	select {
	case <-b.gone:
		return nil // it may end before it answers
	case <-ctx.Done():
		b.Kill()
		return errors.Join(err, ctx.Err())
	}
}

// Kill ends Chromium and all its processes at once, as when the power goes.
func (b *Browser) Kill() {
	killGroup(b.cmd)
	<-b.gone
}
