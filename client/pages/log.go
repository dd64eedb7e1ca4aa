package pages

import (
	"bytes"
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ampwright/calc/bms"
	"ampwright/calc/unit"
	"ampwright/model"
	"ampwright/model/bring"
)

// logPage is all that log.html can see.
type logPage struct {
	*frame
	Action, Fault string
	Sure          *quick // takes a value that was read back
	Name, Says    string
	Sign, Hash    string
	Short         string // the beginning of the hash
	Km            string
	Bands         []bms.Band
	Caption       string
	Figures       []cell
	Odd           []string
	Offers        []logOffer
	None          bool
	Most          int  // megabytes
	Keeps         bool // there is a place for the file
	Drop          bool // it is not to be kept
	Kept          bool
	Raw           string // where the kept file is; "" where it cannot be had
	Brought       string // where it can be struck out
}

// MaxLog bounds a log that a page takes, in bytes.
const MaxLog = 32 << 20

// A logOffer is a reading that a person can take from the log.
type logOffer struct {
	Check, Href, Value, Why, No string
	Take                        quick
}

func (v *visit) log() (Response, error) { return v.logPage(statusOK, logPage{}) }

func (v *visit) logPage(status int, p logPage) (Response, error) {
	p.frame, p.Action = v.frame("settings", "a battery's log"), v.at()+"/log"
	p.Most, p.Keeps, p.Brought = MaxLog>>20, v.cfg.Keep != nil, v.at()+"/bring"
	return v.render(status, "log.html", p)
}

// logFile shows what a log shows. The file is kept where it may be and there is a
// place for it; a reading that is taken names the file and its hash.
func (v *visit) logFile() (Response, error) {
	if v.req.Form.Get("do") == "take" {
		return v.logTake()
	}
	name, data, err := v.logSent()
	p := logPage{Name: name, Km: strings.TrimSpace(v.req.Form.Get("km")), Drop: v.req.Form.Get("keep") == ""}
	km := 0.0
	if err == nil && p.Km != "" {
		var d unit.Decimal
		if d, err = unit.Parse(p.Km, "km", v.style().Mark); err == nil && !(d.Float() > 0 && d.Float() <= 1e5) {
			err = errors.New("kilometres “" + p.Km + "”: want above 0 and at most 100000")
		}
		km = d.Float()
	}
	var run *bms.Run
	if err == nil {
		run, err = bms.Read(context.Background(), bytes.NewReader(data), bms.Options{})
	}
	if err != nil {
		p.Fault = err.Error()
		return v.logPage(statusUnprocessable, p)
	}
	p.Says, p.Hash, p.Bands = run.Says(), run.Hash, run.Bands()
	if len(p.Bands) == 2 { // letters in the picture would be too small on a phone
		p.Caption = fmt.Sprintf("pack voltage above, %s; current below, %s, out of the pack upwards; over the time under way", v.mark(p.Bands[0].Text), v.mark(p.Bands[1].Text))
	}
	p.Short = p.Hash[:min(16, len(p.Hash))]
	if run.SignWhy != "" {
		p.Sign = "above zero the current flows " + map[int]string{1: "out", -1: "in"}[run.Sign] + ": " + run.SignWhy
	}
	for _, f := range run.Figures(km) {
		p.Figures = append(p.Figures, cell{f.Name, v.mark(strconv.FormatFloat(f.Value, 'f', 2, 64)) + " " + unit.Symbol(f.Unit)})
	}
	for _, o := range run.Odd {
		p.Odd = append(p.Odd, o.String())
	}
	if p.Kept, err = v.logKeep(name, data, run, p.Drop); err != nil {
		p.Fault = "the file was not kept: " + err.Error()
	}
	if p.Kept && v.cfg.Raw != nil {
		p.Raw = v.rawHref(run.Hash)
	}
	for _, o := range bring.Offers(v.b, run, km) {
		if o.No == "" && v.b.HasRow(bring.LogRow(name, run.Hash, o).Key) {
			o.No = "it is in the logbook, from this log"
		}
		shown := o.Shown()
		value, why := strings.Join(shown, ", "), o.Why
		if len(shown) > 4 {
			value, why = count(len(shown), "value", "values"), o.Why+": "+v.mark(value)
		}
		take := quick{Button: "take it", Action: v.at() + "/log", Once: v.cfg.Once(), Quiet: true}
		for _, field := range []cell{{"do", "take"}, {"name", name}, {"hash", run.Hash}, {"how", bring.LogLength(run)}, {"check", o.Check}, {"why", o.Why}} {
			take.Hidden = append(take.Hidden, field)
		}
		take.Hidden = append(take.Hidden, cell{"value", strings.Join(o.Value, "\n")})
		p.Offers = append(p.Offers, logOffer{o.Check, v.at() + "/check/" + o.Check, v.mark(value), why, o.No, take})
	}
	p.None = len(p.Offers) == 0
	return v.logPage(statusOK, p)
}

