// Package app is the program on the phone without its browser: what is asked for
// goes in as an address and a form, the page that answers it comes out. It
// follows redirects itself, so that the browser swaps in one page a tap.
package app

import (
	"fmt"
	"net/url"
	"strings"
	"sync/atomic"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/plan"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
)

// Base is the path before every page on the phone.
const Base = "/phone"

// Config is what an App needs. Every field is required but Writer, Notice and
// Version.
type Config struct {
	Store   Store
	Blobs   keep.Blobs // the photos, and the files that are kept
	Book    book.Config
	Plans   []plan.Edition
	Once    func() string             // a new token that nobody can guess
	Asset   func(name string) string  // where look.css and icon.svg are
	Storage func() Storage            // what the browser says of this page's storage
	Writer  string                    // who writes, if it is not Book's Person
	Keep    func(writer string) error // keeps who writes from now on
	Notice  string                    // what must be said since the last start
	Version string
}

// A Storage is what the browser says of this page's storage.
type Storage struct {
	Kept       bool  // it has promised not to clear it by itself
	Used, Room int64 // bytes; 0 where it does not say
}

// An App answers what is asked for. It is not safe for concurrent use.
type App struct {
	cfg     Config
	book    *shared
	site    *pages.Site
	link    *Link                        // nil without one
	trouble string                       // why other tabs' entries could not be read
	unkept  string                       // why the browser keeps no copy of the program
	renamed atomic.Pointer[string]       // what a person should hear of a new name taken since
	done    struct{ token, text string } // what came of the last form on the page about this device
	shown   look                         // what the last page showed
}

// Open opens the logbook. It must be called within a Hold of the store, since it
// may write the opening entry.
func Open(cfg Config) (*App, error) {
	a := &App{cfg: cfg}
	if renew := cfg.Book.Renew; renew != nil {
		cfg.Book.Renew = func(why string) (uuid.UUID, []byte, error) {
			replica, key, err := renew(why)
			if err == nil {
				notice := why + ": it goes on as a new device, and what was written before stands as it was"
				a.renamed.Store(&notice)
			}
			return replica, key, err
		}
	}
	b, err := book.Open(cfg.Store, cfg.Book)
	if err != nil {
		return nil, err
	}
	a.book = &shared{Book: b, store: cfg.Store, writer: cfg.Writer, looked: map[uuid.UUID]bool{}}
	a.site, err = pages.New(pages.Config{
		Book: a.book, Plans: cfg.Plans, Once: cfg.Once, Asset: cfg.Asset, Base: Base, Version: cfg.Version,
		Device: Base + "/this", Notes: a.notes, Peers: a.peers,
		Lone: func() (photos, files int) { l := a.lone(); return len(l.photos), l.files },
		Keep: a.keepFile, Raw: a.writeFile,
	})
	return a, err
}

// notes are what every page must say on this device.
func (a *App) notes() []string {
	var notes []string
	renamed := ""
	if r := a.renamed.Load(); r != nil {
		renamed = *r
	}
	for _, n := range []string{a.trouble, renamed, a.cfg.Notice, a.unkept} {
		if n != "" {
			notes = append(notes, n)
		}
	}
	if notes != nil {
		return notes
	}
	entries := 0
	a.book.Read(func(l *model.Logbook) { entries = l.Len() })
	if entries > 1 { // more than the device's own first entry
		return nil
	}
	return []string{"Nothing is stored on this device yet. If you have written here before, this page's storage has been emptied, by the browser or by hand: what was not on another device or in a file is gone."}
}

// Unkept notes that the browser keeps no copy of the program, so that it does not
// open without the laptop. why is the name of the browser's error (W3C, "Web IDL",
// names of DOMExceptions); "" where it has no service workers for this page.
func (a *App) Unkept(why string) {
	because := "the browser said " + why + "."
	switch why {
	case "":
		because = "this address is not https."
	case "SecurityError":
		because = "this device does not trust the laptop's certificate. The laptop shows how, under settings, devices, add a phone."
	case "QuotaExceededError":
		because = "it has no more room for this page."
	}
	a.unkept = "This page opens only while the laptop is on and near. What you write is kept here, but without the laptop you cannot get at it: the browser keeps no copy of the program, since " + because
}

// An Ask is what a tap or a form asks for.
type Ask struct {
	Method string // GET or POST
	At     string // path, query and fragment
	Form   string // of a POST, URL-encoded
	Photos []Photo
	Files  []pages.File // what else came with the form, byte for byte
}

// An Answer is the page a tap leads to.
type Answer struct {
	Status int
	At     string // where the page is, after redirects
	Body   string
	Type   string // media type of Body
	Name   string // of the file, where the answer is one to keep
	Fault  string // why nothing was answered: the page that was there stays, with all that is typed in it
	Broken bool   // the program has stumbled over itself and must be started again
	Busy   bool   // somebody is amid a card, a check or a form
	Posted bool   // the page is the answer to the form itself: at its address there is another
	Lacks  bool   // a forecast, which Finish works out
}

