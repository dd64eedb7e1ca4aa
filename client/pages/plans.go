package pages

import (
	"encoding/base64"
	"errors"
	"fmt"
	"net/url"
	"slices"
	"strings"

	"ampwright/model"
	"ampwright/model/plan"
	"ampwright/sync/book"

	"github.com/google/uuid"
)

// plansPage is all that plans.html can see: what a build can start from, and a
// plan's file that is looked at before it is added.
type plansPage struct {
	*frame
	Once   string
	Plans  []planLine
	Look   *planLook
	Faults []string
}

// A planLine is one version of a plan.
type planLine struct {
	Name, Title, Href string
	Sub, Note, Why    string
}

// A planLook is a plan's file that was read and not written.
type planLook struct {
	Name, Title, Data, Note string // Data is the file in base64
	Remarks                 []planRemark
	Than                    string // the version it is compared with; "" for none
	Differences             []planDifference
	Can                     bool
}

type planRemark struct {
	Stamp       stamp
	Place, Text string
}

type planDifference struct {
	Stamp          stamp
	What, ID, Text string
}

// editions returns all versions of all plans, those of the program first.
func (v *visit) editions(l *model.Logbook) (all []plan.Edition, own []model.OwnPlan) {
	all, own = slices.Clone(v.cfg.Plans), l.OwnPlans()
	for _, o := range own {
		if p := o.Plan; p != nil {
			all = append(all, plan.Edition{ID: p.ID, Version: p.Version, Title: p.Title, Plan: func() *model.Plan { return p }})
		}
	}
	slices.SortStableFunc(all, func(a, b plan.Edition) int {
		if a.ID != b.ID {
			return strings.Compare(a.ID, b.ID)
		}
		return a.Version - b.Version
	})
	return all, own
}

// versions is editions with the plans read.
func (v *visit) versions(l *model.Logbook) (all []*model.Plan, own []model.OwnPlan) {
	list, own := v.editions(l)
	for _, e := range list {
		all = append(all, e.Plan())
	}
	return all, own
}

func planName(p *model.Plan) string { return model.PlanRef{ID: p.ID, Version: p.Version}.String() }

// source is the plans of the program, as the model asks for them.
func (v *visit) source(id string, version int) (found *model.Plan, ok bool) {
	newest := 0
	for _, e := range v.cfg.Plans {
		if e.ID == id && (version == e.Version || version == 0 && e.Version > newest) {
			found, newest = e.Plan(), e.Version
		}
	}
	return found, found != nil
}

func (v *visit) plans() (Response, error) { return v.plansPage(statusOK, nil, nil) }

func (v *visit) plansPage(status int, look *planLook, faults []string) (Response, error) {
	p := plansPage{frame: v.frame("", "plans"), Once: v.cfg.Once(), Look: look, Faults: faults}
	v.cfg.Book.Read(func(l *model.Logbook) {
		all, own := v.versions(l)
		for _, one := range all {
			line := planLine{Name: planName(one), Title: one.Title, Href: v.cfg.Base + "/plans/" + one.ID, Sub: "built in"}
			for _, o := range own {
				if o.Plan == one {
					v.ownPlan(&line, o)
				}
			}
			p.Plans = append(p.Plans, line)
		}
		for _, o := range own {
			if o.Plan == nil {
				line := planLine{Name: o.Ref.String(), Why: o.Why}
				v.ownPlan(&line, o)
				p.Plans = append(p.Plans, line)
			}
		}
	})
	return v.render(status, "plans.html", p)
}

func (v *visit) ownPlan(line *planLine, o model.OwnPlan) {
	line.Sub, line.Note = "added by "+o.Person+", "+v.when(o.At), o.Note
}

// addPlan reads a plan's file and shows what it says; once that was seen it is
// written down.
func (v *visit) addPlan() (Response, error) {
	data, err := v.planFile()
	if err != nil {
		return v.plansPage(statusUnprocessable, nil, []string{err.Error()})
	}
	look, faults := v.lookAt(data)
	if v.req.Form.Get("do") == "add" && look != nil && faults == nil {
		out, errs, err := v.addIt(data)
		switch {
		case err != nil:
			return Response{}, err
		case errs == nil:
			return Response{Status: statusSeeOther, Location: withDone(v.cfg.Base+"/plans", book.Outcome{Entries: out.Entries[:1]})}, nil
		}
		faults = errs
	}
	status := statusOK
	if faults != nil {
		status = statusUnprocessable
	}
	return v.plansPage(status, look, faults)
}

