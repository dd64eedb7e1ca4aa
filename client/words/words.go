// Package words turns an entry of a logbook into words: the same on a page, on
// the command line and wherever else people read what was written. It makes no
// markup, does no I/O and reads no clock.
package words

import (
	"fmt"
	"strings"
	"time"

	"ampwright/calc/unit"
	"ampwright/model"

	"github.com/google/uuid"
)

// A Context is what an entry is read beside. The zero Context has words for
// every entry too: it calls by key or name what another would call by title.
type Context struct {
	Build   *model.Build                      // nil for the garage's entries
	Entry   func(model.ID) (model.Line, bool) // finds the entries that others name
	Devices []model.Device
	Style   unit.Style
	Day     func(time.Time) string // how a day is written; nil for 2026-11-20
}

// Said is an entry in words. All of them are plain text, and may hold whatever
// a person typed.
type Said struct {
	Kind        string // in a word or two
	Text        string
	Note        string   // a remark, a reason, what shows it
	Task, Check string   // keys of what it is about
	Also        []string // keys of the parts, orders, findings and others it names
}

// Full is all of it in one line.
func (s Said) Full() string { return Join(": ", s.Kind, Join("; ", s.Text, s.Note)) }

// Keys returns the keys of all it is about, each once.
func (s Said) Keys() []string {
	var keys []string
	seen := map[string]bool{"": true}
	for _, k := range append([]string{s.Task, s.Check}, s.Also...) {
		if !seen[k] {
			keys = append(keys, k)
		}
		seen[k] = true
	}
	return keys
}

// Of puts an entry into words.
func Of(c Context, e model.Entry) Said {
	switch b := e.Body.(type) {
	case *model.Replica:
		return Said{Kind: "device", Text: Join(", ", b.Device, before("kept by ", b.Person), c.continues(b.Was))}
	case *model.ReplicaClose:
		last := "none of its entries counts"
		if b.Upto != (model.ID{}) {
			last = "its last entry that counts is " + b.Upto.Short()
		}
		return Said{Kind: "device struck off", Text: Join("; ", c.device(b.Replica), last), Note: b.Reason}
	case *model.ReplicaAdmit:
		return Said{Kind: "let in", Text: shorts(b.Entries), Note: b.Reason}
	case *model.Meet:
		return Said{Kind: "devices met", Text: c.device(b.With) + ", its clock " + Ahead(time.Duration(b.Offset)*time.Millisecond)}
	case *model.BuildStart:
		return c.start(b)
	case *model.Work:
		return c.work(b)
	case *model.ClockOn:
		return Said{Kind: "clock on", Text: Join("; ", task(b.Task), before("by ", b.Who)), Task: b.Task}
	case *model.ClockOff:
		return c.clockOff(b)
	case *model.Change:
		return Said{Kind: "changed", Text: Join("; ", c.Changes(b.Changes), before("on ", b.Task)), Note: b.Note, Task: b.Task}
	case *model.Reading:
		return c.reading(b)
	case *model.Note:
		return Said{Kind: "note", Text: Join(": ", Join(", ", b.Task, b.Check), b.Text), Task: b.Task, Check: b.Check}
	case *model.Photo:
		return photo(b)
	case *model.Purchase:
		return c.purchase(b)
	case *model.Order:
		return c.order(b)
	case *model.Arrival:
		return c.arrival(b)
	case *model.Sale:
		return c.sale(b)
	case *model.Refund:
		return c.refund(b)
	case *model.Set:
		return c.set(b)
	case *model.Strike:
		return Said{Kind: "struck out", Text: shorts(e.Over), Note: b.Reason}
	case *model.Nonconformance:
		return Said{
			Kind: "nonconformance", Text: Join(": ", Join(" on ", b.Label, Join(", ", b.Task, b.Check)), b.Text),
			Note: Join("; ", b.Disposition, before("it will change ", c.Changes(b.Changes)), before("in its place ", b.Replacement), before("second name ", b.Second)),
			Task: b.Task, Check: b.Check, Also: []string{b.Label},
		}
	case *model.Punch:
		return Said{Kind: "open item", Text: Join(": ", Join(", ", before("class ", b.Class), b.Task), b.Text), Task: b.Task}
	case *model.Close:
		return c.closed(b)
	case *model.Concession:
		return Said{Kind: "concession", Text: Join(": ", b.Check, b.Reason), Note: before("second name ", b.Second), Check: b.Check}
	case *model.Release:
		return c.released(b)
	case *model.Resume:
		return Said{Kind: "taken up again", Text: Join("; ", b.List, before("from ", b.Check)), Note: again(b.Again), Check: b.Check}
	case *model.AddStage:
		return Said{Kind: "stage added", Text: Join(": ", b.Key, b.Title), Also: []string{b.Key}}
	case *model.AddTask:
		return Said{Kind: "task added", Text: Join(": ", Join(" to ", b.Key, b.Stage), b.Title), Note: b.Note, Task: b.Key}
	case *model.AddPart:
		return Said{
			Kind: "part added", Text: Join(": ", Join(" to ", b.Key, b.Task), fmt.Sprintf("%d %s", max(b.Qty, 1), b.Title)),
			Task: b.Task, Also: []string{b.Key},
		}
	case *model.AddCheck:
		return Said{Kind: "check added", Text: Join(": ", Join(" to ", b.Key, b.Task), b.Title), Task: b.Task, Check: b.Key}
	case *model.PlanFile:
		return planFile(b)
	case *model.PlanMove:
		return Said{Kind: "plan moved", Text: fmt.Sprintf("from %s to %s", b.Of(), b.To()), Note: b.Note}
	case *model.Signature:
		of := c.signOff(b.Of)
		return Said{Kind: "signed", Text: Join(", ", of, "key "+b.Fingerprint(), b.Alg), Also: []string{b.Of.String()}}
	case *model.Bring:
		what := fmt.Sprintf("%d %s of %s", b.Rows, plural(b.Rows, "entry", "entries"), b.What)
		kept := ""
		if len(b.Pieces) > 0 {
			kept = "the file is kept"
		}
		return Said{Kind: "brought in", Text: Join(", ", what, before("from ", b.File)), Note: Join("; ", b.How, kept)}
	}
	return Said{Kind: e.Kind(), Text: Newer}
}

