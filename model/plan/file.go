package plan

import (
	"cmp"
	"strings"

	"ampwright/model"
)

// The types below are the file, field by field: see the package comment.
// What they share with the model they list in the same order, so that one
// converts to the other.

type planFile struct {
	Format     string           `json:"format"`
	ID         string           `json:"id"`
	Version    int              `json:"version"`
	Title      string           `json:"title"`
	Notes      string           `json:"notes,omitempty"`
	Inputs     []inputEntry     `json:"inputs,omitempty"`
	Derived    []derivedEntry   `json:"derived,omitempty"`
	Changes    []changeEntry    `json:"changes,omitempty"`
	Stages     []stageEntry     `json:"stages"`
	Tasks      []taskEntry      `json:"tasks"`
	Milestones []milestoneEntry `json:"milestones,omitempty"`
	Lists      []listEntry      `json:"lists,omitempty"`
}

type inputEntry struct {
	ID      string  `json:"id"`
	Title   string  `json:"title"`
	Unit    string  `json:"unit"`
	Default float64 `json:"default"`
	Basis   string  `json:"basis"`
}

type derivedEntry struct {
	ID      string            `json:"id"`
	Title   string            `json:"title"`
	Unit    string            `json:"unit"`
	Formula string            `json:"formula,omitempty"`
	Calc    string            `json:"calc,omitempty"`
	Output  string            `json:"output,omitempty"`
	With    map[string]string `json:"with,omitempty"`
}

type changeEntry struct {
	ID    string `json:"id"`
	Title string `json:"title"`
}

type stageEntry changeEntry

type taskEntry struct {
	ID        string       `json:"id"`
	Stage     string       `json:"stage"`
	Title     string       `json:"title"`
	Hours     hoursEntry   `json:"hours"`
	Wait      hoursEntry   `json:"wait_hours,omitempty"`
	After     []string     `json:"after,omitempty"`
	Skill     string       `json:"skill"`
	MinBlock  int          `json:"min_block_min"`
	Competent string       `json:"competent,omitempty"`
	Strict    bool         `json:"strict,omitempty"`
	Tools     []string     `json:"tools,omitempty"`
	Hazards   []string     `json:"hazards,omitempty"`
	Changes   []string     `json:"changes,omitempty"`
	Parts     []partEntry  `json:"parts,omitempty"`
	Steps     []string     `json:"steps,omitempty"`
	Checks    []checkEntry `json:"checks,omitempty"`
}

type hoursEntry struct {
	Low    float64 `json:"low"`
	Likely float64 `json:"likely"`
	High   float64 `json:"high"`
}

type partEntry struct {
	ID         string     `json:"id"`
	Title      string     `json:"title"`
	Qty        int        `json:"qty"`
	QtyOf      string     `json:"qty_of,omitempty"`
	Unit       string     `json:"unit"`
	Price      rangeEntry `json:"price_minor"`
	Lead       rangeEntry `json:"lead_days"`
	UsedOK     bool       `json:"used_ok,omitempty"`
	OrderAfter []string   `json:"order_after,omitempty"`
}

type rangeEntry struct {
	Low  int64 `json:"low"`
	High int64 `json:"high"`
}

type checkEntry struct {
	ID         string          `json:"id"`
	Kind       model.CheckKind `json:"kind"`
	Title      string          `json:"title"`
	Point      string          `json:"point,omitempty"`
	Basis      string          `json:"basis"`
	Source     string          `json:"source"`
	Quantity   string          `json:"quantity,omitempty"`
	Unit       string          `json:"unit,omitempty"`
	Min        *boundEntry     `json:"min,omitempty"`
	Max        *boundEntry     `json:"max,omitempty"`
	Target     *targetEntry    `json:"target,omitempty"`
	Points     []string        `json:"points,omitempty"`
	PointCount string          `json:"point_count,omitempty"`
	ScreenNeed string          `json:"screen_need,omitempty"`
	Derive     *deriveEntry    `json:"derive,omitempty"`
	AppliesIf  string          `json:"applies_if,omitempty"`
	Example    *exampleEntry   `json:"example,omitempty"`
	Proof      bool            `json:"proof,omitempty"`
	Instrument string          `json:"instrument,omitempty"`
	PPE        string          `json:"ppe,omitempty"`
	StopIf     string          `json:"stop_if,omitempty"`
	OnFail     string          `json:"on_fail,omitempty"`
	DependsOn  []string        `json:"depends_on,omitempty"`
	StaleBy    []string        `json:"invalidated_by,omitempty"`
	ValidDays  int             `json:"valid_days,omitempty"`
	ValidKm    int             `json:"valid_km,omitempty"`
}

type boundEntry struct {
	Factor *float64 `json:"factor,omitempty"` // 1 if of is given
	Of     string   `json:"of,omitempty"`
	Offset float64  `json:"offset,omitempty"`
	Strict bool     `json:"strict,omitempty"`
}