func (v *visit) addIt(data []byte) (out book.Outcome, faults []string, err error) {
	w := model.Wish{Name: model.AddPlanWish, Values: map[string][]string{"file": {string(data)}, "note": {v.req.Form.Get("note")}}}
	if once := v.req.Form.Get("once"); once != "" {
		w.Values["once"] = []string{once + " " + digest(v.req.Form)}
	}
	out, err = v.cfg.Book.Do(uuid.Nil, w, "")
	var wrong *model.WishError
	if errors.As(err, &wrong) {
		for _, f := range wrong.Fields {
			faults = append(faults, f.Error())
		}
		return out, faults, nil
	}
	return out, nil, err
}

// planFile returns the file that was chosen, pasted, or sent along again. Browsers
// send the lines of a box with CR LF.
func (v *visit) planFile() ([]byte, error) {
	data, err := base64.StdEncoding.DecodeString(v.req.Form.Get("data"))
	if err != nil {
		return nil, errors.New("the file that was sent along again cannot be read: choose it once more")
	}
	if pasted := v.req.Form.Get("pasted"); strings.TrimSpace(pasted) != "" {
		data = []byte(strings.ReplaceAll(pasted, "\r\n", "\n"))
	}
	if chosen := v.req.Form.Get("file"); chosen != "" { // the phone's page reads it
		data = []byte(chosen)
	}
	for _, f := range v.req.Files {
		if f.Field == "file" && len(f.Data) > 0 {
			data = f.Data
		}
	}
	switch {
	case len(data) == 0:
		return nil, errors.New("no file was chosen, and nothing pasted")
	case len(data) > model.MaxPlan:
		return nil, fmt.Errorf("the plan's file has %d kB: want at most %d kB", len(data)>>10, model.MaxPlan>>10)
	}
	return data, nil
}

// lookAt says what a plan's file holds, what of it makes it hard to work by, and in
// what it differs from the version before it.
func (v *visit) lookAt(data []byte) (*planLook, []string) {
	remarks, err := plan.Lint("plan", data)
	if err != nil {
		return nil, strings.Split(err.Error(), "\n")
	}
	p, err := plan.Load("plan", data)
	if err != nil {
		return nil, strings.Split(err.Error(), "\n")
	}
	look := &planLook{Name: planName(p), Title: p.Title, Data: base64.StdEncoding.EncodeToString(data), Note: v.req.Form.Get("note"), Can: true}
	for _, r := range remarks {
		s := stamp{"LOOK", "doubt"}
		if r.Must {
			s = stamp{"MEND", "out"}
		}
		look.Remarks = append(look.Remarks, planRemark{s, r.Place, r.Text})
	}
	v.cfg.Book.Read(func(l *model.Logbook) {
		var than *model.Plan
		all, _ := v.versions(l)
		for _, o := range all {
			if o.ID == p.ID && o.Version < p.Version {
				than = o
			}
		}
		if than != nil {
			look.Than, look.Differences = planName(than), differences(model.PlanDifferences(than, p))
		}
	})
	return look, nil
}

var differenceStamps = map[string]stamp{"added": {"ADDED", "ready"}, "gone": {"GONE", "past"}, "changed": {"CHANGED", "doubt"}}

func differences(list []model.PlanDifference) (out []planDifference) {
	for _, d := range list {
		out = append(out, planDifference{differenceStamps[d.How], d.What, d.ID, d.Text})
	}
	return out
}

// planVersionsPage is all that plan_versions.html can see: one plan, its versions,
// and what each has that the one before has not.
type planVersionsPage struct {
	*frame
	ID, All  string
	Versions []planVersion
}

type planVersion struct {
	planLine
	Than        string
	Differences []planDifference
}

