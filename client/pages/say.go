package pages

import (
	"fmt"
	"strconv"
	"strings"

	"ampwright/calc/money"
	"ampwright/calc/unit"
	"ampwright/model"
)

// A said is an entry in words.
type said struct {
	Kind string // in a word or two
	Text string
	Note string
	At   model.When // the moment it speaks of
	Link link       // the task or check it is about
}

// Full is all of it in one line.
func (s said) Full() string { return sentence(": ", s.Kind, sentence("; ", s.Text, s.Note)) }

// say puts an entry into words. It is called under Book.Read.
func (v *visit) say(e model.Entry) said {
	switch b := e.Body.(type) {
	case *model.Replica:
		return said{Kind: "device", Text: sentence(", ", b.Device, "kept by "+b.Person)}
	case *model.BuildStart:
		return said{Kind: "build started", At: b.At, Note: b.Note, Text: sentence(", ", b.Title, "from plan "+b.Plan, "ceiling "+v.cents(b.Ceiling))}
	case *model.Work:
		return said{
			Kind: "hours", At: b.At, Note: b.Note, Link: v.taskLink(b.Task),
			Text: sentence("; ", v.hours(b.Minutes)+" on "+orNone(b.Task), by(b.Who), v.changed(b.Changes, b.Answered)),
		}
	case *model.ClockOn:
		return said{Kind: "clock on", At: b.At, Link: v.taskLink(b.Task), Text: sentence("; ", orNone(b.Task), by(b.Who))}
	case *model.ClockOff:
		s := said{Kind: "clock off", At: b.At, Note: b.Note, Text: v.changed(b.Changes, b.Answered)}
		if on, ok := v.b.Entry(b.On); ok {
			if on, ok := on.Body.(*model.ClockOn); ok {
				minutes := b.Minutes
				if minutes == 0 {
					minutes = (b.At.Unix - on.At.Unix + 30) / 60
				}
				s.Link = v.taskLink(on.Task)
				s.Text = sentence("; ", v.hours(minutes)+" on "+orNone(on.Task), s.Text)
			}
		}
		return s
	case *model.Reading:
		return v.sayReading(b)
	case *model.Change:
		return said{Kind: "change", At: b.At, Note: b.Note, Link: v.taskLink(b.Task), Text: sentence(" on ", v.titles(b.Changes), b.Task)}
	case *model.Note:
		return said{Kind: "note", At: b.At, Text: b.Text, Link: v.linkOf(b.Task, b.Check)}
	case *model.Photo:
		return said{Kind: "photo", At: b.At, Text: fmt.Sprintf("%s, %d kB", b.Type, b.Bytes/1000), Note: b.Note, Link: v.linkOf(b.Task, b.Check)}
	case *model.Set:
		return v.saySet(b)
	case *model.Strike:
		names := make([]string, len(e.Over))
		for i, id := range e.Over {
			names[i] = id.Short()
		}
		return said{Kind: "struck out", At: b.At, Text: strings.Join(names, ", "), Note: b.Reason}
	case *model.Meet:
		return said{Kind: "devices met", At: b.At, Text: fmt.Sprintf("its clock was %s", clockOff(b.Offset))}
	}
	if s, ok := v.sayMoney(e.Body); ok {
		return s
	}
	return v.sayRest(e.Body)
}

