package chromium

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"sync"
	"time"
)

// A Page is a tab.
type Page struct {
	b       *Browser
	session string
	target  string
	chooser chan int // the nodes for which a file chooser was opened

	mu     sync.Mutex
	first  string   // what its workers run before their own scripts
	said   []string // console messages and exceptions
	faults []string // those among them that are errors, and violations of the policy
	onSaid func(text string)
}

// Open opens a tab at an address. said, if it is not nil, hears every line of
// its console.
func (b *Browser) Open(ctx context.Context, address string, said func(text string)) (*Page, error) {
	p := &Page{b: b, onSaid: said, chooser: make(chan int, 1)}
	var target struct {
		ID string `json:"targetId"`
	}
	if err := b.Call(ctx, "", "Target.createTarget", map[string]any{"url": "about:blank"}, &target); err != nil {
		return nil, err
	}
	var attached struct {
		Session string `json:"sessionId"`
	}
	p.target = target.ID
	if err := b.Call(ctx, "", "Target.attachToTarget", map[string]any{"targetId": target.ID, "flatten": true}, &attached); err != nil {
		return nil, err
	}
	p.session = attached.Session
	b.mu.Lock()
	b.heard[p.session] = p.hear
	b.mu.Unlock()
	for _, domain := range []string{"Page", "Runtime", "Log"} {
		if err := p.Call(ctx, domain+".enable", nil, nil); err != nil {
			return nil, err
		}
	}
	err := p.Call(ctx, "Target.setAutoAttach", map[string]any{"autoAttach": true, "waitForDebuggerOnStart": false, "flatten": true}, nil)
	if err != nil {
		return nil, err
	}
	return p, p.Go(ctx, address)
}

// Call sends a command to the tab.
func (p *Page) Call(ctx context.Context, method string, params, result any) error {
	return p.b.Call(ctx, p.session, method, params, result)
}

// Close closes the tab.
func (p *Page) Close(ctx context.Context) error {
	return p.b.Call(ctx, "", "Target.closeTarget", map[string]any{"targetId": p.target}, nil)
}

// Go leads the tab to an address.
func (p *Page) Go(ctx context.Context, address string) error {
	var r struct {
		Error string `json:"errorText"`
	}
	err := p.Call(ctx, "Page.navigate", map[string]any{"url": address}, &r)
	if err == nil && r.Error != "" {
		err = fmt.Errorf("go to %s: %s", address, r.Error)
	}
	return err
}

func (p *Page) hear(method string, params json.RawMessage) {
	var text string
	fault := false
	switch method {
	case "Target.attachedToTarget": // a worker of the page's
		var e struct {
			SessionID  string
			TargetInfo struct{ Type string }
		}
		json.Unmarshal(params, &e)
		p.b.mu.Lock()
		p.b.heard[e.SessionID] = p.hear
		p.b.mu.Unlock()
		p.mu.Lock()
		first := p.first
		p.mu.Unlock()
		go func() { // not here: the answer would come to the goroutine that calls us
			if first != "" && e.TargetInfo.Type == "worker" {
				p.b.Call(context.Background(), e.SessionID, "Runtime.evaluate", map[string]any{"expression": first}, nil)
			}
			p.b.Call(context.Background(), e.SessionID, "Runtime.runIfWaitingForDebugger", nil, nil)
			p.b.Call(context.Background(), e.SessionID, "Runtime.enable", nil, nil)
			p.b.Call(context.Background(), e.SessionID, "Log.enable", nil, nil)
		}()
		return
	case "Page.fileChooserOpened":
		var e struct{ BackendNodeID int }
		json.Unmarshal(params, &e)
		select {
		case p.chooser <- e.BackendNodeID:
		default: // nobody has asked for the one before
		}
		return
	case "Runtime.consoleAPICalled":
		var e struct {
			Type string
			Args []struct {
				Value       json.RawMessage
				Description string
			}
		}
		json.Unmarshal(params, &e)
		for _, a := range e.Args {
			var s string
			switch {
			case json.Unmarshal(a.Value, &s) == nil:
				text += s
			case a.Value != nil:
				text += string(a.Value)
			default:
				text += a.Description
			}
		}
		fault = e.Type == "error"
	case "Runtime.exceptionThrown":
		var e struct {
			ExceptionDetails struct {
				Text      string
				Exception struct{ Description string }
			}
		}
		json.Unmarshal(params, &e)
		text, fault = e.ExceptionDetails.Text+" "+e.ExceptionDetails.Exception.Description, true
	case "Log.entryAdded": // violations of the content security policy come here
		var e struct {
			Entry struct{ Level, Text, Source, URL string }
		}
		json.Unmarshal(params, &e)
		text, fault = e.Entry.Source+": "+e.Entry.Text+" "+e.Entry.URL, e.Entry.Level == "error"
	default:
		return
	}
	p.mu.Lock()
	p.said = append(p.said, text)
	if fault {
		p.faults = append(p.faults, text)
	}
	p.mu.Unlock()
	if p.onSaid != nil {
		p.onSaid(text)
	}
}

