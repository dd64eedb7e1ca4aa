package main

import (
	"fmt"
	"strings"
	"time"

	"ampwright/client/words"
	"ampwright/model"
	"ampwright/model/plan"
	"ampwright/sync/book"

	"github.com/google/uuid"
)

// homeWriter is what writing needs of a [garage.Home].
type homeWriter interface {
	Do(build uuid.UUID, w model.Wish, person string) (book.Outcome, error)
	Read(f func(*model.Logbook) error) error
	Now() time.Time
}

// writtenJSON is what came of a writing command.
type writtenJSON struct {
	head
	Entries []string      `json:"entries"` // names of what was written
	Texts   []string      `json:"texts"`   // the same in words
	Raised  []findingJSON `json:"raised"`  // findings that were not there before
	Stale   []checkJSON   `json:"stale"`   // checks that became stale
}

// written says what was written, what it raised and what became stale. The
// names of the entries are the answer; the rest is talk.
func (p *program) written(l *model.Logbook, now time.Time, k *model.WishKind, out book.Outcome) error {
	v := view{log: l, now: now}
	settings, _ := l.Garage()
	v.style = settings.Style()
	if out.Build != uuid.Nil {
		b, err := l.Build(out.Build, now, plan.Builtin)
		if err != nil {
			return fmt.Errorf("written as %s, but: %w", strings.Join(ids(out.Entries), ", "), err)
		}
		v.build = b
	}
	body := writtenJSON{head: v.head(k.Name), Entries: ids(out.Entries), Texts: []string{}, Raised: []findingJSON{}, Stale: newChecks(v, out.Stale)}
	for _, id := range out.Entries {
		if line, ok := l.Line(id); ok {
			body.Texts = append(body.Texts, words.Of(v.wording(), line.Entry).Full())
		}
	}
	for _, f := range out.Raised {
		body.Raised = append(body.Raised, newFinding(f))
	}
	if p.json {
		return p.printJSON(body)
	}
	for i, text := range body.Texts {
		p.talk("written: %s", oneLine(text))
		for _, more := range v.consequences(out.Entries[i]) {
			p.talk("  %s", oneLine(more))
		}
	}
	raised := map[string]int{}
	for _, f := range body.Raised {
		raised[f.Text]++
	}
	for _, f := range body.Raised {
		switch n := raised[f.Text]; {
		case n > 1:
			p.talk("raised %d times: %s: %s", n, f.Kind, oneLine(f.Text))
		case n == 1:
			p.talk("raised: %s: %s", f.Kind, oneLine(f.Text))
		}
		raised[f.Text] = 0
	}
	for _, c := range body.Stale {
		p.talk("now stale: %s (%s), measure again: %s", c.Key, c.Cause.words(), oneLine(c.Title))
	}
	for _, name := range body.Entries {
		fmt.Fprintln(p.out, name)
	}
	return nil
}

// consequences says what an entry means where that is not plain from its words:
// the verdict of a reading, changes that count because nobody said.
func (v view) consequences(id model.ID) []string {
	var out []string
	if v.build == nil {
		return nil
	}
	for _, c := range v.build.Checks {
		for _, r := range c.Readings {
			if r.ID != id {
				continue
			}
			text := string(r.Measured)
			if limit := c.LimitText(v.style); limit != r.Limit { // in this garage's units
				text += set(", limit ", limit)
			}
			if r.Measured == model.Out && c.OnFail != "" {
				text += "; if it fails: " + c.OnFail
			}
			if r.Verdict == model.Stale {
				text += "; stale already: " + newCause(r.Cause).words()
			}
			if r.Measured == model.Within && c.Witness() && r.Reading.Witness == "" {
				text += "; it stays shut: no witness named (--witness)"
			}
			out = append(out, text)
		}
	}
	for _, n := range v.build.NCRs {
		if n.ID != id || len(n.Changes) == 0 {
			continue
		}
		var stale []string
		for _, c := range v.build.WouldStaleBy(n.Changes...) {
			stale = append(stale, c.ID)
		}
		if stale != nil {
			out = append(out, "once that is done it makes stale, to be measured again: "+strings.Join(stale, ", "))
		}
	}
	for _, d := range v.build.Money.Doubles {
		if d[1].ID == id {
			out = append(out, fmt.Sprintf("the same amount for the same thing as %s of %s: booked twice? ampwright strike %s", d[0].ID.Short(), day(d[0].At), id.Short()))
		}
	}
	for _, w := range v.build.Hours.Work {
		if (w.ID == id || w.ClockOff == id) && w.Assumed {
			out = append(out, "nobody said what it changed, so all that "+w.Task+" may change counts: "+strings.Join(w.Changes, ", ")+
				`; next time say --changes none, or which`)
		}
	}
	return out
}
