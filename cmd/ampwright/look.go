package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"ampwright/calc/money"
	"ampwright/calc/unit"
	"ampwright/client/words"
	"ampwright/model"
	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/spf13/cobra"
)

// A view is what a reading command looks at.
type view struct {
	log   *model.Logbook
	build *model.Build // nil where the command is about the garage
	now   time.Time    // the moment the answers are for
	style unit.Style
	kept  *model.Holders // which other devices hold an entry; nil with --as-of: what they held then is not known
}

// A head opens every answer in JSON. Schema names the command and the version
// of its answer; fields may be added within a version, never changed or taken
// away.
type head struct {
	Schema string    `json:"schema"` // "ampwright/COMMAND/1"
	At     time.Time `json:"at"`     // the moment the answers are for
	Build  *buildRef `json:"build,omitempty"`
}

type buildRef struct {
	ID       uuid.UUID `json:"id"`
	Title    string    `json:"title"`
	Currency string    `json:"currency"` // ISO 4217; amounts are in its minor units
}

func (v view) head(command string) head {
	h := head{Schema: "ampwright/" + command + "/1", At: v.now.Truncate(time.Second)}
	if b := v.build; b != nil {
		h.Build = &buildRef{b.ID, b.Title, b.Currency}
	}
	return h
}

// lookAround gives f the logbook without a build.
func (p *program) lookAround(f func(view) error) error {
	h, err := p.enter(false)
	if err != nil {
		return err
	}
	err = h.Read(func(l *model.Logbook) error {
		v, err := p.view(l, h.Now())
		if err != nil {
			return err
		}
		settings, _ := v.log.Garage()
		v.style = settings.Style()
		if p.asOf == "" {
			v.kept = v.log.Holders(p.counting(v.log))
		}
		return f(v)
	})
	return closing(err, h)
}

// look returns what a reading command runs: it gives f the build that was asked
// for, and the words after the command.
func (p *program) look(f func(view, []string) error) func(*cobra.Command, []string) error {
	return func(_ *cobra.Command, args []string) error {
		return p.lookAround(func(v view) error {
			id, err := pick(v.log, v.now, p.build)
			if err != nil {
				return err
			}
			v.build, err = v.log.Build(id, v.now, plan.Builtin)
			if err != nil {
				return err
			}
			p.noteNewer(v)
			if note := v.build.PlanNote; note != "" {
				p.talk("note: %s", note)
			}
			return f(v, args)
		})
	}
}

// noteNewer says how much of the build this program does not understand.
func (p *program) noteNewer(v view) {
	if n := v.build.Newer; n > 0 {
		p.talk("note: %d %s from a newer version of the program and not understood here", n, plural(n, "entry is", "entries are"))
	}
}

// view returns the logbook as of the moment that was asked for: entries that
// were written later are left out.
func (p *program) view(l *model.Logbook, now time.Time) (view, error) {
	if p.asOf == "" {
		return view{log: l, now: now}, nil
	}
	at, err := moment("as-of", p.asOf, now)
	if err != nil {
		return view{}, err
	}
	if l.High() < model.StampAt(at.Add(time.Millisecond)) {
		return view{log: l, now: at}, nil
	}
	then := l.Fresh()
	err = l.All(func(raw []byte) error {
		e, err := model.Decode(raw)
		if err == nil && !e.Stamp.Time().After(at) {
			_, err = then.Add(raw)
		}
		return err
	})
	return view{log: then, now: at}, err
}

// pick returns the build a person means: the newest, or the one whose title or
// ID fits name.
func pick(l *model.Logbook, now time.Time, name string) (uuid.UUID, error) {
	ids := l.BuildIDs()
	if len(ids) == 0 {
		return uuid.Nil, &adviceError{
			fmt.Errorf("there is no build in this logbook at %s", now.Format(minute)),
			`start one: ampwright start small-motorcycle-hub "Trail bike" --currency EUR`,
		}
	}
	if name == "" {
		return ids[len(ids)-1], nil
	}
	var fits []uuid.UUID
	var names []string
	for _, id := range ids {
		title := "?"
		if b, err := l.Build(id, now, plan.Builtin); err == nil {
			title = b.Title
		}
		names = append(names, id.String()[:8]+" "+title)
		want := strings.ToLower(name)
		switch {
		case id.String() == want, strings.ToLower(title) == want:
			return id, nil
		case strings.Contains(strings.ToLower(title), want), len(want) >= 4 && strings.HasPrefix(id.String(), want):
			fits = append(fits, id)
		}
	}
	if len(fits) == 1 {
		return fits[0], nil
	}
	what := "is no build of this logbook"
	if len(fits) > 1 {
		what = fmt.Sprintf("fits %d builds", len(fits))
	}
	return uuid.Nil, wrong("the builds are: "+strings.Join(names, "; "), "--build %q %s", name, what)
}

// wording is what entries are put into words with.
func (v view) wording() words.Context {
	_, devices := v.log.Garage()
	return words.Context{Build: v.build, Entry: v.log.Line, Devices: devices, Style: v.style}
}

// money writes an amount of the build with its currency: "EUR 1,411.30".
func (v view) money(a money.Amount) string {
	return words.Context{Build: v.build, Style: v.style}.Money(int64(a))
}

// unknownKey is the error for a key that is not there. It names what begins
// alike.
func unknownKey(kind, key, list string, keys []string) error {
	var like []string
	for n := min(len(key), 8); n >= 2 && len(like) == 0; n-- {
		for _, k := range keys {
			if strings.HasPrefix(k, strings.ToLower(key[:n])) && len(like) < 4 {
				like = append(like, k)
			}
		}
	}
	hint := list
	if len(like) > 0 {
		slices.Sort(like)
		hint = "there is " + strings.Join(like, ", ") + "; " + list
	}
	return wrong(hint, "%s %q is not in this build", kind, key)
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
