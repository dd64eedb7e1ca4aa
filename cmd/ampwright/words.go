package main

import (
	"fmt"
	"strings"

	"ampwright/calc/money"
	"ampwright/calc/unit"
	"ampwright/model"

	"github.com/google/uuid"
)

// A told entry is what an entry says, in words.
type told struct {
	text  string
	at    model.When // the moment it speaks of; zero for none
	about []string   // keys of tasks, checks, parts and orders it names
}

// tell puts an entry into words. The view's build may be nil.
func (v view) tell(e model.Entry) told {
	t := &told{}
	switch b := e.Body.(type) {
	case *model.Replica:
		t.say("this copy of the logbook was begun on %s by %s", b.Device, b.Person)
	case *model.Meet:
		t.at = b.At
		t.say("met %s%s", v.device(b.With), clockWords(b.Offset))
	case *model.BuildStart:
		t.at = b.At
		t.say("build %q started from plan %s.%d%s", b.Title, b.Plan, b.PlanVersion, set(", ride on ", b.Target))
	case *model.Unknown:
		t.say("from a newer version of the program: %s", b.Name)
	case *model.Set:
		v.tellSet(t, b)
	case *model.Strike:
		t.at = b.At
		t.say("struck out %s: %s", shorts(e.Over), b.Reason)
	default:
		v.tellWork(t, b)
		v.tellCheck(t, b)
		v.tellMoney(t, b)
		v.tellPlan(t, b)
	}
	if t.text == "" {
		t.say("%s", e.Kind())
	}
	return *t
}

func (t *told) say(format string, args ...any) { t.text = fmt.Sprintf(format, args...) }

// of notes the keys an entry names.
func (t *told) of(keys ...string) {
	for _, k := range keys {
		if k != "" {
			t.about = append(t.about, strings.ToLower(k))
		}
	}
}

func (v view) tellWork(t *told, body model.Body) {
	switch b := body.(type) {
	case *model.Work:
		t.at = b.At
		t.of(b.Task)
		t.say("%s%s from %s%s%s%s", v.hours(b.Minutes), set(" on ", b.Task), clock(b.At), set(" by ", b.Who), changed(b.Changes), set(": ", b.Note))
	case *model.ClockOn:
		t.at = b.At
		t.of(b.Task)
		t.say("clock on%s%s", set(" ", b.Task), set(" by ", b.Who))
	case *model.ClockOff:
		t.at = b.At
		ran := ""
		if b.Minutes > 0 {
			ran = ", counted as " + v.hours(b.Minutes)
		}
		task := v.clockTask(b.On)
		t.of(task)
		t.say("clock off%s%s%s%s", set(" ", task), ran, changed(b.Changes), set(": ", b.Note))
	case *model.Change:
		t.at = b.At
		t.of(b.Task)
		t.say("changed: %s%s%s", strings.Join(b.Changes, ", "), set(" on ", b.Task), set(": ", b.Note))
	case *model.Note:
		t.at = b.At
		t.of(b.Task, b.Check)
		t.say("note%s%s: %s", set(" on ", b.Task), set(" on ", b.Check), b.Text)
	case *model.Photo:
		t.at = b.At
		t.of(b.Task, b.Check)
		t.say("photo %.8x%s%s%s", b.Hash, set(" of ", b.Task), set(" of ", b.Check), set(": ", b.Note))
	}
}

func changed(kinds []string) string { return set(", changed: ", strings.Join(kinds, ", ")) }

