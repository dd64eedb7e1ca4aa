package pages

import (
	"bytes"
	"context"
	"errors"
	"strconv"
	"strings"

	"ampwright/calc/bms"
	"ampwright/calc/unit"
	"ampwright/model/bring"
)

// logPage is all that log.html can see.
type logPage struct {
	*frame
	Action, Fault string
	Name, Says    string
	Sign, Hash    string
	Short         string // the beginning of the hash
	Km            string
	Bands         []bms.Band
	Figures       []cell
	Odd           []string
	Offers        []logOffer
	None          bool
}

// A logOffer is a reading that a person can take from the log.
type logOffer struct {
	Check, Href, Value, Why, No string
	Take                        quick
}

func (v *visit) log() (Response, error) { return v.logPage(statusOK, logPage{}) }

func (v *visit) logPage(status int, p logPage) (Response, error) {
	p.frame, p.Action = v.frame("log", "a battery's log"), v.at()+"/log"
	return v.render(status, "log.html", p)
}

// logFile shows what a log shows. Nothing of it is kept; a reading that is taken
// names the file and its hash.
func (v *visit) logFile() (Response, error) {
	name, data, err := v.logSent()
	p := logPage{Name: name, Km: strings.TrimSpace(v.req.Form.Get("km"))}
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
	for _, o := range bring.Offers(v.b, run, km) {
		w := o.Wish(name, run.Hash).Values
		take := quick{Button: "take it", Action: v.at() + "/write/read", Back: v.at() + "/check/" + o.Check, Once: v.cfg.Once(), Quiet: true}
		for _, field := range []string{"check", "note"} {
			take.Hidden = append(take.Hidden, cell{field, w[field][0]})
		}
		take.Hidden = append(take.Hidden, cell{"value", strings.Join(o.Value, "\n")})
		p.Offers = append(p.Offers, logOffer{o.Check, v.at() + "/check/" + o.Check, v.mark(strings.Join(o.Value, ", ")), o.Why, o.No, take})
	}
	p.None = len(p.Offers) == 0
	return v.logPage(statusOK, p)
}

func (v *visit) logSent() (string, []byte, error) {
	for _, f := range v.req.Files {
		if f.Field == "file" && len(f.Data) > 0 {
			return f.Name, f.Data, nil
		}
	}
	return "", nil, errors.New("no file was chosen")
}