func (c Context) released(b *model.Release) Said {
	var limits []string
	for _, l := range b.Limits {
		limits = append(limits, model.CriterionText(l, c.Style))
	}
	return Said{Kind: "released", Text: Join("; ", b.Point, before("witness ", b.Witness), before("under ", strings.Join(limits, ", "))), Note: b.Note, Check: b.Point}
}

// signOff names what a signature is under.
func (c Context) signOff(id model.ID) string {
	switch b := c.body(id).(type) {
	case *model.Release:
		return "release of " + b.Point
	case *model.Concession:
		return "concession on " + b.Check
	}
	return "entry " + id.Short()
}

// planFile puts a piece of a plan's file into words.
func planFile(b *model.PlanFile) Said {
	s := Said{Kind: "plan added", Text: fmt.Sprintf("%s version %d, %d bytes", b.Plan, b.Version, b.Bytes), Note: b.Note}
	if b.Pieces > 1 {
		s.Text += fmt.Sprintf(", piece %d of %d", b.Piece, b.Pieces)
	}
	return s
}

func again(all bool) string {
	if all {
		return "it and all after it are taken again"
	}
	return "it was looked at again"
}

// Newer is all there is to say of an entry of a kind, or with fields, that this
// version does not know.
const Newer = "from a newer version of the program; kept and passed on"

func (c Context) start(b *model.BuildStart) Said {
	ceiling, plan := "", b.Plan
	if b.Ceiling != 0 {
		ceiling = "ceiling " + c.amount(b.Ceiling, b.Currency)
	}
	if b.PlanVersion != 0 {
		plan = fmt.Sprintf("%s.%d", b.Plan, b.PlanVersion)
	}
	return Said{
		Kind: "build started", Note: b.Note,
		Text: Join("; ", b.Title, before("plan ", plan), ceiling, before("to ride on ", c.date(b.Target))),
	}
}

func (c Context) closed(b *model.Close) Said {
	what, key := b.Finding, b.Finding
	if what == "" {
		what, key = c.named(b.Of)
	}
	return Said{Kind: "closed", Text: Join(": ", what, b.Evidence), Also: []string{key},
		Note: Join("; ", b.Disposition, before("in its place ", b.Replacement), before("second name ", b.Second))}
}

// named returns what people call an entry, and its label if it has one.
func (c Context) named(id model.ID) (name, label string) {
	switch b := c.body(id).(type) {
	case *model.Order:
		name, label = b.Label, b.Label
	case *model.Nonconformance:
		name, label = b.Label, b.Label
	case *model.Punch:
		name = b.Text
	case *model.Purchase:
		name = b.What
	}
	if name == "" && id != (model.ID{}) {
		name = "entry " + id.Short()
	}
	return name, label
}

// body returns what another entry says, or nil where it is not here.
func (c Context) body(id model.ID) model.Body {
	if c.Entry != nil {
		if l, ok := c.Entry(id); ok {
			return l.Body
		}
	}
	return nil
}

func (c Context) device(id uuid.UUID) string {
	return model.Label(c.Devices, id)
}

// continues says which device another one continues, "" for none.
func (c Context) continues(was uuid.UUID) string {
	if was == uuid.Nil {
		return ""
	}
	return "continues " + c.device(was) + " under a new name"
}

func shorts(ids []model.ID) string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = id.Short()
	}
	return strings.Join(out, ", ")
}

func plural(n int64, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