func (v view) tellCheck(t *told, body model.Body) {
	switch b := body.(type) {
	case *model.Reading:
		t.at = b.At
		t.of(b.Check)
		t.say("%s: %s%s%s%s", b.Check, v.reading(b), set(", with ", b.Instrument), set(", witness ", b.Witness), set(": ", b.Note))
	case *model.Nonconformance:
		t.at = b.At
		t.of(b.Label, b.Task, b.Check)
		t.say("%s raised%s%s: %s%s", b.Label, set(" on ", b.Task), set(" on ", b.Check), b.Text, set("; ", b.Disposition))
	case *model.Punch:
		t.at = b.At
		t.of(b.Task)
		t.say("on the punch list, class %s%s: %s", b.Class, set(", ", b.Task), b.Text)
	case *model.Close:
		t.at = b.At
		what := b.Finding
		if what == "" {
			what = v.named(b.Of)
		}
		t.of(what)
		t.say("closed %s: %s%s", what, b.Evidence, set("; ", b.Disposition))
	case *model.Concession:
		t.at = b.At
		t.of(b.Check)
		t.say("concession on %s, second name %s: %s", b.Check, b.Second, b.Reason)
	case *model.Release:
		t.at = b.At
		t.of(b.Point)
		t.say("released %s%s%s", b.Point, set(", witness ", b.Witness), set(": ", b.Note))
	}
}

// reading writes what was read, with the digits it was typed with.
func (v view) reading(b *model.Reading) string {
	show := func(m int64) string {
		return unit.FormatDecimal(unit.Decimal{Mantissa: m, Exp: int8(b.Exp)}, b.Unit, v.style)
	}
	switch {
	case b.Seen != "":
		return b.Seen
	case b.Answer == model.AnswerYes:
		return "yes"
	case b.Answer == model.AnswerNo:
		return "no"
	case b.Answer == model.AnswerPhoto || len(b.Photo) > 0:
		return "photo"
	case len(b.Values) > 1:
		low, high := b.Values[0], b.Values[0]
		for _, m := range b.Values {
			low, high = min(low, m), max(high, m)
		}
		return fmt.Sprintf("%d points, %s to %s", len(b.Values), show(low), show(high))
	case len(b.Values) == 1:
		return show(b.Values[0])
	}
	return "no value"
}

func (v view) tellMoney(t *told, body model.Body) {
	pay := func(cents int64) string { return v.money(money.Amount(cents)) }
	switch b := body.(type) {
	case *model.Purchase:
		t.at = b.At
		t.of(b.Task, b.Part)
		t.say("bought %s for %s%s%s%s", b.What, pay(b.Cents), set(" from ", b.Vendor), set(", for ", b.Task), set(": ", b.Note))
	case *model.Order:
		t.at = b.At
		t.of(append(b.Parts, b.Task, b.Label)...)
		unpaid := ""
		if b.Unpaid {
			unpaid = ", not paid yet"
		}
		t.say("ordered %s: %s for %s%s%s%s%s", b.Label, b.What, pay(b.Cents), set(" from ", b.Vendor), set(", promised for ", b.Promised), unpaid, set(": ", b.Note))
	case *model.Arrival:
		t.at = b.At
		t.of(v.named(b.Order))
		t.say("%s came%s", v.named(b.Order), set(": ", b.Note))
	case *model.Sale:
		t.at = b.At
		t.of(b.Task, b.Part)
		costs := ""
		if b.Fee+b.Post > 0 {
			costs = ", fees and post " + pay(b.Fee+b.Post)
		}
		t.say("sold %s for %s%s%s%s%s", b.What, pay(b.Cents), costs, set(" to ", b.Buyer), set(", from ", b.Task), set(": ", b.Note))
	case *model.Refund:
		t.at = b.At
		t.of(v.named(b.Of))
		t.say("%s came back on %s%s%s", pay(b.Cents), v.named(b.Of), set(": ", b.What), set(": ", b.Note))
	}
}