// sayMoney puts an entry about money into words.
func (v *visit) sayMoney(body model.Body) (said, bool) {
	switch b := body.(type) {
	case *model.Purchase:
		return said{
			Kind: "bought", At: b.At, Note: b.Note, Link: v.taskLink(b.Task),
			Text: sentence("; ", b.What+" for "+v.cents(b.Cents), from(b.Vendor), receipt(b.Receipt)),
		}, true
	case *model.Order:
		paid := ""
		if b.Unpaid {
			paid = "not paid yet"
		}
		return said{
			Kind: "ordered", At: b.At, Note: b.Note, Link: v.taskLink(b.Task),
			Text: sentence("; ", b.Label+": "+b.What+" for "+v.cents(b.Cents), from(b.Vendor), promised(v.date(b.Promised)), paid),
		}, true
	case *model.Arrival:
		what := b.Order.Short()
		if o, ok := v.b.Entry(b.Order); ok {
			if o, ok := o.Body.(*model.Order); ok {
				what = o.Label + ": " + o.What
			}
		}
		return said{Kind: "came", At: b.At, Text: what, Note: b.Note}, true
	case *model.Sale:
		costs := ""
		if b.Fee+b.Post > 0 {
			costs = "fees and post " + v.cents(b.Fee+b.Post)
		}
		return said{Kind: "sold", At: b.At, Note: b.Note, Link: v.taskLink(b.Task), Text: sentence("; ", b.What+" for "+v.cents(b.Cents), costs, b.Buyer)}, true
	case *model.Refund:
		return said{Kind: "money back", At: b.At, Note: b.Note, Text: sentence("; ", v.cents(b.Cents), b.What)}, true
	}
	return said{}, false
}

// sayRest puts the signatures and additions into words.
func (v *visit) sayRest(body model.Body) said {
	switch b := body.(type) {
	case *model.Nonconformance:
		return said{Kind: "nonconformance", At: b.At, Text: b.Label + ": " + b.Text, Note: b.Disposition, Link: v.linkOf(b.Task, b.Check)}
	case *model.Punch:
		return said{Kind: "open item", At: b.At, Text: "class " + b.Class + ": " + b.Text, Link: v.taskLink(b.Task)}
	case *model.Close:
		return said{Kind: "closed", At: b.At, Text: sentence("; ", b.Finding, v.closedOf(b.Of), b.Disposition), Note: b.Evidence}
	case *model.Concession:
		return said{Kind: "concession", At: b.At, Text: b.Check + ": " + b.Reason, Note: "second name " + b.Second, Link: v.linkOf("", b.Check)}
	case *model.Release:
		return said{Kind: "released", At: b.At, Text: sentence(", ", b.Point, seenBy(b.Witness)), Note: b.Note, Link: v.linkOf("", b.Point)}
	case *model.AddStage:
		return said{Kind: "stage added", Text: b.Key + ": " + b.Title}
	case *model.AddTask:
		return said{Kind: "task added", At: b.At, Text: b.Title, Note: b.Note, Link: v.taskLink(b.Key)}
	case *model.AddPart:
		return said{Kind: "part added", At: b.At, Text: b.Title, Link: v.taskLink(b.Task)}
	case *model.AddCheck:
		return said{Kind: "check added", At: b.At, Text: b.Title, Link: v.linkOf(b.Task, b.Key)}
	}
	return said{Kind: body.Kind(), Text: "from a newer version of the program; kept and passed on"}
}

func (v *visit) sayReading(b *model.Reading) said {
	text := ""
	switch {
	case b.Answer == model.AnswerYes:
		text = "yes"
	case b.Answer == model.AnswerNo:
		text = "no"
	case b.Answer == model.AnswerPhoto:
		text = "photo"
	default:
		var values []string
		for _, m := range b.Values {
			values = append(values, unit.FormatDecimal(unit.Decimal{Mantissa: m, Exp: int8(b.Exp)}, b.Unit, v.style()))
		}
		text = some(values, 4)
	}
	limit := ""
	if b.Limit != "" {
		limit = "limit then " + b.Limit
	}
	return said{
		Kind: "reading", At: b.At, Note: b.Note, Link: v.linkOf("", b.Check),
		Text: sentence("; ", sentence(": ", b.Check, sentence(", ", text, b.Seen)), typed(b.Typed), with(b.Instrument), seenBy(b.Witness), limit),
	}
}

// fieldNames are the fields of the garage's and build's things as people say them.
var fieldNames = map[string]string{"mark": "decimal mark", "checked": "last check", "theme": "light", "week": "hours a week", "on": "order of tasks"}

