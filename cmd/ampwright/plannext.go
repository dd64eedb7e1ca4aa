package main

import (
	"ampwright/model"
	"ampwright/model/plan"
	"ampwright/server/garage"
	"ampwright/sync/book"

	"github.com/spf13/cobra"
)

// curveFlags are the flags that choose a learning curve; of says what they are about.
func curveFlags(c *cobra.Command, of string) *model.Curve {
	next := &model.Curve{}
	c.Flags().Float64Var(&next.Rate, "learning", 1, of+"the `rate` by which hours shrink when what was built is built twice; 1 for not at all")
	c.Flags().StringVar(&next.Form, "curve", model.UnitForm, of+"the `form` of the learning curve: "+model.UnitForm+", where the second takes the rate times the first, or "+model.AverageForm)
	return next
}

func (p *program) planNext() *cobra.Command {
	c := &cobra.Command{
		Use: "next", Short: "make a plan of this build and put it into the logbook",
		Long: `Makes a plan of the build: its own tasks and parts, hours as the finished tasks
took them, prices and lead times as they came out. It goes into the logbook, and so
to every device, and builds can start from it. Made again after more work it is the
next version; where nothing has changed, nothing is written.`,
		Example: "  ampwright plan next --learning 0.85\n  ampwright plan next --note \"after the first winter\"",
		Args:    atMost(0),
	}
	next := curveFlags(c, "")
	note := c.Flags().String("note", "", "what is new in it, in `words`")
	c.RunE = func(*cobra.Command, []string) error {
		if p.asOf != "" {
			return notWhenWriting(p.asOf)
		}
		h, err := p.enter(true)
		if err != nil {
			return err
		}
		return closing(p.planNextIn(h, *next, *note), h)
	}
	return c
}

func (p *program) planNextIn(h garage.Home, next model.Curve, note string) error {
	var data []byte
	var name string
	var has bool
	err := h.Read(func(l *model.Logbook) error {
		v, err := p.view(l, h.Now())
		if err != nil {
			return err
		}
		id, err := pick(l, v.now, p.build)
		if err != nil {
			return err
		}
		if v.build, err = l.Build(id, v.now, plan.Builtin); err != nil {
			return err
		}
		if data, name, has, err = plan.NextIn(l, v.build, next); err != nil {
			return wrong("--learning 0.85", "%v", err)
		}
		return nil
	})
	if err != nil {
		return err
	}
	k, _ := model.WishKindOf(model.AddPlanWish)
	hint := "a build from it: ampwright start " + name + " TITLE"
	if has {
		p.talk("%s says the same already: nothing was written; %s", name, hint)
		return h.Read(func(l *model.Logbook) error { return p.written(l, h.Now(), k, book.Outcome{}) })
	}
	if err := p.writeIn(h, k, model.Wish{Name: k.Name, Values: map[string][]string{"file": {string(data)}, "note": {note}}}); err != nil {
		return err
	}
	p.talk("%s", hint)
	return nil
}
