package pages

import (
	"fmt"
	"net/url"

	"ampwright/client/words"
	"ampwright/model"
)

// An entryRow is one line of the logbook.
type entryRow struct {
	ID, Short    string
	Href         string
	Kind, Text   string
	Note         string
	About        link
	Written      string // when, by this device's clock
	Speaks       string // the moment it speaks of, where that is another
	Person       string
	Device       string
	Number       uint64
	Struck       bool
	Replaced     bool
	Held         bool
	Kept         string     // where it is
	Clock        string     // how its device's clock was off, where it was
	Ends         []entryEnd // what struck it out or took its place
	Over         []link     // what it strikes out or replaces
	Strike, Anew string     // forms
}

// An entryEnd is an entry that ended another.
type entryEnd struct {
	How, Reason string
	link
}

// entryRows puts lines of the logbook into words. lines is called while the
// logbook is held.
func (v *visit) entryRows(lines func() []model.Line) []entryRow {
	var rows []entryRow
	peers := v.counting()
	v.cfg.Book.Read(func(l *model.Logbook) {
		v.kept = l.Holders(peers)
		for _, l := range lines() {
			rows = append(rows, v.entryRow(l))
		}
		v.kept = nil
	})
	return rows
}

// lineOf is the line of one entry, for entryRows.
func (v *visit) lineOf(id model.ID) []model.Line {
	if l, ok := v.b.Entry(id); ok && (l.Build == v.b.ID || l.Build == [16]byte{}) {
		return []model.Line{l}
	}
	return nil
}

func (v *visit) entryRow(l model.Line) entryRow {
	s := v.say(l.Entry)
	r := entryRow{
		ID: l.ID.String(), Short: l.ID.Short(), Href: v.at() + "/entry/" + l.ID.String(), Kind: s.Kind, Text: s.Text, Note: s.Note,
		About: v.linkOf(s.Task, s.Check), Written: v.stamped(l.Stamp), Number: l.Seq, Struck: l.Struck, Replaced: l.Replaced, Held: l.Held,
		Kept: v.keptWhere(l.ID),
	}
	if l.Clock.Abs() > model.MaxLead {
		r.Clock = words.Ahead(l.Clock)
	}
	if f, ok := v.b.FactOf(l.ID); ok {
		r.Person, r.Device = f.Person, v.deviceName(l.Replica)
	}
	if !l.Moment.IsZero() {
		if apart := l.Stamp.Time().Unix() - l.Moment.Unix; apart > 3600 || apart < -600 {
			r.Speaks = v.when(l.Moment)
		}
	}
	for _, id := range l.By {
		by, ok := v.b.Entry(id)
		if !ok || by.Struck {
			continue
		}
		end := entryEnd{How: "replaced by", link: link{Href: v.at() + "/entry/" + id.String(), Text: id.Short()}}
		if k, ok := by.Body.(*model.Strike); ok {
			end.How, end.Reason = "struck out by", k.Reason
		}
		r.Ends = append(r.Ends, end)
	}
	if of, ok := v.b.TwinOf(l.ID); ok && !l.Struck && !l.Replaced {
		r.Ends = append(r.Ends, entryEnd{How: "not counted: the same line of a sheet as", link: link{Href: v.at() + "/entry/" + of.String(), Text: of.Short()}})
	}
	for _, id := range l.Over {
		r.Over = append(r.Over, link{Href: v.at() + "/entry/" + id.String(), Text: id.Short()})
	}
	closes := l.Kind() == "replica.close" || l.Kind() == "replica.admit"
	if (l.Build == v.b.ID || closes) && !l.Struck && l.Kind() != "build" {
		q := url.Values{"entry": {r.ID}, "back": {v.at() + "/logbook"}}
		r.Strike = v.at() + "/write/strike?" + q.Encode()
		if !l.Replaced {
			r.Anew = v.anew(l.Entry)
		}
	}
	return r
}

// anew is the form that writes an entry once more, in place of the wrong one:
// all that was said stands in it, but no reading.
func (v *visit) anew(e model.Entry) string {
	q := url.Values{"instead": {e.ID.String()}, "back": {v.at() + "/logbook"}}
	put := func(pairs ...string) {
		for i := 0; i < len(pairs); i += 2 {
			if pairs[i+1] != "" {
				q.Set(pairs[i], pairs[i+1])
			}
		}
	}
	wish := ""
	switch b := e.Body.(type) {
	case *model.Work:
		wish = "hours"
		put("task", b.Task, "note", b.Note, "who", b.Who, "at", typedMoment(b.At))
		q["changes"] = b.Changes
	case *model.Reading:
		wish = "read"
		put("check", b.Check, "instrument", b.Instrument, "witness", b.Witness, "note", b.Note, "photo", fmt.Sprintf("%x", b.Photo), "at", typedMoment(b.At))
	case *model.Purchase:
		wish = "buy"
		put("what", b.What, "task", b.Task, "part", b.Part, "vendor", b.Vendor, "receipt", b.Receipt, "note", b.Note, "photo", fmt.Sprintf("%x", b.Photo), "at", typedMoment(b.At))
	case *model.Sale:
		wish = "sell"
		put("what", b.What, "task", b.Task, "part", b.Part, "buyer", b.Buyer, "note", b.Note, "at", typedMoment(b.At))
	case *model.Note:
		wish = "note"
		put("text", b.Text, "task", b.Task, "check", b.Check, "at", typedMoment(b.At))
	case *model.Photo:
		wish = "photo"
		put("photo", fmt.Sprintf("%x", b.Hash), "task", b.Task, "check", b.Check, "part", b.Part, "note", b.Note, "at", typedMoment(b.At))
	case *model.Punch:
		wish = "punch"
		put("class", b.Class, "text", b.Text, "task", b.Task, "at", typedMoment(b.At))
	default:
		return ""
	}
	return v.at() + "/write/" + wish + "?" + q.Encode()
}

// typedMoment writes a moment as a form takes it.
func typedMoment(w model.When) string { return w.Time().Format("2006-01-02T15:04:05Z07:00") }
