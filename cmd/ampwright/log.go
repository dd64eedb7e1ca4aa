package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"ampwright/client/words"
	"ampwright/model"
	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/spf13/cobra"
)

type logJSON struct {
	head
	Total   int         `json:"total"`   // entries that fit
	Entries []entryJSON `json:"entries"` // newest first
}

type entryJSON struct {
	Entry    string     `json:"entry"`
	Kind     string     `json:"kind"`
	Text     string     `json:"text"`
	At       *time.Time `json:"at"`      // the moment it speaks of
	Written  time.Time  `json:"written"` // when it was written, by the device's clock
	Who      string     `json:"who"`
	Device   string     `json:"device"`
	Replica  uuid.UUID  `json:"replica"`
	Seq      uint64     `json:"seq"` // its number in the replica's chain
	About    []string   `json:"about"`
	Over     []string   `json:"over"` // entries it replaces or strikes out
	Struck   bool       `json:"struck"`
	Replaced bool       `json:"replaced"`
	Held     bool       `json:"held"`          // written by a device after it was struck off: it counts for nothing
	ClockMs  int64      `json:"clockOffsetMs"` // how far the device's clock was off when next measured
	By       []string   `json:"by"`            // entries that struck it out or replaced it
	KeptOn   []string   `json:"keptOn"`        // other devices known to hold it; null with --as-of
}

func (p *program) log() *cobra.Command {
	c := &cobra.Command{
		Use: "log [KEY|ENTRY]", Short: "the logbook as it was written, newest first",
		Long: `Shows the entries of the build and of the garage, newest first: the first letters
of the name, the moment, who on which device, and what. With a key only entries
about that task, check, part or order; with the first letters of an entry's name
that entry in full. What was struck out or replaced stays readable. Beside each
stands where it is kept, as far as other devices have said; the last line counts
what is on this device only.`,
		Example: "  ampwright log\n  ampwright log motor-iso\n  ampwright log -n 0        all of it\n  ampwright log 3fa9c2d1    one entry", Args: atMost(1),
	}
	n := c.Flags().IntP("number", "n", 20, "how many; 0 for all")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if *n < 0 {
			return wrong("", "-n %d: want 0 (all) or more", *n)
		}
		return p.lookAround(func(v view) error {
			if id, err := pick(v.log, v.now, p.build); err == nil {
				if v.build, err = v.log.Build(id, v.now, plan.Builtin); err != nil {
					return err
				}
				p.noteNewer(v)
			} else if p.build != "" {
				return err
			}
			key := strings.ToLower(strings.Join(args, ""))
			entries := v.entries()
			fit := slices.DeleteFunc(slices.Clone(entries), func(e entryJSON) bool { return key != "" && !slices.Contains(e.About, key) })
			one := false
			if len(fit) == 0 && key != "" {
				fit = slices.DeleteFunc(entries, func(e entryJSON) bool { return len(key) < 4 || !strings.HasPrefix(e.Entry, key) })
				one = len(fit) == 1
			}
			if len(fit) == 0 && key != "" && !v.knows(key) {
				return wrong("want the key of a task, check, part or order, or at least 4 letters of an entry's name", "nothing in the logbook is about %q", args[0])
			}
			body := logJSON{v.head("log"), len(fit), fit}
			if *n > 0 && len(fit) > *n {
				body.Entries = fit[:*n]
			}
			return p.answer(body, func(pg *page) {
				if one {
					body.Entries[0].words(v, pg)
					return
				}
				body.words(pg)
				if alone := v.aloneWords(); alone != "" {
					pg.line("%s", alone)
				}
			})
		})
	}
	return c
}

// knows reports whether key names something of the build.
func (v view) knows(key string) bool {
	if v.build == nil {
		return false
	}
	_, err := v.findCheck(key)
	return err == nil || v.build.Task(key) != nil || v.build.Part(key) != nil
}