func (v view) tellPlan(t *told, body model.Body) {
	switch b := body.(type) {
	case *model.AddStage:
		t.say("added stage %s: %s", b.Key, b.Title)
	case *model.AddTask:
		t.at = b.At
		t.of(b.Key)
		t.say("added task %s to %s: %s%s", b.Key, b.Stage, b.Title, set(": ", b.Note))
	case *model.AddPart:
		t.at = b.At
		t.of(b.Key, b.Task)
		t.say("added part %s to %s: %d %s", b.Key, b.Task, max(b.Qty, 1), b.Title)
	case *model.AddCheck:
		t.at = b.At
		t.of(b.Key, b.Task)
		t.say("added check %s to %s: %s", b.Key, b.Task, b.Title)
	}
}

func (v view) tellSet(t *told, b *model.Set) {
	t.at = b.At
	t.of(b.Key)
	switch b.What + "/" + b.Field {
	case "task/state":
		t.say("%s is %s", b.Key, b.Value)
	case "task/estimate":
		t.say("estimate of %s: %s h", b.Key, b.Value)
	case "spec/value":
		t.say("spec sheet: %s = %s", b.Key, v.specText(b))
	case "check/min", "check/max":
		t.say("limit of %s: %s %s", b.Key, map[string]string{"min": "at least", "max": "at most"}[b.Field], b.Value)
	case "order/promised", "order/paid":
		label := b.Key
		if id, err := model.ParseID(b.Key); err == nil {
			label = v.named(id)
		}
		t.of(label)
		t.say("%s: %s %s", label, b.Field, b.Value)
	case "edge/on":
		before, after, _ := strings.Cut(b.Key, ">")
		t.of(before, after)
		word := "comes before"
		if b.Value != "on" {
			word = "no longer comes before"
		}
		t.say("%s %s %s", before, word, after)
	case "build/ceiling":
		t.say("ceiling: %s", v.minor(b.Value))
	case "build/week":
		t.say("hours a week: %s min", b.Value)
	case "part/price":
		low, high, _ := strings.Cut(b.Value, "/")
		t.say("price of %s: %s to %s", b.Key, v.minor(low), v.minor(high))
	default:
		t.say("%s: %s", strings.Join(strings.Fields(b.What+" "+b.Key+" "+b.Field), " "), b.Value)
	}
	t.text += set(": ", b.Note)
}

// specText writes a value of the spec sheet with its unit.
func (v view) specText(b *model.Set) string {
	if v.build == nil || v.build.Spec.Get(b.Key) == nil {
		return b.Value
	}
	in := v.build.Spec.Get(b.Key).Unit
	d, err := unit.Parse(b.Value, in, unit.Point)
	if err != nil {
		return b.Value
	}
	return unit.FormatDecimal(d, in, v.style)
}

// minor writes an amount that a field holds in minor units.
func (v view) minor(text string) string {
	var a int64
	if _, err := fmt.Sscan(text, &a); err != nil {
		return text
	}
	return v.money(money.Amount(a))
}

// named returns what people call an entry: its label where it has one.
func (v view) named(id model.ID) string {
	if v.build != nil {
		for _, o := range v.build.Orders {
			if o.ID == id {
				return o.Label
			}
		}
		for _, n := range v.build.NCRs {
			if n.ID == id {
				return n.Label
			}
		}
	}
	return id.Short()
}

// clockTask returns the task whose clock the entry started.
func (v view) clockTask(on model.ID) string {
	if l, ok := v.log.Line(on); ok {
		if b, ok := l.Body.(*model.ClockOn); ok {
			return b.Task
		}
	}
	return ""
}

func (v view) device(id uuid.UUID) string {
	_, devices := v.log.Garage()
	for _, d := range devices {
		if d.Replica == id {
			return d.Name
		}
	}
	return id.String()[:8]
}

// clockWords says how another device's clock stands against this one's.
func clockWords(offset int64) string {
	switch s := offset / 1000; {
	case s > 0:
		return fmt.Sprintf(", whose clock is %d s ahead", s)
	case s < 0:
		return fmt.Sprintf(", whose clock is %d s behind", -s)
	}
	return ""
}

func shorts(ids []model.ID) string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = id.Short()
	}
	return strings.Join(out, ", ")
}