// logKeep keeps the file of a log, unless it is here already or not wanted, and
// reports whether it is kept.
func (v *visit) logKeep(name string, data []byte, run *bms.Run, drop bool) (bool, error) {
	for _, s := range v.b.Brought {
		if hex.EncodeToString(s.Hash) == run.Hash && len(s.Pieces) > 0 {
			return true, nil
		}
	}
	if v.cfg.Keep == nil || drop {
		return false, nil
	}
	pieces, err := v.cfg.Keep(data)
	if err == nil {
		_, err = v.cfg.Book.Do(v.b.ID, bring.LogWish(name, run.Hash, bring.LogLength(run), pieces), "")
	}
	return err == nil, err
}

// logTake writes down a reading that was offered.
func (v *visit) logTake() (Response, error) {
	f := v.req.Form
	if p, ok := v.logSure(); !ok {
		return v.logPage(statusUnprocessable, p)
	}
	o := bring.Offer{Check: f.Get("check"), Why: f.Get("why"), Value: strings.Split(strings.ReplaceAll(f.Get("value"), "\r\n", "\n"), "\n")}
	w := bring.LogWish(f.Get("name"), f.Get("hash"), f.Get("how"), nil, o)
	if once := f.Get("once"); once != "" {
		w.Values["once"] = []string{once + " " + digest(f)}
	}
	out, err := v.cfg.Book.Do(v.b.ID, w, "")
	var wrong *model.WishError
	if errors.As(err, &wrong) {
		return v.logPage(statusUnprocessable, logPage{Fault: wrong.Error()})
	}
	if err != nil {
		return Response{}, err
	}
	out.Entries = out.Entries[min(1, len(out.Entries)):] // what was brought in, not that it was
	return Response{Status: statusSeeOther, Location: withDone(v.at()+"/check/"+o.Check, out)}, nil
}

// logSure reads back a value that is far from what is expected, as the form of a
// reading does; ok is false where somebody must look again.
func (v *visit) logSure() (p logPage, ok bool) {
	f := v.req.Form
	if f.Get(model.Sure) != "" {
		return p, true
	}
	w := model.Wish{Name: "read", Values: map[string][]string{"check": f["check"], "value": f["value"]}}
	var err error
	v.cfg.Book.Read(func(l *model.Logbook) {
		_, err = l.Write(v.b, w, model.Desk{Now: v.cfg.Book.Now(), Person: v.cfg.Book.Person(), Owner: v.cfg.Book.Person()})
	})
	var wrong *model.WishError
	if !errors.As(err, &wrong) || !slices.ContainsFunc(wrong.Fields, func(e *model.FieldError) bool { return e.Field == model.Sure }) {
		return p, true // what else is wrong is said when it is written
	}
	p.Fault = wrong.Error()
	p.Sure = &quick{Button: "the log does say so: take it", Action: v.at() + "/log", Once: v.cfg.Once(), Quiet: true}
	for _, name := range []string{"do", "name", "hash", "how", "check", "why", "value"} {
		p.Sure.Hidden = append(p.Sure.Hidden, cell{name, f.Get(name)})
	}
	p.Sure.Hidden = append(p.Sure.Hidden, cell{model.Sure, "yes"})
	return p, false
}

func (v *visit) logSent() (string, []byte, error) {
	for _, f := range v.req.Files {
		switch {
		case f.Field != "file":
		case len(f.Data) > MaxLog:
			return f.Name, nil, fmt.Errorf("%s has %d MB: a page takes at most %d MB; use ampwright bms", f.Name, len(f.Data)>>20, MaxLog>>20)
		case len(f.Data) == 0:
			return f.Name, nil, fmt.Errorf("%s: the file is empty", f.Name)
		default:
			return f.Name, f.Data, nil
		}
	}
	return "", nil, errors.New("no file was chosen")
}