// entries returns the entries of the build and the garage, newest first.
func (v view) entries() []entryJSON {
	lines := v.log.Lines(uuid.Nil, 0, 0)
	if v.build != nil {
		lines = append(lines, v.log.Lines(v.build.ID, 0, 0)...)
	}
	slices.SortStableFunc(lines, func(a, b model.Line) int { return cmp.Compare(b.Stamp, a.Stamp) })
	with := v.wording()
	of := map[uuid.UUID]model.Device{}
	for _, d := range with.Devices {
		of[d.Replica] = d
	}
	out := make([]entryJSON, len(lines))
	for i, l := range lines {
		said := words.Of(with, l.Entry)
		out[i] = entryJSON{
			Entry: l.ID.String(), Kind: l.Kind(), Text: said.Full(), At: when(l.Moment), Written: l.Stamp.Time().In(v.now.Location()),
			Who: cmp.Or(l.Author, of[l.Replica].Person), Device: model.Label(with.Devices, l.Replica), Replica: l.Replica, Seq: l.Seq, About: lower(said.Keys()),
			Over: ids(l.Over), Struck: l.Struck, Replaced: l.Replaced, By: ids(l.By), Held: l.Held, ClockMs: l.Clock.Milliseconds(),
			KeptOn: v.keptOn(l.ID, with.Devices),
		}
	}
	return out
}

// lower writes keys as they are asked for.
func lower(keys []string) []string {
	out := make([]string, len(keys))
	for i, k := range keys {
		out[i] = strings.ToLower(k)
	}
	return out
}

func ids(list []model.ID) []string {
	out := make([]string, len(list))
	for i, id := range list {
		out[i] = id.String()
	}
	return out
}

func (l logJSON) words(pg *page) {
	for _, e := range l.Entries {
		at := e.Written
		if e.At != nil {
			at = *e.At
		}
		cells := []string{e.Entry[:8], at.Format(minute), e.Who, e.Device}
		if kept := e.kept(); kept != "" {
			cells = append(cells, kept)
		}
		pg.row(append(cells, e.standing()+e.Text)...)
	}
	if more := l.Total - len(l.Entries); more > 0 {
		pg.line("and %d more: ampwright log -n 0", more)
	}
}

// kept says where the entry is; "" if that is not looked at.
func (e entryJSON) kept() string {
	if e.KeptOn == nil {
		return ""
	}
	return words.Kept(e.KeptOn)
}

// standing marks what is no longer in force.
func (e entryJSON) standing() string {
	switch {
	case e.Held:
		return "[held back] "
	case e.Struck:
		return "[struck out] "
	case e.Replaced:
		return "[replaced] "
	}
	return ""
}

func (e entryJSON) words(v view, pg *page) {
	pg.line("%s", e.Entry)
	pg.row("says", e.standing()+e.Text)
	pg.row("kind", e.Kind)
	if e.At != nil {
		pg.row("moment", e.At.Format(time.RFC3339))
	}
	pg.row("written", e.Written.Format(time.RFC3339))
	if off := time.Duration(e.ClockMs) * time.Millisecond; off.Abs() > model.MaxLead {
		pg.row("clock", "its clock was "+words.Ahead(off))
	}
	pg.row("by", e.Who+", "+e.Device)
	if kept := e.kept(); kept != "" {
		pg.row("kept", words.Join(": ", kept, strings.Join(e.KeptOn, ", ")))
	}
	pg.row("place", fmt.Sprintf("entry %d of replica %s", e.Seq, e.Replica))
	for _, id := range e.Over {
		pg.row("over", v.quote(id))
	}
	for _, id := range e.By {
		pg.row("named by", v.quote(id))
	}
}

// quote writes another entry in one line.
func (v view) quote(name string) string {
	id, err := model.ParseID(name)
	if err != nil {
		return name
	}
	l, ok := v.log.Line(id)
	if !ok {
		return name + " (not here yet)"
	}
	return id.Short() + " " + words.Of(v.wording(), l.Entry).Full()
}
