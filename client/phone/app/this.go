package app

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"strings"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/lines"
)

//go:embed this.html
var thisSource string

var thisTemplate = template.Must(template.New("this").Parse(thisSource))

// thisPage is all that this.html can see: the page about this device.
type thisPage struct {
	CSS, Icon, Home, At string
	Done, Fault         string
	Notes               []string
	Name, Person        string
	Replica             string
	Entries             int
	Kept                bool
	Used, Room          string
	Version             string
}

func (a *App) this(req pages.Request, rest string) pages.Response {
	if rest == "/lines" {
		return a.save()
	}
	p := thisPage{
		CSS: a.cfg.Asset("look.css"), Icon: a.cfg.Asset("icon.svg"), Home: Base + "/", At: Base + "/this", Notes: a.notes(),
		Name: a.cfg.Book.Device, Person: a.cfg.Book.Person, Replica: a.cfg.Book.Replica.String(), Version: a.cfg.Version,
	}
	status := 200
	switch {
	case req.Method != "POST":
	case req.Form.Has("persist"):
		p.Done = "The browser makes no promise to keep this page's storage: it may clear it when room is short. Put the page on the home screen and ask again, and save a file now and then."
		if req.Form.Get("persist") == "yes" {
			p.Done = "The browser promises to keep this page's storage until you clear it yourself."
		}
	default:
		n, err := a.read(req.Form.Get("lines"))
		if err != nil {
			status, p.Fault = 422, err.Error()
		} else {
			p.Done = fmt.Sprintf("%d new entries read and stored.", n)
		}
	}
	s := a.cfg.Storage()
	p.Kept, p.Used, p.Room = s.Kept, megabytes(s.Used), megabytes(s.Room)
	a.book.Read(func(l *model.Logbook) { p.Entries = l.Len() })
	var out bytes.Buffer
	if err := thisTemplate.Execute(&out, p); err != nil {
		panic(err)
	}
	return pages.Response{Status: status, Type: "text/html; charset=utf-8", Body: out.Bytes()}
}

// read stores the entries of a file that save or the laptop wrote, all or none.
func (a *App) read(text string) (int, error) {
	raws, seals, err := lines.Read(strings.NewReader(text))
	if err == nil && len(raws) == 0 {
		err = fmt.Errorf("there is no entry in it: a file is wanted that was saved here, or written by ampwright export")
	}
	if err != nil {
		return 0, err
	}
	return a.book.add(raws, seals...)
}

// save returns the whole logbook as JSON Lines.
func (a *App) save() pages.Response {
	var out bytes.Buffer
	var err error
	a.book.Read(func(l *model.Logbook) { err = lines.WriteLogbook(&out, l) })
	if err != nil {
		panic(err) // an entry in the fold always decodes
	}
	return pages.Response{Status: 200, Type: "application/x-ndjson", Body: out.Bytes()}
}

func megabytes(n int64) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%.1f MB", float64(n)/1e6)
}
