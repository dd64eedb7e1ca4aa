package pages

import (
	"net/url"
	"time"

	"ampwright/client/words"
	"ampwright/model"
)

// settingsPage is all that settings.html can see.
type settingsPage struct {
	*frame
	Garage, Build form
	Devices       []deviceLine
	Instruments   []instrument
	Instrument    form
	Adds          []quick
	Plan, Started string
	Target, Week  string
	PlanHash      string
	Alone         string // how many entries are on this device only
	Newer         string // and how many no program here understands
	Backup        string // where a form for a backup is posted to
	AddPhone      string // where phones are added; "" for nowhere
}

// A deviceLine is a replica of the logbook.
type deviceLine struct {
	Name, Person, Entries, Last string
	Contact, Lacks, Met, Clock  string
	Here, Off, Closed           bool
	Remarks                     []string
	StrikeOff, LetIn, NameIt    string // forms
}

func (v *visit) settings() (Response, error) {
	p := settingsPage{frame: v.frame("settings", "settings"), AddPhone: v.cfg.AddPhone}
	here := v.at() + "/settings"
	make := func(name string) form {
		k, _ := model.WishKindOf(name)
		values := url.Values{"back": {here}}
		v.fillIn(k, values)
		return v.form(k, values, nil, nil)
	}
	p.Garage, p.Build, p.Instrument = make("settings"), make("build"), make("instrument")
	p.Instruments = v.instruments()
	for i := range p.Instruments {
		p.Instruments[i].Checked = v.date(p.Instruments[i].Checked)
	}
	for _, d := range v.b.Devices {
		p.Devices = append(p.Devices, v.deviceLine(d))
	}
	p.Alone, p.Backup = words.Alone(v.alone()), v.cfg.Backup
	if n := v.b.Newer; n > 0 {
		p.Newer = count(n, "entry needs", "entries need") + " a newer version of the program"
	}
	for _, a := range []struct{ wish, text string }{
		{"add-stage", "add a stage"}, {"add-task", "add a task"}, {"add-part", "add a part"}, {"add-check", "add a check"}, {"sequence", "what comes first"},
	} {
		p.Adds = append(p.Adds, v.asks(a.wish, a.text, here))
	}
	b := v.b
	p.Plan, p.PlanHash = b.Plan.Title, b.Plan.Hash
	p.Started = v.when(b.StartAt) + ", " + b.Started.Person
	p.Target, p.Week = v.date(b.Target), ""
	if b.Week > 0 {
		p.Week = v.hours(b.Week)
	}
	return v.render(statusOK, "settings.html", p)
}

func (v *visit) deviceLine(d model.Device) deviceLine {
	l := deviceLine{
		Name: v.deviceName(d.Replica), Person: d.Person, Entries: count(d.Entries, "entry", "entries"), Last: v.stamped(d.Last), Met: v.when(d.Met),
		Here: d.Replica == v.cfg.Book.Replica(), Closed: d.Closed != nil, Remarks: words.Remarks(v.wording(), d),
	}
	if at := v.contact(d); !l.Here && !at.IsZero() {
		l.Contact = v.moment(at.In(v.now().Location()))
	}
	l.Lacks = v.lacks(d)
	q := url.Values{"device": {d.Replica.String()}, "back": {v.at() + "/settings"}}
	if !l.Closed {
		l.NameIt = v.at() + "/write/name-device?" + q.Encode()
	}
	if !l.Here && !l.Closed {
		l.StrikeOff = v.at() + "/write/strike-off?" + q.Encode()
	}
	if d.Held > 0 {
		l.LetIn = v.at() + "/write/let-in?" + q.Encode()
	}
	if !d.Met.IsZero() {
		l.Clock = words.Ahead(d.Offset)
		l.Off = d.Offset.Abs() > time.Minute
	}
	return l
}
