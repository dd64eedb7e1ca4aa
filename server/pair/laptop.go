package pair

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"net/http"
	"time"
)

//go:embed laptop.html
var laptopSource string

var laptopTemplate = template.Must(template.New("laptop").Parse(laptopSource))

// laptop is all that laptop.html can see.
type laptop struct {
	assets
	Fault                 string
	Home, Here            string // paths of the garage\'s pages, and of this one
	Listens, Adding       bool
	Addresses             bool // the way chosen
	Fingerprint, Mute     string
	Setup, Pair           string // addresses
	SetupPicture, Picture template.HTML
	View
	Left   string // time until the window shuts
	Phones []phoneLine
	State  string
}

type phoneLine struct{ ID, Name, Paired, Last, Replica string }

// Laptop answers on loopback at /pair below a base path: GET shows, POST does what
// the form's field "do" says.
func (d *Desk) Laptop(base string) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET "+base+"/pair", func(w http.ResponseWriter, r *http.Request) { d.show(w, base, http.StatusOK, "") })
	mux.HandleFunc("POST "+base+"/pair", func(w http.ResponseWriter, r *http.Request) {
		if err := d.do(r); err != nil {
			d.show(w, base, http.StatusUnprocessableEntity, err.Error())
			return
		}
		http.Redirect(w, r, base+"/pair", http.StatusSeeOther)
	})
	return mux
}

func (d *Desk) do(r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	id := r.PostForm.Get("id")
	switch do := r.PostForm.Get("do"); do {
	case "add":
		return d.Add(r.PostForm.Get("by") == "address")
	case "stop":
		return d.Stop()
	case "same":
		return d.window.Answer(id, true, d.cfg.Now())
	case "different":
		return d.window.Answer(id, false, d.cfg.Now())
	case "drop":
		return d.Drop(id)
	default:
		return fmt.Errorf("do %q, want add, stop, same, different or drop", do)
	}
}

func (d *Desk) show(w http.ResponseWriter, base string, status int, fault string) {
	p, err := d.look()
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	p.Fault, p.Home, p.Here = fault, base+"/", base+"/pair"
	var out bytes.Buffer
	if err := laptopTemplate.Execute(&out, p); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if p.Open {
		w.Header().Set("Refresh", "2; url="+p.Here) // until a phone has come, and a person answered
	}
	w.WriteHeader(status)
	w.Write(out.Bytes())
}

// look gathers what the page shows.
func (d *Desk) look() (laptop, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.cfg.Now()
	p := laptop{assets: look, View: d.window.View(now), Listens: d.lan != nil, Adding: d.setup != nil}
	for _, f := range d.phones.List() {
		l := phoneLine{ID: f.ID, Name: f.Name, Paired: f.Paired.Local().Format(time.DateTime), Last: f.Last.Local().Format(time.DateTime)}
		if f.Replica != [16]byte{} {
			l.Replica = f.Replica.String()[:8]
			if d.cfg.Called != nil {
				l.Name = d.cfg.Called(f.Replica)
			}
		}
		p.Phones = append(p.Phones, l)
	}
	if d.cfg.State != nil {
		p.State = d.cfg.State()
	}
	if d.authority == nil {
		return p, nil
	}
	p.Addresses, p.Fingerprint = d.authority.Addresses, d.authority.Fingerprint()
	if d.lan == nil || d.setup == nil {
		return p, nil
	}
	if d.lan.mute != nil {
		p.Mute = d.lan.mute.Error()
	}
	own := d.cfg.Addresses()
	where := place(d.authority, own)
	p.Pair = where.Origins[len(where.Origins)-1] + "/pair"
	p.Setup = "http://" + d.authority.Name + ":" + d.setupAt + "/"
	if len(own) > 0 { // by number: a name may not be found yet
		p.Setup = "http://" + own[0].String() + ":" + d.setupAt + "/"
	}
	p.Left = p.Until.Sub(now).Round(time.Second).String()
	var err error
	if p.SetupPicture, err = picture(p.Setup, "the address of the first step, as a QR code"); err != nil {
		return p, err
	}
	if p.View.Picture != "" {
		p.Picture, err = picture(p.Pair+"#"+p.View.Picture, "the address for pairing with its secret, as a QR code")
	}
	return p, err
}
