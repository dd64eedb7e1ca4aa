package pages

import (
	"errors"
	"fmt"
	"io"
	"net/url"
	"slices"
	"strings"
	"time"

	"ampwright/client/markup"
	"ampwright/model"
	"ampwright/model/ahead"
	"ampwright/model/plan"
	"ampwright/sync/book"

	"github.com/google/uuid"
)

// A Request is what a page is asked for. Path is decoded and begins with "/";
// Form is nil unless the method is POST.
type Request struct {
	Method, Path string
	Query, Form  url.Values
	Files        []File
	NoPhoto      string // why the photo that came with the form was not kept; then nothing is written down
}

// A File came with a form.
type File struct {
	Field, Name string // Name is without its folder
	Data        []byte
}

// A Response is a page, or with Status 303 or 308 where to go next.
type Response struct {
	Status   int
	Type     string // media type of Body
	Location string
	Allow    string // with 405: the methods the path takes
	Name     string // file name of a Body that is to be kept, not shown
	Body     []byte
}

// The statuses a Response can have, by their numbers in RFC 9110, section 15.
const (
	statusOK            = 200
	statusSeeOther      = 303
	statusMoved         = 308
	statusNotFound      = 404
	statusNotAllowed    = 405
	statusUnprocessable = 422
	statusInternal      = 500
)

// ErrLater is what a Book says in place of a forecast that it works out once the
// page is answered. The page then says so, and shows no figure.
var ErrLater = errors.New("being worked out")

// A Book is the open logbook that pages show and write to, see [book.Book].
type Book interface {
	Do(build uuid.UUID, w model.Wish, person string) (book.Outcome, error)
	Build(id uuid.UUID) (*model.Build, error)
	BuildIDs() []uuid.UUID
	Outlook(id uuid.UUID) (*ahead.Outlook, error) // or ErrLater
	Moved(id uuid.UUID, since time.Time) (ahead.Change, error)
	Weeks(id uuid.UUID) ([]ahead.Week, error)
	Read(func(*model.Logbook))
	Person() string
	Replica() uuid.UUID
	Now() time.Time
}

// Config is what a Site needs. Zero fields take the default named.
type Config struct {
	Book    Book                     // required
	Plans   []plan.Edition           // what a build can start from
	Once    func() string            // required: a new token that nobody can guess, for each form
	Asset   func(name string) string // where look.css and icon.svg are; default /static/ and the name
	Base    string                   // path before every page, such as "/garage"; no slash at its end
	Version string                   // of the program
	Device  string                   // path of a page about this very device, if there is one
	Notes   func() []string          // what must be known on this device before any page is believed

	Raw  func(s model.Bring, w io.Writer) error         // writes a file that was kept when it was brought in; nil where none are
	Keep func(data []byte) (pieces []string, err error) // keeps a file in blobs; nil where there is no place for it
	PDF  bool                                           // the server paints a build's record at record.pdf beside its page

	Backup string // path that a form is posted to for a backup in a file, if there is one

	// Peers says what other devices were last heard to hold; default nothing of
	// any.
	Peers    func() map[uuid.UUID]model.Peer
	Lone     func() (photos, files int) // that no other device is known to hold; default none
	HasPhoto func(hash [32]byte) bool   // whether its bytes are here; default as if all were
	AddPhone string                     // path where phones are added, if they can be
}

// A Site answers requests for pages. Any number may be answered at once if its
// Book allows that.
type Site struct {
	cfg   Config
	pages map[string]func(*markup.Out, any) // the writers, by template
}

// New returns a Site, or an error if cfg cannot work.
func New(cfg Config) (*Site, error) {
	if cfg.Book == nil || cfg.Once == nil {
		return nil, errors.New("pages: a book and a source of tokens are both needed")
	}
	if cfg.Base != "" && (!strings.HasPrefix(cfg.Base, "/") || strings.HasSuffix(cfg.Base, "/")) {
		return nil, fmt.Errorf("pages: base %q: want a path that begins with / and does not end with it", cfg.Base)
	}
	if cfg.Asset == nil {
		base := cfg.Base
		cfg.Asset = func(name string) string { return base + "/static/" + name }
	}
	cfg.Plans = slices.Clone(cfg.Plans)
	return &Site{cfg: cfg, pages: writers}, nil
}

// Serve answers one request. It never fails: what goes wrong is a page too.
func (s *Site) Serve(r Request) Response {
	v := &visit{Site: s, req: r}
	resp, err := v.serve()
	if err != nil {
		return v.wrong(err)
	}
	return resp
}

// A visit is one request while it is answered.
type visit struct {
	*Site
	req   Request
	b     *model.Build // nil on pages of the garage
	args  []string     // the variable parts of the path
	set   model.Settings
	lists []datalist
	kept  *model.Holders // while the logbook is held: see entryRows
	ids   int            // forms on the page so far
}

// A route is a path below a build, or below the root; "*" stands for any one part.
type route struct {
	path string
	get  func(*visit) (Response, error)
	post func(*visit) (Response, error)
}

var rootRoutes = []route{
	{"", (*visit).home, nil},
	{"plans", (*visit).plans, (*visit).addPlan},
	{"plans/*", (*visit).planVersions, nil},
	{"write/*", (*visit).askWish, (*visit).doWish},
	{"photo/*", (*visit).noPhoto, nil},
}

