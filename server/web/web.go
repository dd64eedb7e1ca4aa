package web

import (
	"errors"
	"io"
	"io/fs"
	"log/slog"
	"mime"
	"net/http"
	"path"
	"slices"
	"strings"
	"time"

	"ampwright/client/pages"
	"ampwright/client/phone/bundle"
	"ampwright/client/static"
	"ampwright/sync/book"
	"ampwright/sync/keep"
)

// Config is what the handler needs.
type Config struct {
	Site  *pages.Site  // required
	Book  *book.Book   // required for the API
	Hosts []string     // names this server goes by, with their ports: "localhost:8470"; others get 421
	Token string       // of the API; empty turns the API off
	Link  http.Handler // answers other devices at /link; nil turns that off
	Phone fs.FS        // the phone's program as bundle.Load reads it; default what this program was compiled with

	// Key is the first part of every page's path, without which there is none: it
	// keeps out what else runs on this computer. Site has it as its Base, after a
	// slash. "" is for a network where Gate asks for a cookie instead.
	Key string

	// Pair answers at /pair, behind the Key, where phones are added; nil turns that
	// off.
	Pair http.Handler

	// Gate stands before whatever shows or takes in the logbook. Nil, on loopback,
	// lets in what has come so far.
	Gate func(http.Handler) http.Handler

	// Origins are the only ones whose pages may send or upgrade anything:
	// "https://garage-k3x7q2.local:7342". Nil, on loopback, leaves that to the guard
	// against other sites and to Link.
	Origins []string

	// Log hears of what was refused and from where: never of what was sent. Nil is
	// for nobody.
	Log *slog.Logger

	// Invite opens an invitation for another device and says until when; nil if
	// none can be had.
	Invite func() (text string, until time.Time)

	// Blobs keeps the photos that forms come with, and those that are shown; nil
	// turns photos off.
	Blobs keep.Blobs

	// Sync makes an exchange with another copy, for whoever holds the Token; nil if
	// none can be had.
	Sync http.HandlerFunc

	// Network lets other laptops in on the local network, or no longer, for whoever
	// holds the Token; nil if that cannot be.
	Network http.HandlerFunc

	// Backup writes a backup of the garage into a folder and returns its path; nil
	// if none can be had. Its file's name has no quotes.
	Backup func(folder string) (path string, err error)
}

const (
	maxBody   = 1 << 20  // of a form or a wish
	maxRecord = 16 << 20 // of a record's file

	maxBook = 64 << 20 // of a logbook that is brought in: some hundred thousand entries
	maxWish = 16 << 20 // of a wish of the command line, with the lines of a sheet
	maxFile = 8 << 20  // of a form with a file: one that is too large by half is still told so on its page
	maxLog  = 48 << 20 // of a form with a battery's log
)

// New returns the handler. A phone's program that is built by halves is a
// mistake in building this one: New panics.
func New(cfg Config) http.Handler {
	mux := http.NewServeMux()
	p, err := newPhone(load(cfg.Phone))
	if err != nil {
		panic(err)
	}
	if cfg.Gate == nil {
		cfg.Gate = func(h http.Handler) http.Handler { return h }
	}
	p.routes(mux)
	mux.HandleFunc("GET /static/{address}", serveStatic)
	if cfg.Token != "" {
		api := api{book: cfg.Book, token: cfg.Token}
		mux.Handle("GET /api/lines", api.guard(api.lines))
		mux.Handle("POST /api/lines", api.guard(api.add))
		mux.Handle("POST /api/wish", api.guard(api.wish))
		if cfg.Sync != nil {
			mux.Handle("POST /api/sync", api.guard(cfg.Sync))
		}
		if cfg.Network != nil {
			mux.Handle("POST /api/network", api.guard(cfg.Network))
		}
		if cfg.Invite != nil {
			mux.Handle("POST /api/invitation", api.guard(invitation(cfg.Invite)))
		}
	}
	if cfg.Link != nil {
		mux.Handle("GET /link", cfg.Gate(cfg.Link))
	}
	mux.HandleFunc("/api/", func(w http.ResponseWriter, r *http.Request) {
		http.Error(w, "there is nothing at "+r.URL.Path, http.StatusNotFound)
	})
	base := ""
	if cfg.Key != "" {
		base = "/" + cfg.Key
	}
	behind := http.NewServeMux()
	if cfg.Book != nil {
		behind.Handle("GET "+base+"/b/{build}/record.pdf", cfg.Gate(recordPDF{cfg.Book, cfg.Blobs}))
		behind.Handle("GET "+base+"/b/{build}/paper/{file}", cfg.Gate(listPDF{cfg.Book}))
		behind.Handle("POST "+base+"/b/{build}/record/verify", cfg.Gate(recordFile{page{site: cfg.Site}}))
	}
	if cfg.Backup != nil {
		behind.Handle("POST "+base+BackupPath, cfg.Gate(backup(cfg.Backup)))
	}
	site := page{cfg.Site, &darkroom{blobs: cfg.Blobs}}
	if cfg.Blobs != nil {
		behind.Handle("GET "+base+"/photo/{hash}", cfg.Gate(photo{cfg.Blobs, site}))
	}
	behind.Handle("/", cfg.Gate(site))
	if cfg.Pair != nil {
		behind.Handle(base+"/pair", cfg.Pair)
		behind.Handle(base+"/pair/", cfg.Pair)
	}
	mux.Handle("/", locked(cfg.Key, behind))
	r := refusals{cfg.Log}
	inner := r.exact(slices.Clone(cfg.Origins), limit(mux))
	return r.hosts(slices.Clone(cfg.Hosts), secure(r.sites().Handler(inner)))
}

