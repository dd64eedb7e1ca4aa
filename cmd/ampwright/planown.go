package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"ampwright/model"
	"ampwright/model/plan"
	"ampwright/server/garage"

	"github.com/spf13/cobra"
)

// readPlanFile reads a plan's file; - is the standard input. A plan may be no
// larger than a logbook carries.
func (p *program) readPlanFile(path string) ([]byte, error) {
	in := p.in
	if path != "-" {
		f, err := os.Open(path)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		in = f
	}
	data, err := io.ReadAll(io.LimitReader(in, model.MaxPlan+1))
	if err == nil && len(data) > model.MaxPlan {
		err = fmt.Errorf("%s: more than the %d kB that a plan's file may have", path, model.MaxPlan>>10)
	}
	return data, err
}

// withPlans gives f the plans that can be had here: those of the program, and of
// the logbook if there is one (nil if not).
func (p *program) withPlans(f func(*model.Logbook) error) error {
	dir, err := p.place()
	if err != nil || !garage.Here(dir) {
		return f(nil)
	}
	h, err := p.enter(false)
	if err != nil {
		return err
	}
	return closing(h.Read(f), h)
}

// planNamed finds a plan and the bytes of its file by "kart-chain" or
// "kart-chain@2".
func planNamed(l *model.Logbook, name string) (*model.Plan, []byte, error) {
	if l == nil {
		l = model.NewLogbook()
	}
	found, err := l.FindPlan(name, plan.Builtin)
	if err != nil {
		return nil, nil, wrong("ampwright plans lists them", "%s", err)
	}
	if data := l.PlanFile(found.Hash); data != nil {
		return found, data, nil
	}
	data, ok := plan.Source(found.ID, found.Version)
	if !ok {
		return nil, nil, fmt.Errorf("the file of plan %s@%d is not here", found.ID, found.Version)
	}
	return found, data, nil
}

func (p *program) planShow() *cobra.Command {
	return &cobra.Command{
		Use: "show PLAN[@VERSION]", Aliases: []string{"export"}, Short: "the file of a plan",
		Long:    "Writes the file of a plan, built in or carried by the logbook, to the byte: to be\nread, or edited and added again as a new version.",
		Example: "  ampwright plan show kart-chain > my-kart.1.json\n  ampwright plan export kart-chain@2 > kart-chain.3.json", DisableFlagsInUseLine: true,
		Args: exactly(1, "PLAN"),
		RunE: func(_ *cobra.Command, args []string) error {
			return p.withPlans(func(l *model.Logbook) error {
				_, data, err := planNamed(l, args[0])
				if err == nil {
					_, err = p.out.Write(data)
				}
				return err
			})
		},
	}
}

func (p *program) planAdd() *cobra.Command {
	c := &cobra.Command{
		Use: "add FILE", Short: "put a plan of your own into the logbook",
		Long: `Puts the file of a plan into the logbook, so that it goes to every device with
the entries, and builds can start from it or move to it. A version is never
changed: builds keep the one they stand on. Edit the file, raise its version, and
add it again.`,
		Example: "  ampwright plan add my-kart.1.json\n  ampwright plan add my-kart.2.json --note \"chain slack on every ride\"",
		Args:    exactly(1, "FILE"),
	}
	note := c.Flags().String("note", "", "what is new in it, in `words`")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if p.asOf != "" {
			return notWhenWriting(p.asOf)
		}
		data, err := p.readPlanFile(args[0])
		if err != nil {
			return err
		}
		remarks, err := plan.Lint(args[0], data)
		if err != nil {
			return planFaults(err)
		}
		k, _ := model.WishKindOf(model.AddPlanWish)
		h, err := p.enter(true)
		if err != nil {
			return err
		}
		for _, r := range remarks {
			p.talk("%s", r.String())
		}
		return closing(p.writeIn(h, k, model.Wish{Name: k.Name, Values: map[string][]string{"file": {string(data)}, "note": {*note}}}), h)
	}
	return c
}