type targetEntry struct {
	Min *boundEntry `json:"min,omitempty"`
	Max *boundEntry `json:"max,omitempty"`
}

type deriveEntry struct {
	Check string  `json:"check"`
	Op    string  `json:"op"`
	Scale float64 `json:"scale"`
}

type exampleEntry struct {
	Pass *float64 `json:"pass,omitempty"`
	Fail *float64 `json:"fail,omitempty"`
}

type milestoneEntry struct {
	ID    string   `json:"id"`
	Title string   `json:"title"`
	After []string `json:"after"`
}

type listEntry struct {
	ID     string       `json:"id"`
	Title  string       `json:"title"`
	Mode   string       `json:"mode"`
	Rule   string       `json:"rule"`
	Chunks []chunkEntry `json:"chunks"`
}

type chunkEntry struct {
	ID      string   `json:"id"`
	Title   string   `json:"title"`
	Steps   []string `json:"steps"`
	Release string   `json:"release"`
}

// plan returns the model's form of a file that has been checked, with the
// derived values given.
func (f *planFile) plan(derived []model.PlanDerived) *model.Plan {
	p := &model.Plan{ID: f.ID, Version: f.Version, Title: f.Title, Notes: f.Notes, Derived: derived}
	for _, in := range f.Inputs {
		p.Inputs = append(p.Inputs, model.PlanInput(in))
	}
	for _, c := range f.Changes {
		p.Changes = append(p.Changes, model.PlanChange(c))
	}
	for _, s := range f.Stages {
		p.Stages = append(p.Stages, model.PlanStage(s))
	}
	for _, t := range f.Tasks {
		p.Tasks = append(p.Tasks, t.plan())
	}
	for _, m := range f.Milestones {
		p.Milestones = append(p.Milestones, model.PlanMilestone(m))
	}
	for _, l := range f.Lists {
		list := model.PlanList{ID: l.ID, Title: l.Title, Mode: l.Mode, Rule: l.Rule}
		for _, c := range l.Chunks {
			list.Chunks = append(list.Chunks, model.PlanChunk(c))
		}
		p.Lists = append(p.Lists, list)
	}
	return p
}

func (t *taskEntry) plan() model.PlanTask {
	task := model.PlanTask{
		ID: t.ID, Stage: t.Stage, Title: t.Title,
		Estimate: model.Hours3(t.Hours), Wait: model.Hours3(t.Wait), After: t.After,
		Skill: t.Skill, MinBlock: t.MinBlock, Competent: t.Competent, Strict: t.Strict,
		Tools: t.Tools, Hazards: t.Hazards, Steps: t.Steps, Changes: t.Changes,
	}
	for _, p := range t.Parts {
		task.Parts = append(task.Parts, model.PlanPart{
			ID: p.ID, Title: p.Title, Unit: p.Unit, Qty: p.Qty, QtyOf: p.QtyOf,
			PriceLow: p.Price.Low, PriceHigh: p.Price.High,
			LeadLow: int(p.Lead.Low), LeadHigh: int(p.Lead.High),
			UsedOK: p.UsedOK, OrderAfter: p.OrderAfter,
		})
	}
	for _, c := range t.Checks {
		task.Checks = append(task.Checks, c.plan())
	}
	return task
}

func (c *checkEntry) plan() model.PlanCheck {
	check := model.PlanCheck{
		ID: c.ID, Title: c.Title, Kind: c.Kind, Point: c.Point, Basis: c.Basis, Source: c.Source,
		Quantity: c.Quantity, Unit: c.Unit, Min: c.Min.plan(), Max: c.Max.plan(),
		Points: c.Points, PointCount: c.PointCount, ScreenNeed: c.ScreenNeed,
		InvalidatedBy: c.StaleBy, DependsOn: c.DependsOn,
		ValidDays: c.ValidDays, ValidKm: c.ValidKm, AppliesIf: c.AppliesIf,
		Instrument: c.Instrument, PPE: c.PPE, StopIf: c.StopIf, OnFail: c.OnFail,
		// Before the format had the field, plans said it with the instrument.
		Proof: c.Proof || strings.HasSuffix(c.Instrument, "proved before and after"),
	}
	if t := c.Target; t != nil {
		check.Target, check.TargetIsMax = cmp.Or(t.Min, t.Max).plan(), t.Max != nil
	}
	if c.Derive != nil {
		check.Derive = (*model.Derive)(c.Derive)
	}
	if c.Example != nil {
		check.ExamplePass, check.ExampleFail = c.Example.Pass, c.Example.Fail
	}
	return check
}

func (b *boundEntry) plan() *model.Bound {
	if b == nil {
		return nil
	}
	return &model.Bound{Factor: b.factor(), Of: b.Of, Offset: b.Offset, Strict: b.Strict}
}

func (b *boundEntry) factor() float64 {
	switch {
	case b.Of == "":
		return 0
	case b.Factor == nil:
		return 1
	}
	return *b.Factor
}