var buildRoutes = []route{
	{"", (*visit).bench, nil},
	{"tasks", (*visit).tasks, nil},
	{"task/*", (*visit).card, nil},
	{"checks", (*visit).checks, nil},
	{"check/*", (*visit).check, nil},
	{"walk/*", (*visit).walk, nil},
	{"walk/*/next", (*visit).walkNext, nil},
	{"walk/*/paper", (*visit).paper, nil},
	{"walk/*/*", (*visit).step, (*visit).doStep},
	{"walk/*/release/*", (*visit).release, (*visit).doRelease},
	{"spec", (*visit).spec, nil},
	{"whatif", (*visit).whatIf, nil},
	{"calc", (*visit).calcs, nil},
	{"calc/*", (*visit).calc, nil},
	{"parts", (*visit).parts, nil},
	{"money", (*visit).money, nil},
	{"forecast", (*visit).forecast, nil},
	{"moved", (*visit).moved, nil},
	{"findings", (*visit).findings, nil},
	{"logbook", (*visit).logbook, nil},
	{"entry/*", (*visit).entry, nil},
	{"record", (*visit).record, nil},
	{"record/verify", (*visit).askVerify, (*visit).doVerify},
	{"settings", (*visit).settings, nil},
	{"lessons", (*visit).lessons, (*visit).addNext},
	{"plan", (*visit).buildPlan, (*visit).movePlan},
	{"bring", (*visit).bring, (*visit).bringFile},
	{"log", (*visit).log, (*visit).logFile},
	{"export", (*visit).exports, nil},
	{"export/*", (*visit).export, nil},
	{"write/*", (*visit).askWish, (*visit).doWish},
}

func (v *visit) serve() (Response, error) {
	path, ok := strings.CutPrefix(v.req.Path, v.cfg.Base+"/")
	v.cfg.Book.Read(func(l *model.Logbook) { v.set, _ = l.Garage() })
	if !ok {
		return Response{}, missing("there is no page %s", v.req.Path)
	}
	id, rest, isBuild := cutBuild(path)
	if !isBuild {
		return v.route(rootRoutes, path)
	}
	build, err := uuid.Parse(id)
	if err == nil {
		v.b, err = v.cfg.Book.Build(build)
	} else {
		err = model.ErrNoBuild
	}
	if errors.Is(err, model.ErrNoBuild) {
		return Response{}, missing("there is no build %s in this logbook", id)
	}
	var none *model.NoPlanError
	if errors.As(err, &none) {
		return Response{}, missing("%s", none.Error())
	}
	if err != nil {
		return Response{}, err
	}
	if path == "b/"+id && v.getting() {
		return Response{Status: statusMoved, Location: v.at() + "/"}, nil
	}
	return v.route(buildRoutes, rest)
}

// cutBuild splits "b/ID/rest".
func cutBuild(path string) (id, rest string, ok bool) {
	rest, ok = strings.CutPrefix(path, "b/")
	if !ok {
		return "", "", false
	}
	id, rest, _ = strings.Cut(rest, "/")
	return id, rest, true
}

func (v *visit) getting() bool { return v.req.Method == "GET" || v.req.Method == "HEAD" }

func (v *visit) route(routes []route, path string) (Response, error) {
	for _, r := range routes {
		args, ok := match(r.path, path)
		if !ok {
			continue
		}
		v.args = args
		switch {
		case v.getting():
			return r.get(v)
		case v.req.Method == "POST" && r.post != nil:
			return r.post(v)
		}
		allow := "GET, HEAD"
		if r.post != nil {
			allow += ", POST"
		}
		return Response{}, &pageError{statusNotAllowed, allow, fmt.Sprintf("%s is not done here, want %s", v.req.Method, allow)}
	}
	return Response{}, missing("there is no page %s", strings.TrimPrefix(v.req.Path, v.cfg.Base))
}

// Routes returns the paths below Config.Base that a Site answers, "*" for any one
// part, such as /b/*/task/*; the first that fits is the one that answers.
func Routes() (paths []string) {
	for _, r := range buildRoutes {
		paths = append(paths, "/b/*/"+r.path)
	}
	for _, r := range rootRoutes {
		paths = append(paths, "/"+r.path)
	}
	return paths
}

// match compares a path with a pattern and returns what stands for its stars.
func match(pattern, path string) (args []string, ok bool) {
	want, have := strings.Split(pattern, "/"), strings.Split(path, "/")
	if len(want) != len(have) {
		return nil, false
	}
	for i, w := range want {
		switch {
		case w == "*" && have[i] != "":
			args = append(args, have[i])
		case w != have[i]:
			return nil, false
		}
	}
	return args, true
}

// at is the path of the build's bench without the slash at its end.
func (v *visit) at() string {
	if v.b == nil {
		return v.cfg.Base
	}
	return v.cfg.Base + "/b/" + v.b.ID.String()
}

// A pageError is an error with a status of its own.
type pageError struct {
	status int
	allow  string
	text   string
}

func (e *pageError) Error() string { return e.text }

func missing(format string, args ...any) error {
	return &pageError{status: statusNotFound, text: fmt.Sprintf(format, args...)}
}

// wrongPage is all that wrong.html can see.
type wrongPage struct {
	*frame
	Says   string
	Status int
	Text   string
}

// wrong turns an error into a page. It is the one place that does.
func (v *visit) wrong(err error) Response {
	p := &pageError{status: statusInternal, text: err.Error()}
	errors.As(err, &p)
	says := "not here"
	if p.status == statusInternal {
		says = "it went wrong"
	}
	page := wrongPage{frame: v.frame("", says), Says: says, Status: p.status, Text: p.text}
	resp, err := v.render(p.status, "wrong.html", page)
	if err != nil {
		return Response{Status: statusInternal, Type: "text/plain; charset=utf-8", Body: []byte(p.text + "\n")}
	}
	resp.Allow = p.allow
	return resp
}