type planDiffJSON struct {
	Schema      string               `json:"schema"`
	From        string               `json:"from"` // "kart-chain@1"
	To          string               `json:"to"`
	Differences []planDifferenceJSON `json:"differences"`
}

type planDifferenceJSON struct {
	What string `json:"what"` // "task", "check", "part", "input", ...
	ID   string `json:"id"`
	How  string `json:"how"` // "added", "gone", "changed"
	Text string `json:"text"`
}

func newDifferences(list []model.PlanDifference) []planDifferenceJSON {
	out := []planDifferenceJSON{}
	for _, d := range list {
		out = append(out, planDifferenceJSON(d))
	}
	return out
}

func showDifferences(pg *page, list []planDifferenceJSON) {
	for _, d := range list {
		pg.row(d.How, d.What, d.ID, d.Text)
	}
}

func (p *program) planDiff() *cobra.Command {
	return &cobra.Command{
		Use: "diff FROM TO", Short: "what differs between two versions of a plan",
		Example: "  ampwright plan diff kart-chain@1 kart-chain@2", DisableFlagsInUseLine: true,
		Args: exactly(2, "FROM TO"),
		RunE: func(_ *cobra.Command, args []string) error {
			return p.withPlans(func(l *model.Logbook) error {
				from, _, err := planNamed(l, args[0])
				if err != nil {
					return err
				}
				to, _, err := planNamed(l, args[1])
				if err != nil {
					return err
				}
				body := planDiffJSON{"ampwright/plan-diff/1", planName(from), planName(to), newDifferences(model.PlanDifferences(from, to))}
				return p.answer(body, func(pg *page) {
					if len(body.Differences) == 0 {
						pg.line("%s and %s say the same", body.From, body.To)
					}
					showDifferences(pg, body.Differences)
				})
			})
		},
	}
}

func planName(p *model.Plan) string { return fmt.Sprintf("%s@%d", p.ID, p.Version) }

// planMoveJSON is what a move of a build to another version of its plan changes.
type planMoveJSON struct {
	head
	From        string               `json:"from"`
	To          string               `json:"to"`
	Differences []planDifferenceJSON `json:"differences"`
	Faults      []string             `json:"faults"`   // why it cannot be moved
	Stale       []string             `json:"stale"`    // checks cleared now that would not be
	Releases    []string             `json:"releases"` // sign-offs that would no longer hold
	Opened      []string             `json:"opened"`   // checks that would be cleared and are not now
	Left        []string             `json:"left"`     // readings of checks that are gone
	Entries     []string             `json:"entries"`  // what was written; none if it is only shown
}

func (p *program) planMove() *cobra.Command {
	c := &cobra.Command{
		Use: "move PLAN@VERSION", Short: "move the build to a newer version of its plan",
		Long: `Shows what differs between the version a build stands on and a newer one, which
readings and sign-offs would no longer hold, and what would be left. Then it asks,
and moves the build. Readings keep the limit they were judged against: what was
out of limits stays so until it is measured again. To go back: ampwright strike
with the name of the entry it wrote.`,
		Example: "  ampwright plan move small-motorcycle-hub@3 --dry-run\n  ampwright plan move small-motorcycle-hub@3 --note \"brake checks after the ride\" --yes",
		Args:    exactly(1, "PLAN@VERSION"),
	}
	note := c.Flags().String("note", "", "the `reason`")
	dry := c.Flags().Bool("dry-run", false, "only show what would change")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if p.asOf != "" {
			return notWhenWriting(p.asOf)
		}
		h, err := p.enter(false)
		if err != nil {
			return err
		}
		return closing(p.moveIn(h, args[0], *note, *dry), h)
	}
	return c
}