func (v *visit) planVersions() (Response, error) {
	p := planVersionsPage{frame: v.frame("", "plan "+v.args[0]), ID: v.args[0], All: v.cfg.Base + "/plans"}
	v.cfg.Book.Read(func(l *model.Logbook) {
		all, own := v.versions(l)
		var before *model.Plan
		for _, one := range all {
			if one.ID != p.ID {
				continue
			}
			line := planVersion{planLine: planLine{Name: planName(one), Title: one.Title, Sub: "built in"}}
			for _, o := range own {
				if o.Plan == one {
					v.ownPlan(&line.planLine, o)
				}
			}
			if before != nil {
				line.Than, line.Differences = planName(before), differences(model.PlanDifferences(before, one))
			}
			before = one
			p.Versions = append(p.Versions, line)
		}
	})
	if p.Versions == nil {
		return Response{}, missing("there is no plan %s here", p.ID)
	}
	slices.Reverse(p.Versions)
	return v.render(statusOK, "plan_versions.html", p)
}

// buildPlanPage is all that plan.html can see: the plan a build stands on, and what
// a move to another version of it would change.
type buildPlanPage struct {
	*frame
	Name, Title, Hash, Versions string
	Action, Once                string
	Newer                       []option
	Moves                       []planMoved
	Move                        *planMove
	Faults                      []string
}

type planMoved struct{ Text, By, When, Note, Href, Strike string }

// A planMove is a move that nobody has made yet.
type planMove struct {
	To, Note                              string
	Differences                           []planDifference
	Faults, Stale, Releases, Opened, Left []string
	Can                                   bool
}

func (v *visit) buildPlan() (Response, error) {
	return v.buildPlanPage(statusOK, v.req.Query.Get("to"), "", nil)
}

func (v *visit) buildPlanPage(status int, to, note string, faults []string) (Response, error) {
	b := v.b
	p := buildPlanPage{
		frame: v.frame("settings", "plan"), Name: planName(b.Plan), Title: b.Plan.Title, Hash: b.Plan.Hash, Versions: v.cfg.Base + "/plans/" + b.Plan.ID,
		Action: v.at() + "/plan", Once: v.cfg.Once(), Faults: faults,
	}
	for _, m := range b.Moves {
		line := planMoved{Text: "from " + m.Of().String() + " to " + m.To().String(), By: m.Person, When: v.when(m.At), Note: m.Note, Href: v.at() + "/entry/" + m.ID.String()}
		if m.Head {
			line.Strike = v.asks("strike", "", p.Action, "entry", m.ID.String()).Href
		}
		p.Moves = append(p.Moves, line)
	}
	v.cfg.Book.Read(func(l *model.Logbook) {
		all, _ := v.versions(l)
		for _, one := range all {
			if one.ID == b.Plan.ID && one.Version > b.Plan.Version {
				p.Newer = append(p.Newer, option{Value: planName(one), Text: one.Title, On: planName(one) == to})
			}
		}
		if to == "" {
			return
		}
		one, err := l.FindPlan(to, v.source)
		var m *model.Moving
		if err == nil {
			m, err = l.Moving(b, one)
		}
		if err != nil {
			p.Faults = append(p.Faults, err.Error())
			status = statusUnprocessable
			return
		}
		p.Move = &planMove{
			To: planName(m.To), Note: note, Differences: differences(m.Differences), Faults: m.Faults, Stale: m.Stale, Releases: m.Releases,
			Opened: m.Opened, Left: m.Left, Can: len(m.Faults) == 0,
		}
	})
	return v.render(status, "plan.html", p)
}

func (v *visit) movePlan() (Response, error) {
	form := v.req.Form
	w := model.Wish{Name: model.MovePlanWish, Values: map[string][]string{"plan": {form.Get("plan")}, "note": {form.Get("note")}}}
	if once := form.Get("once"); once != "" {
		w.Values["once"] = []string{once + " " + digest(url.Values{"plan": form["plan"], "note": form["note"]})}
	}
	out, err := v.cfg.Book.Do(v.b.ID, w, "")
	var wrong *model.WishError
	if errors.As(err, &wrong) {
		var faults []string
		for _, f := range wrong.Fields {
			faults = append(faults, f.Error())
		}
		return v.buildPlanPage(statusUnprocessable, form.Get("plan"), form.Get("note"), faults)
	}
	if err != nil {
		return Response{}, err
	}
	return Response{Status: statusSeeOther, Location: withDone(v.at()+"/plan", out)}, nil
}
