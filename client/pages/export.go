package pages

import (
	"bytes"
	"strings"

	"ampwright/model"
	"ampwright/model/ahead/aheadjson"
	"ampwright/model/calendar"
	"ampwright/model/lines"
	"ampwright/model/plan"
	"ampwright/model/tables"
	"ampwright/model/workbook"
)

// exportPage is all that export.html can see.
type exportPage struct {
	*frame
	Tables []link
	Others []exportLine

	Lessons string
}

type exportLine struct {
	Href, Name, Text string
	More             []link // the same in other ways
}

func (v *visit) exports() (Response, error) {
	p := exportPage{frame: v.frame("settings", "export")}
	at := v.at() + "/export/"
	for _, name := range tables.Names {
		p.Tables = append(p.Tables, link{Href: at + name + ".csv", Text: name})
	}
	next := exportLine{Href: at + "plan.json", Name: "the next plan", Text: "hours and prices as they came out, for a second build; with a learning rate of"}
	for _, r := range rates[1:] {
		next.More = append(next.More, link{Href: at + "plan.json?learning=" + r.value, Text: r.text})
	}
	p.Others = append(p.Others,
		exportLine{Href: at + "all.xlsx", Name: "all tables", Text: "a workbook (.xlsx) with a sheet for each"},
		exportLine{Href: at + "dates.ics", Name: "dates", Text: "days to order by, deliveries, checks that fall due: for a calendar (.ics)"}, next,
		exportLine{Href: at + "forecast.json", Name: "the forecast", Text: "hours, money and the day as chances (.json)"},
		exportLine{Href: at + "logbook.jsonl", Name: "the logbook", Text: "every entry of every build (.jsonl), with the seals under them; read back without loss"})
	p.Lessons = v.at() + "/lessons"
	return v.render(statusOK, "export.html", p)
}

// export answers with a file.
func (v *visit) export() (Response, error) {
	name, ext, _ := strings.Cut(v.args[0], ".")
	r := Response{Status: statusOK, Name: fileName(v.b) + "-" + v.args[0]}
	var out bytes.Buffer
	var err error
	switch {
	case ext == "csv":
		t, ok := tables.Of(v.b, name)
		if !ok {
			return Response{}, missing("there is no table %s", name)
		}
		r.Type = "text/csv; charset=utf-8"
		err = tables.WriteCSV(&out, t, v.style().Mark)
	case v.args[0] == "all.xlsx":
		r.Type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
		r.Body, err = workbook.Write(tables.All(v.b))
		return r, err
	case v.args[0] == "dates.ics":
		r.Type = "text/calendar; charset=utf-8"
		err = calendar.Write(&out, v.b.Title, calendar.Events(v.b), v.cfg.Book.Now())
	case v.args[0] == "plan.json":
		r.Type = "application/json"
		r.Body, err = plan.Next(v.b, model.Curve{Rate: rateOf(v.req.Query.Get("learning")).rate})
		return r, err
	case v.args[0] == "forecast.json":
		r.Type = "application/json"
		o, err := v.cfg.Book.Outlook(v.b.ID)
		if err == ErrLater { // nobody fills in a file afterwards
			o, err = v.cfg.Book.Outlook(v.b.ID)
		}
		if err != nil {
			return Response{}, err
		}
		r.Body = aheadjson.File(o)
		return r, nil
	case v.args[0] == "logbook.jsonl":
		r.Type = "application/x-ndjson"
		v.cfg.Book.Read(func(l *model.Logbook) { err = lines.WriteLogbook(&out, l) })
	case strings.HasPrefix(name, "raw-") && v.cfg.Raw != nil:
		return v.raw(strings.TrimPrefix(name, "raw-"))
	default:
		return Response{}, missing("there is nothing to export called %s", v.args[0])
	}
	r.Body = out.Bytes()
	return r, err
}

// fileName is the first word of a build's title in letters that any disk takes.
func fileName(b *model.Build) string {
	name := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return -1
	}, strings.ToLower(firstWord(b)))
	if name == "" {
		return "build"
	}
	return name
}