func (p *program) moveIn(h garage.Home, name, note string, dry bool) error {
	var v view
	body := planMoveJSON{Faults: []string{}, Stale: []string{}, Releases: []string{}, Opened: []string{}, Left: []string{}, Entries: []string{}}
	err := h.Read(func(l *model.Logbook) error {
		v = view{log: l, now: h.Now()}
		id, err := pick(l, v.now, p.build)
		if err != nil {
			return err
		}
		if v.build, err = l.Build(id, v.now, plan.Builtin); err != nil {
			return err
		}
		to, _, err := planNamed(l, name)
		if err != nil {
			return err
		}
		m, err := l.Moving(v.build, to)
		if err != nil {
			return wrong("ampwright plans lists the versions", "%s", err)
		}
		body.head, body.From, body.To = v.head("plan-move"), planName(m.From), planName(m.To)
		body.Differences = newDifferences(m.Differences)
		body.Faults, body.Stale, body.Releases, body.Opened, body.Left = list(m.Faults), list(m.Stale), list(m.Releases), list(m.Opened), list(m.Left)
		return nil
	})
	if err != nil {
		return err
	}
	if p.json && dry {
		return p.printJSON(body)
	}
	if !p.json {
		if err := p.preview(dry, func(pg *page) { showMove(pg, body) }); err != nil {
			return err
		}
	}
	switch {
	case len(body.Faults) > 0:
		return &usageError{lines: body.Faults, hint: "ampwright plan show, edit, and add it as a new version", end: "nothing was written"}
	case dry:
		return nil
	case note == "":
		return &adviceError{errors.New("nothing was written: the reason is missing"), `add --note "why the build moves"`}
	case !p.yes:
		yes, asked := p.ask("Move the build?")
		if !asked {
			return &adviceError{errors.New("nothing was written"), "--yes moves it, --dry-run only shows what would change"}
		}
		if !yes {
			return errors.New("nothing was written")
		}
	}
	k, _ := model.WishKindOf(model.MovePlanWish)
	out, err := h.Do(v.build.ID, model.Wish{Name: k.Name, Values: map[string][]string{"plan": {body.To}, "note": {note}}}, p.by)
	if err != nil {
		return refused(k, err)
	}
	if p.json {
		body.Entries = ids(out.Entries)
		return p.printJSON(body)
	}
	return h.Read(func(l *model.Logbook) error { return p.written(l, h.Now(), k, out) })
}

func showMove(pg *page, body planMoveJSON) {
	pg.line("from %s to %s", body.From, body.To)
	showDifferences(pg, body.Differences)
	for _, part := range []struct {
		title string
		lines []string
	}{
		{"no longer holds:", body.Stale}, {"sign-offs that no longer hold:", body.Releases},
		{"would be cleared, and are not now:", body.Opened}, {"gone, with readings that stay in the logbook:", body.Left},
	} {
		if len(part.lines) > 0 {
			pg.line("%s", part.title)
		}
		for _, l := range part.lines {
			pg.row(l)
		}
	}
}

// ownPlans are the plans that the logbook carries.
func ownPlans(l *model.Logbook) []planJSON {
	if l == nil {
		return nil
	}
	newest := map[string]int{}
	list := l.OwnPlans()
	for _, o := range list {
		newest[o.Ref.ID] = max(newest[o.Ref.ID], o.Ref.Version)
	}
	var out []planJSON
	for _, o := range list {
		j := planJSON{
			Name: o.Ref.ID, Version: o.Ref.Version, Hash: o.Ref.Hash, Older: o.Ref.Version < newest[o.Ref.ID], Own: true, Error: o.Why,
			Entry: o.ID.String(), Added: o.Person + ", " + o.At.Time().Format(time.DateOnly), News: o.Note,
		}
		if o.Plan != nil {
			j.Title, j.Notes, j.Tasks = o.Plan.Title, o.Plan.Notes, len(o.Plan.Tasks)
		}
		out = append(out, j)
	}
	return out
}
