package app

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"time"

	"ampwright/client/markup"
	"ampwright/client/pages"
	"ampwright/client/words"
	"ampwright/model"
	"ampwright/model/lines"
	"ampwright/sync/link"

	"github.com/google/uuid"
)

// thisPage is all that this.html can see: the page about this device.
type thisPage struct {
	CSS, Icon, Home, At string
	Done, Fault         string
	InviteFault         string
	NameFault           string
	Notes               []string
	Name, Person        string
	Replica             string
	Entries             int
	State               string // the digest of what the entries say
	Alone               string // how many entries are on this device only
	Beside              string // the same of photos and kept files; "" for none
	Lone                []lonePhoto
	Files               bool // there are kept files among them
	Linked, Stranger    bool
	Standing            string
	Kept                bool
	Used, Room          string
	Version             string
}

// A lonePhoto is a photo that is on this phone only, to be saved as a file.
type lonePhoto struct{ Href, File string }

func (a *App) this(req pages.Request, rest string) pages.Response {
	if rest == "/lines" {
		return a.save()
	}
	p := thisPage{
		CSS: a.cfg.Asset("look.css"), Icon: a.cfg.Asset("icon.svg"), Home: Base + "/", At: Base + "/this", Notes: a.notes(),
		Name: a.cfg.Book.Device, Person: a.book.Person(), Replica: a.book.Replica().String(), Version: a.cfg.Version,
	}
	p.Name = cmp.Or(a.names()[a.book.Replica()], p.Name)
	status := 200
	if req.Method == "POST" {
		done, err := a.do(req.Form)
		if err == nil {
			a.done.token, a.done.text = a.cfg.Once(), done
			return pages.Response{Status: 303, Location: p.At + "?done=" + url.QueryEscape(a.done.token)}
		}
		status = 422
		switch fault := err.Error(); {
		case req.Form.Has("invite"):
			p.InviteFault = fault
		case req.Form.Has("called"):
			p.NameFault, p.Name, p.Person = fault, req.Form.Get("called"), req.Form.Get("person")
		default:
			p.Fault = fault
		}
	} else if token := req.Query.Get("done"); token != "" && token == a.done.token {
		p.Done = a.done.text
	}
	lone := a.lone()
	if p.Beside, p.Files = words.Lone(len(lone.photos), lone.files), lone.files > 0; p.Beside != "" {
		p.Beside += " on this phone only"
	}
	for _, id := range lone.photos {
		p.Lone = append(p.Lone, lonePhoto{photoPath + id.String(), id.String()[:8] + ".jpg"})
	}
	s := a.cfg.Storage()
	p.Kept, p.Used, p.Room = s.Kept, megabytes(s.Used), megabytes(s.Room)
	peers, now := a.peers(), a.cfg.Book.Now()
	names := a.names()
	a.book.Read(func(l *model.Logbook) {
		_, devices := l.Garage()
		alone, oldest := l.Holders(model.Counting(peers, devices, a.book.Replica())).Alone()
		p.Entries, p.State, p.Alone = l.Len(), model.DigestText(l.Digest()), words.Alone(alone, now.Sub(oldest.Time()))
	})
	if a.link != nil {
		s, _ := a.link.Standing()
		p.Linked, p.Stranger, p.Standing = s.Linked, s.Stranger, s.words(names, now)
	}
	return render(status, "this.html", p)
}

// render makes a page of one of this package's templates.
func render(status int, file string, page any) pages.Response {
	var out markup.Out
	writers[file](&out, page)
	return pages.Response{Status: status, Type: "text/html; charset=utf-8", Body: out.Bytes()}
}

// do does what a form asks for and says what came of it.
func (a *App) do(form url.Values) (done string, err error) {
	switch {
	case form.Has("called"):
		return a.call(form.Get("called"), form.Get("person"))
	case form.Has("invite"):
		if form.Get("name")+form.Get("person") != "" { // how it was called when it was paired
			if _, err := a.call(form.Get("name"), form.Get("person")); err != nil {
				return "", err
			}
		}
		return "The invitation is shown to the laptop: what both have comes together in a moment.", a.invite(form.Get("invite"))
	case !form.Has("persist"):
		n, err := a.read(form.Get("lines"))
		return fmt.Sprintf("%d new entries read and stored.", n), err
	case form.Get("persist") == "yes":
		return "The browser promises to keep this page's storage until you clear it yourself.", nil
	}
	return "The browser makes no promise to keep this page's storage: it may clear it when room is short. Put the page on the home screen and ask again, and save a file now and then.", nil
}

// invite takes up the invitation that was typed.
func (a *App) invite(text string) error {
	if a.link == nil {
		return errors.New("this device can't reach another one")
	}
	secret, err := link.ParseInvitation(text)
	if err != nil {
		return fmt.Errorf("%w: type it as the laptop shows it", err)
	}
	a.link.Invite(secret)
	return nil
}

// words says how the link is.
func (s Standing) words(names map[uuid.UUID]string, now time.Time) string {
	who := cmp.Or(names[s.With], "the laptop")
	text := "not linked: " + cmp.Or(s.Why, "no answer yet")
	switch {
	case s.Linked:
		text = "linked with " + who + " since " + s.Since.In(now.Location()).Format("15:04")
		if s.Why != "" {
			text += "; " + s.Why
		}
	case s.Stranger && s.Why == "":
		text = "not linked: the laptop does not know this device yet"
	case !s.Stranger && s.Again > 0:
		text += fmt.Sprintf("; the next attempt comes within %d s", int(s.Again.Seconds())+1)
	}
	return text
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