func load(dir fs.FS) (*bundle.Bundle, error) {
	if dir == nil {
		return bundle.Embedded()
	}
	return bundle.Load(dir)
}

// Server returns a server for h with the timeouts that keep a slow or silent
// client from holding a connection. The caller sets the address.
func Server(h http.Handler) *http.Server {
	return &http.Server{
		Handler:           h,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       30 * time.Second,
		WriteTimeout:      60 * time.Second,
		IdleTimeout:       120 * time.Second,
		MaxHeaderBytes:    16 << 10,
	}
}

// hosts lets in requests that name this server as it is known. Another name
// that resolves here would give a foreign page this server's origin.
func (no refusals) hosts(allowed []string, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !slices.Contains(allowed, r.Host) {
			no.note(r, "host")
			SetHeaders(w.Header())
			http.Error(w, "this server does not go by that name", http.StatusMisdirectedRequest)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// exact lets in what the pages of some origins send or upgrade. A form's Origin is
// "null" where its page asks for no referrer (Fetch, "append a request Origin
// header"), as pages here do: there the browser's Sec-Fetch-Site, which no page can
// set, must say that it is the same. What says neither is no browser.
func (no refusals) exact(allowed []string, next http.Handler) http.Handler {
	if allowed == nil {
		return next
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		upgrade := r.Header.Get("Upgrade") != ""
		given := r.Header["Origin"]
		same := len(given) == 1 && slices.Contains(allowed, given[0])
		switch {
		case same, !upgrade && (r.Method == http.MethodGet || r.Method == http.MethodHead):
		case !upgrade && len(given) == 1 && given[0] == "null" && r.Header.Get("Sec-Fetch-Site") == "same-origin":
		default:
			no.note(r, "origin")
			http.Error(w, "only this server's own pages may send anything here", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// policy leaves pages nothing but their own style sheet, type, pictures and
// forms. The parts for scripts are for the phone's program; of the pages here only
// the items of a checklist have one, which keeps the screen on.
// That program swaps in the pages that its own Go made, so text must become HTML
// in one place: a Trusted Types policy of the name "ampwright", which the browser
// lets be made once (W3C, "Trusted Types").
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob:; " +
	"font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; object-src 'none'; base-uri 'none'; " +
	"form-action 'self'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types ampwright"

// forever is for what has an address that changes with its bytes.
const forever = "public, max-age=31536000, immutable"

// SetHeaders sets what every answer carries.
func SetHeaders(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
}

func secure(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		SetHeaders(w.Header())
		next.ServeHTTP(w, r)
	})
}

func limit(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		most := int64(maxBody)
		switch {
		case r.URL.Path == "/api/lines":
			most = maxBook
		case r.URL.Path == "/api/wish":
			most = maxWish
		case strings.HasSuffix(r.URL.Path, "/log"):
			most = maxLog
		case takesFile(r.URL.Path):
			most = maxFile
		case takesPhoto(r.URL.Path) && kindOf(r) == multipartForm:
			most = maxPhoto
		case strings.HasSuffix(r.URL.Path, "/record/verify"):
			most = maxRecord
		}
		r.Body = http.MaxBytesReader(w, r.Body, most)
		next.ServeHTTP(w, r)
	})
}

// serveStatic serves a file whose address changes with its bytes: a browser may
// keep it for ever.
func serveStatic(w http.ResponseWriter, r *http.Request) {
	f, ok := static.Get(r.PathValue("address"))
	if !ok {
		http.Error(w, "there is no such file", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", f.Type)
	w.Header().Set("Cache-Control", forever)
	w.Header().Set("Vary", "Accept-Encoding")
	body := f.Body
	if gz, ok := static.Gzip(r.PathValue("address")); ok && codes(r.Header.Get("Accept-Encoding"), "gzip") {
		w.Header().Set("Content-Encoding", "gzip")
		body = gz
	}
	w.Write(body)
}

// page moves bytes between HTTP and the site.
type page struct {
	site     *pages.Site
	darkroom *darkroom
}

func (p page) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	req := pages.Request{Method: r.Method, Path: r.URL.Path, Query: r.URL.Query()}
	if r.Method == http.MethodPost {
		if status, err := readForm(r); err != nil {
			http.Error(w, err.Error(), status)
			return
		}
		req.Form = r.PostForm
		var err error
		if req.Files, err = files(r); err != nil {
			http.Error(w, err.Error(), statusOf(err))
			return
		}
		if takesPhoto(r.URL.Path) {
			if req.Files, req.NoPhoto, err = p.darkroom.develop(req.Form, req.Files); err != nil {
				http.Error(w, "the photo could not be kept, and nothing was written down: "+err.Error(), http.StatusInternalServerError)
				return
			}
		}
	}
	p.answer(w, req)
}

// answer writes what the site answers.
func (p page) answer(w http.ResponseWriter, req pages.Request) {
	resp := p.site.Serve(req)
	h := w.Header()
	if resp.Name != "" {
		h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": resp.Name}))
	}
	for name, value := range map[string]string{"Content-Type": resp.Type, "Location": resp.Location, "Allow": resp.Allow} {
		if value != "" {
			h.Set(name, value)
		}
	}
	w.WriteHeader(resp.Status)
	w.Write(resp.Body)
}

// readForm reads a posted form; the status says what is wrong with it. A form
// with a file is as large as the limit of its path and kept in memory.
func readForm(r *http.Request) (int, error) {
	kind := kindOf(r)
	var err error
	switch {
	case kind == multipartForm && takesPhoto(r.URL.Path):
		err = r.ParseMultipartForm(inMemory)
	case kind == "application/x-www-form-urlencoded":
		err = r.ParseForm()
	case kind == multipartForm && takesFile(r.URL.Path):
		err = r.ParseMultipartForm(inMemory)
	default:
		return http.StatusUnsupportedMediaType, errors.New("a form is wanted as application/x-www-form-urlencoded")
	}
	return statusOf(err), err
}

const multipartForm = "multipart/form-data"

// kindOf returns the media type of what a request carries.
func kindOf(r *http.Request) string {
	kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";")
	return strings.ToLower(strings.TrimSpace(kind))
}

// takesFile reports whether a page's form may come with a file.
func takesFile(path string) bool {
	return strings.HasSuffix(path, "/bring") || strings.HasSuffix(path, "/log") || strings.HasSuffix(path, "/plans")
}

// files returns the files that a form came with.
func files(r *http.Request) ([]pages.File, error) {
	if r.MultipartForm == nil {
		return nil, nil
	}
	defer r.MultipartForm.RemoveAll()
	var all []pages.File
	for field, headers := range r.MultipartForm.File {
		for _, h := range headers {
			f, err := h.Open()
			if err != nil {
				return nil, err
			}
			data, err := io.ReadAll(f)
			f.Close()
			if err != nil {
				return nil, err
			}
			all = append(all, pages.File{Field: field, Name: path.Base(strings.ReplaceAll(h.Filename, "\\", "/")), Data: data})
		}
	}
	return all, nil
}

// statusOf tells a body that is too large from one that can't be read.
func statusOf(err error) int {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return http.StatusRequestEntityTooLarge
	}
	return http.StatusBadRequest
}