// Serve answers. It never panics: a panic is a Fault.
func (a *App) Serve(ask Ask) (answer Answer) {
	defer func() {
		if r := recover(); r != nil {
			answer = Answer{Status: 500, Broken: true, Fault: fmt.Sprintf(
				"The program stumbled over a fault of its own (%v). What you typed still stands here and is kept. Load the page again; then look in the logbook whether it was written down before you send it again.", r)}
		}
	}()
	a.trouble = ""
	if _, err := a.book.catchUp(); err != nil {
		a.trouble = err.Error()
	}
	method, at, form := ask.Method, ask.At, ask.Form
	if len(ask.Photos) > 0 {
		var err error
		if form, err = a.keepPhotos(form, ask.Photos); err != nil {
			return Answer{Status: 500, Fault: "Nothing was written down: " + err.Error()}
		}
	}
	for range 8 {
		u, err := url.Parse(at)
		if err != nil {
			return Answer{Status: 400, Fault: fmt.Sprintf("%q is no address: %v", at, err)}
		}
		req := pages.Request{Method: method, Path: u.Path, Query: u.Query()}
		if method == "POST" {
			if req.Form, err = url.ParseQuery(form); err != nil {
				return Answer{Status: 400, Fault: fmt.Sprintf("the form can't be read: %v", err)}
			}
			req.Files = ask.Files
		}
		a.shown = a.look() // before: what changes meanwhile is news
		a.book.lacked = false
		resp := a.serve(req)
		if resp.Status == 303 || resp.Status == 308 && method == "GET" {
			method, form = "GET", ""
			if at = resp.Location; !strings.Contains(at, "#") && u.Fragment != "" {
				at += "#" + u.Fragment
			}
			continue
		}
		answer := Answer{Status: resp.Status, At: at, Body: string(resp.Body), Type: resp.Type, Name: resp.Name, Busy: busy(u.Path), Posted: method == "POST", Lacks: a.book.soon != uuid.Nil}
		if answer.Posted {
			a.shown = a.look() // what it wrote itself is no news
		}
		if failed := a.book.failed; method == "POST" && failed != nil {
			answer.Fault = "Nothing was written down: " + failed.Error()
		}
		return answer
	}
	return Answer{Status: 500, Fault: fmt.Sprintf("%s leads round and round", ask.At)}
}

func (a *App) serve(req pages.Request) pages.Response {
	a.book.failed = nil
	if rest, ok := strings.CutPrefix(req.Path, Base+"/this"); ok && (rest == "" || rest == "/lines") {
		return a.this(req, rest)
	}
	if name, ok := strings.CutPrefix(req.Path, photoPath); ok {
		return a.photo(name)
	}
	return a.site.Serve(req)
}

// busy reports whether a page is one on which somebody is amid a job: nothing
// is changed under his hands there.
func busy(path string) bool {
	for _, part := range []string{"/task/", "/check/", "/write/", "/walk/"} {
		if strings.Contains(path, part) {
			return true
		}
	}
	return false
}

// Finish works out what the last answer lacks; then there is news. No answer is
// without it from then on.
func (a *App) Finish() { a.book.makeSoon() }

// CatchUp folds in what other tabs have written and returns how many entries
// that was.
func (a *App) CatchUp() (int, error) { return a.book.catchUp() }

// Watch puts a value into grew, if there is room, whenever entries have come.
func (a *App) Watch(grew chan<- struct{}) { a.book.Watch(grew) }

// A look is what pages show of more than one page's own: a change is news.
type look struct {
	entries              int
	alone, photos, files int // on this device only
	forecasts            int // made since the start that a page did without
	linked               bool
	why, unkept          string
}

func (a *App) look() (k look) {
	k.unkept, k.forecasts = a.unkept, a.book.made
	if a.link != nil {
		s, _ := a.link.Standing()
		k.linked, k.why = s.Linked, s.Why
	}
	peers := a.peers()
	a.book.Read(func(l *model.Logbook) {
		_, devices := l.Garage()
		k.entries = l.Len()
		k.alone, _ = l.Holders(model.Counting(peers, devices, a.book.Replica())).Alone()
	})
	l := a.lone()
	k.photos, k.files = len(l.photos), l.files
	return k
}

// News reports whether what the last page showed is out of date: there are more
// entries, or only where they are is another thing now, or what it lacked is there.
func (a *App) News() (entries, standing bool) {
	k := a.look()
	if !a.book.lacked {
		k.forecasts = a.shown.forecasts
	}
	return k.entries != a.shown.entries, k != a.shown
}

// peers are what other devices were last heard to hold.
func (a *App) peers() map[uuid.UUID]model.Peer {
	if a.link == nil {
		return nil
	}
	_, peers := a.link.Standing()
	return peers
}

// Close closes the store.
func (a *App) Close() error { return a.book.Close() }