func (v *visit) saySet(b *model.Set) said {
	name := b.Field
	if n, ok := fieldNames[b.Field]; ok {
		name = n
	}
	value := b.Value
	switch {
	case b.What == "build" && b.Field == "ceiling", b.What == "part" && b.Field == "price":
		low, high, two := strings.Cut(b.Value, "/")
		value = v.cents(whole(low))
		if two {
			value += " to " + v.cents(whole(high))
		}
	case b.What == "build" && b.Field == "week":
		value = v.hours(whole(b.Value))
	case b.What == "spec":
		if s := v.b.Spec.Get(b.Key); s != nil {
			name, value = s.Title, sentence(" ", b.Value, unit.Symbol(s.Unit))
		}
	case b.What == "task" && b.Field == "estimate":
		value = strings.ReplaceAll(b.Value, "/", " / ") + " h"
	}
	s := said{Kind: b.What, At: b.At, Note: b.Note, Text: name + ": " + value}
	if b.Key != "" {
		s.Text = b.Key + " " + s.Text
	}
	switch b.What {
	case "task":
		s.Link = v.taskLink(b.Key)
		if b.Field == "state" {
			s.Kind, s.Text = "task "+b.Value, b.Key
			if b.Value == "open" {
				s.Kind = "task taken up"
			}
		}
	case "check":
		s.Kind, s.Link = "limit", v.linkOf("", b.Key)
	case "order":
		if id, err := model.ParseID(b.Key); err == nil {
			if o, ok := v.b.Entry(id); ok {
				if o, ok := o.Body.(*model.Order); ok {
					s.Text = o.Label + " " + name + ": " + v.date(value)
				}
			}
		}
	case "edge":
		before, after, _ := strings.Cut(b.Key, ">")
		s.Kind, s.Text = "order of tasks", before+" before "+after
		if b.Value == "off" {
			s.Text += " no longer"
		}
	}
	return s
}

// whole reads what the fold has written and checked: a whole number.
func whole(s string) int64 {
	n, _ := strconv.ParseInt(s, 10, 64)
	return n
}

func (v *visit) cents(c int64) string { return v.amount(money.Amount(c)) + " " + v.b.Currency }

func (v *visit) taskLink(key string) link { return v.linkOf(key, "") }

// linkOf leads to a check, else to a task, if the build has them.
func (v *visit) linkOf(task, check string) link {
	if c := v.b.Check(check); c != nil {
		return link{Href: v.at() + "/check/" + c.ID, Text: c.Title}
	}
	if t := v.b.Task(task); t != nil {
		return link{Href: v.at() + "/task/" + t.ID, Text: t.Title}
	}
	return link{}
}

func (v *visit) titles(kinds []string) string {
	var words []string
	for _, k := range kinds {
		words = append(words, lower(v.b.ChangeTitle(k)))
	}
	return strings.Join(words, ", ")
}

func (v *visit) changed(kinds []string, answered bool) string {
	switch {
	case len(kinds) > 0:
		return "changed: " + v.titles(kinds)
	case answered:
		return "changed nothing that matters to a reading"
	}
	return ""
}

// closedOf names what a close ends.
func (v *visit) closedOf(id model.ID) string {
	if id == (model.ID{}) {
		return ""
	}
	for _, n := range v.b.NCRs {
		if n.ID == id {
			return n.Label
		}
	}
	for _, p := range v.b.Punches {
		if p.ID == id {
			return p.Text
		}
	}
	return id.Short()
}

func clockOff(ms int64) string {
	s := (ms + 500) / 1000
	switch {
	case s == 0:
		return "the same to the second"
	case s > 0:
		return fmt.Sprintf("%d min %02d s ahead", s/60, s%60)
	}
	return fmt.Sprintf("%d min %02d s behind", -s/60, -s%60)
}

func orNone(task string) string {
	if task == "" {
		return "no task"
	}
	return task
}

// prefixed words for parts that may be missing
func by(who string) string        { return before("by ", who) }
func with(what string) string     { return before("with ", what) }
func from(who string) string      { return before("from ", who) }
func typed(text string) string    { return before("typed ", text) }
func seenBy(who string) string    { return before("seen by ", who) }
func promised(day string) string  { return before("promised for ", day) }
func receipt(which string) string { return before("receipt ", which) }
func before(word, s string) string {
	if s == "" {
		return ""
	}
	return word + s
}