// Said returns the lines of the console so far, Faults those that tell of errors
// and violations of the content security policy.
func (p *Page) Said() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]string{}, p.said...)
}
func (p *Page) Faults() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]string{}, p.faults...)
}

// Eval evaluates JavaScript, waits for it if it is a promise, and reads its
// value into result, which may be nil.
func (p *Page) Eval(ctx context.Context, script string, result any) error {
	var r struct {
		Result struct {
			Value json.RawMessage
		}
		ExceptionDetails *struct {
			Text      string
			Exception struct{ Description string }
		}
	}
	err := p.Call(ctx, "Runtime.evaluate", map[string]any{"expression": script, "awaitPromise": true, "returnByValue": true, "userGesture": true}, &r)
	if err != nil {
		return err
	}
	if e := r.ExceptionDetails; e != nil {
		return fmt.Errorf("%s %s in %s", e.Text, e.Exception.Description, script)
	}
	if result == nil || r.Result.Value == nil {
		return nil
	}
	return json.Unmarshal(r.Result.Value, result)
}

// Choose chooses a file in the file chooser that do opens, which nobody gets to see.
func (p *Page) Choose(ctx context.Context, file string, do func()) error {
	catch := func(on bool) error {
		return p.Call(ctx, "Page.setInterceptFileChooserDialog", map[string]any{"enabled": on}, nil)
	}
	if err := catch(true); err != nil {
		return err
	}
	do()
	select {
	case node := <-p.chooser:
		if err := p.Call(ctx, "DOM.setFileInputFiles", map[string]any{"files": []string{file}, "backendNodeId": node}, nil); err != nil {
			return err
		}
	case <-ctx.Done():
		return fmt.Errorf("no file chooser was opened: %w", ctx.Err())
	}
	return catch(false)
}

// InWorkers has every worker that the page starts from now on run a script before
// its own.
func (p *Page) InWorkers(ctx context.Context, script string) error {
	p.mu.Lock()
	p.first = script
	p.mu.Unlock()
	return p.Call(ctx, "Target.setAutoAttach", map[string]any{"autoAttach": true, "waitForDebuggerOnStart": true, "flatten": true}, nil)
}

// Slow slows the processor down for the page by a factor of 1 or more. Its workers
// go on as fast: Chromium slows down pages only.
func (p *Page) Slow(ctx context.Context, factor int) error {
	return p.Call(ctx, "Emulation.setCPUThrottlingRate", map[string]any{"rate": factor}, nil)
}

// Wait waits until a JavaScript expression is true. It asks often at first.
func (p *Page) Wait(ctx context.Context, script string) error {
	for pause := 3 * time.Millisecond; ; pause = min(2*pause, 25*time.Millisecond) {
		var is bool
		err := p.Eval(ctx, "!!("+script+")", &is)
		if err == nil && is {
			return nil
		}
		select {
		case <-time.After(pause):
		case <-ctx.Done():
			var text string
			p.Eval(context.WithoutCancel(ctx), "location.href + ' ' + (document.body?.innerText ?? '').slice(0, 2000)", &text)
			return fmt.Errorf("waited in vain for %s: %w; the page is %s; %q", script, cmp.Or(err, ctx.Err()), text, p.Said())
		}
	}
}
