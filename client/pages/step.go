package pages

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"time"

	"ampwright/calc/unit"
	"ampwright/client/words"
	"ampwright/model"
)

// stepPage is all that step.html can see: one item of a checklist.
type stepPage struct {
	*frame
	List      listFacts
	Where, In string // "step 21 of 59", "2 of 6, D. First live"
	Signals   []signal
	Check     checkFacts
	Stop      []string
	Shut      string // why the item is not taken now
	ShutHref  string
	ShutText  string
	Needs     []needLine
	Break     *breakAsk
	Derived   string // the check it follows from
	Ask       *stepAsk
	Fail      *failFacts
	Retest    []retestLine
	Picture   *pointsPicture
	Seen      string // what is on record, where the item stands
	Next      string
	Book      string // how many entries this book holds
}

// A needLine is a check that must be cleared before the item is taken.
type needLine struct {
	Key, Title, Why, Href string
	Stamp                 stamp
}

// A stepAsk is the box an answer is typed into. The box of a measurement is
// never filled in beforehand.
type stepAsk struct {
	Action, Once string
	Kind         string // "one", "proof", "many", "seen", "photo"
	Unit, Mode   string
	Points       []pointBox
	Labels       []string // of what is to be seen
	Boxes        []pointBox
	Value, Seen  string
	Instruments  []option
	Witness      string
	WitnessAsked bool
	At, Note     string
	More         bool
	Photo        field
	Faults       []string
	ReadBack     string // the value is far from what is expected
	Was          string // what was read back
	Button, No   string
	Calm         string // said where nothing is wrong yet
}

// A pointBox is one of several boxes in a column.
type pointBox struct {
	ID, Name, Label, Value string
	Wrong, Focus           bool
}

// failFacts is what to do about a reading that does not let the work go on.
type failFacts struct {
	Stamp      stamp
	Value, Why string
	OnFail     string
	NCR        *ncrLine
	Raise      string
	Concede    string
	Change     string
	WouldStale []staleLine
}

// A staleLine names the readings a kind of change would make stale.
type staleLine struct {
	Change string
	Href   string
	Checks []link
}

// A retestLine is a reading beside the one before it.
type retestLine struct {
	Which, Value, When, With, Limit, Who string
	Stamp                                stamp
	Later                                bool
}

func (v *visit) stepOf(w *model.Walk) (*model.WalkStep, error) {
	for _, s := range w.Steps {
		if s.ID == v.args[1] {
			return s, nil
		}
	}
	return nil, missing("the checklist %s has no item %s", w.List.ID, v.args[1])
}

func (v *visit) step() (Response, error) { return v.stepPage(statusOK, nil) }

// stepPage shows an item. change may fill in what was typed and what is wrong.
func (v *visit) stepPage(status int, change func(*model.WalkStep, *stepAsk)) (Response, error) {
	w, err := v.walkOf()
	if err != nil {
		return Response{}, err
	}
	s, err := v.stepOf(w)
	if err != nil {
		return Response{}, err
	}
	p := stepPage{
		frame: v.frame("checks", fmt.Sprintf("step %d of %d", s.N, len(w.Steps))), List: v.listFacts(w), Stop: stopDrill, Check: v.checkFacts(s.Check),
		Where: fmt.Sprintf("step %d of %d", s.N, len(w.Steps)), In: fmt.Sprintf("%d of %d, %s", s.Nth, len(s.Chunk.Steps), s.Chunk.Title),
		Signals: v.stepSignals(s), Next: v.walkHref(w.List.ID) + "/next",
	}
	p.Book = p.Block[len(p.Block)-2].Text
	for _, c := range s.Needs() {
		p.Needs = append(p.Needs, needLine{c.ID, c.Title, c.Why(), v.checkHref(c), checkStamp(c)})
	}
	for i := range p.Needs { // an item of the same list is taken there
		if at := slices.IndexFunc(w.Steps, func(o *model.WalkStep) bool { return o.ID == p.Needs[i].Key }); at >= 0 {
			p.Needs[i].Href = v.stepHref(w, w.Steps[at])
		}
	}
	p.Picture = v.pointsPicture(s.Check)
	if s.Derive != nil && (s.Current == nil || s.Current.Derived) {
		p.Derived = s.Derive.Check
		if from := v.b.Check(s.Derive.Check); from != nil {
			p.Picture = v.pointsPicture(from)
		}
	}
	if r := s.Current; r != nil {
		p.Retest = v.retest(s.Check)
		if s.Stands {
			p.Seen = words.Join(", ", s.ValueText(r, v.style()), v.when(r.At), r.Person)
		}
	}
	if s.Applies && s.Current != nil && !s.Cleared() && s.Verdict != model.Within {
		p.Fail = v.failFacts(s)
	}
	v.shut(&p, w, s)
	if p.Shut == "" && p.Break == nil && len(p.Needs) == 0 && p.Derived == "" && s.Applies {
		p.Ask = v.stepAsk(s)
		if s.Stands && s.Kind == model.Measurement {
			p.Ask.Button = "record it again"
		}
		if s.Current != nil && s.Verdict == model.Within && !s.Cleared() {
			p.Ask.Calm = "on record, and the list stays here: " + s.Why()
		}
		if change != nil {
			change(s, p.Ask)
		}
	}
	return v.render(status, "step.html", p)
}

// shut says why an item is not taken now: out of turn, or after a break.
func (v *visit) shut(p *stepPage, w *model.Walk, s *model.WalkStep) {
	switch {
	case !s.Applies:
		p.Shut = "it does not apply to this build"
	case w.Chunk == nil || s.Chunk.N < w.Chunk.N || s.Chunk == w.Chunk && (w.Step == nil || s.N < w.Step.N):
		return // taken before: it may be taken again
	case s.Chunk != w.Chunk:
		p.Shut = w.Chunk.Title + " comes first: it is not released"
	case s != w.Step:
		p.Shut = fmt.Sprintf("not yet: step %d comes first", w.Step.N)
	default:
		p.Break = v.breakAsk(w)
		return
	}
	p.ShutHref, p.ShutText = p.Next, "go to the place"
}

// stepSignals are the panels of an item: its hazards by how bad they are on the
// machine as it is now.
func (v *visit) stepSignals(s *model.WalkStep) []signal {
	return signals(s.Task.Hazards, s.Chunk.Live)
}

func (v *visit) stepAsk(s *model.WalkStep) *stepAsk {
	v.ids++
	a := &stepAsk{
		Action: v.walkHref(v.args[0]) + "/" + s.ID, Once: v.cfg.Once(), Kind: "one", Unit: unit.Symbol(s.Unit), Mode: readingMode(s.Check),
		WitnessAsked: s.Witness(), Button: "record reading",
	}
	box := func(name, label string) pointBox {
		return pointBox{ID: fmt.Sprintf("w%d-%d", v.ids, len(a.Boxes)+1), Name: name, Label: label}
	}
	a.Photo = field{ID: fmt.Sprintf("w%d-photo", v.ids), Name: "photo", Label: "photo"}
	v.photoField(&a.Photo)
	switch {
	case s.Kind == model.YesNo:
		a.Kind, a.Labels, a.Button, a.No = "seen", s.Points, "it is so", "it is not"
	case s.Kind == model.PhotoCheck:
		a.Kind, a.Button = "photo", "photo taken"
		a.Photo.Hint = "leave it empty where the photo is kept elsewhere"
	case s.Proof:
		a.Kind = "proof"
		a.Boxes = append(a.Boxes, box("before", "tester on a known source"))
		a.Boxes = append(a.Boxes, box("value", "on the circuit"))
		a.Boxes = append(a.Boxes, box("after", "on the known source again"))
	case s.Want > 1:
		a.Kind = "many"
		for i := range s.Want {
			a.Boxes = append(a.Boxes, box("value", s.PointLabel(i)))
		}
	case s.ScreenNeed != "":
		a.Kind, a.Boxes = "many", nil
	default:
		a.Boxes = append(a.Boxes, box("value", words.Lower(s.Title)))
	}
	if s.Kind == model.Measurement {
		a.Instruments = v.instrumentOptions(s.Check)
	}
	return a
}

// instrumentOptions lists the garage's instruments with what is known of each;
// the one the check was last taken with comes chosen.
func (v *visit) instrumentOptions(c *model.Check) []option {
	last := ""
	for _, r := range c.Readings {
		if r.Instrument != "" {
			last = r.Instrument
		}
	}
	list := []option{{Value: "", Text: "not named"}}
	for _, i := range v.instruments() {
		text := i.Name
		if i.Checked != "" {
			text += ", checked " + v.date(i.Checked)
			if t, ok := parseDate(i.Checked); ok && v.now().Sub(t) > 366*24*time.Hour {
				text += " (over a year ago)"
			}
		} else {
			text += ", no check on record"
		}
		if i.Accuracy != "" {
			text += ", ±" + i.Accuracy
		}
		list = append(list, option{Value: i.Name, Text: text, On: i.Name == last})
	}
	return list
}

func (v *visit) retest(c *model.Check) []retestLine {
	var list []retestLine
	for i := len(c.Readings) - 1; i >= 0 && len(list) < 2; i-- {
		r := c.Readings[i]
		l := retestLine{
			Value: c.ValueText(r, v.style()), When: v.when(r.At), With: r.Reading.Instrument, Limit: r.Reading.Limit, Who: r.Person,
			Stamp: verdictStamp(r.Measured), Which: "now", Later: r.TypedLater(),
		}
		if len(list) == 1 {
			l.Which = "before"
		}
		list = append(list, l)
	}
	slices.Reverse(list)
	return list
}

func (v *visit) failFacts(s *model.WalkStep) *failFacts {
	here := v.walkHref(v.args[0]) + "/" + s.ID
	c := s.Check
	f := &failFacts{Stamp: checkStamp(c), Value: c.ValueText(c.Current, v.style()), Why: c.Why(), OnFail: c.OnFail}
	for _, n := range v.b.NCRs {
		if n.Nonconformance.Check == c.ID && n.Closed == nil {
			l := v.ncrLine(n)
			f.NCR = &l
		}
	}
	ask := func(wish string, q url.Values) string {
		q.Set("back", here)
		return v.at() + "/write/" + wish + "?" + q.Encode()
	}
	if f.NCR == nil && c.Verdict != model.Stale {
		q := url.Values{"check": {c.ID}, "text": {words.Join(": ", c.Title, f.Value)}}
		for _, one := range v.b.Findings {
			if one.Check == c && one.Open && one.Kind == model.FindingOut {
				q.Set("finding", one.Key)
				q.Set("text", one.Text)
			}
		}
		f.Raise = ask("raise", q)
	}
	f.Concede = ask("concede", url.Values{"check": {c.ID}})
	f.Change = ask("change", url.Values{"task": {c.Task.ID}})
	for _, k := range v.b.Plan.Changes {
		if !slices.Contains(c.InvalidatedBy, k.ID) && !slices.Contains(c.Task.PlanTask.Changes, k.ID) {
			continue
		}
		l := staleLine{Change: words.Lower(k.Title), Href: ask("change", url.Values{"task": {c.Task.ID}, "changes": {k.ID}})}
		for _, o := range v.b.WouldStaleBy(k.ID) {
			if o != c {
				l.Checks = append(l.Checks, link{Href: v.checkHref(o), Text: o.ID})
			}
		}
		if len(l.Checks) > 0 {
			f.WouldStale = append(f.WouldStale, l)
		}
	}
	return f
}

// doStep writes an answer down and leads to the next item. What is wrong is
// said here again, beside what was typed.
func (v *visit) doStep() (Response, error) {
	w, err := v.walkOf()
	if err != nil {
		return Response{}, err
	}
	s, err := v.stepOf(w)
	if err != nil {
		return Response{}, err
	}
	form := v.req.Form
	k, _ := model.WishKindOf("read")
	values := url.Values{"check": {s.ID}}
	for _, f := range append(k.Fields, model.WishField{Name: "once"}, model.WishField{Name: "by"}) {
		if vs := form[f.Name]; f.Name != "check" && len(vs) > 0 {
			values[f.Name] = vs
		}
	}
	typed := strings.TrimSpace(strings.Join(form["value"], " "))
	if form.Get("was") != typed { // another value than was read back
		values.Del(model.Sure)
	}
	again := func(faults []string, back string) (Response, error) {
		return v.stepPage(statusUnprocessable, func(s *model.WalkStep, a *stepAsk) { v.keepTyped(a, form, faults, back) })
	}
	if v.req.NoPhoto != "" {
		return again([]string{v.req.NoPhoto}, "")
	}
	if s.Kind == model.Measurement && s.Want > 1 {
		if left := emptyOf(form["value"], s.Want); left > 0 && left < s.Want && typed != "" {
			return v.stepPage(statusUnprocessable, func(s *model.WalkStep, a *stepAsk) {
				v.keepTyped(a, form, nil, "")
				a.Calm = fmt.Sprintf("%d of %d typed; nothing is written down before all are", s.Want-left, s.Want)
			})
		}
	}
	if s.Kind == model.YesNo && strings.TrimSpace(form.Get("seen")) == "" {
		return again([]string{"type what was seen, in words: “it is so” alone says nothing later"}, "")
	}
	out, errs, err := v.write(k, values)
	if err != nil {
		return Response{}, err
	}
	if errs == nil {
		return Response{Status: statusSeeOther, Location: withDone(v.walkHref(v.args[0])+"/next", out)}, nil
	}
	var faults []string
	back := ""
	for _, e := range errs {
		if e.Field == model.Sure {
			back = e.Want
			continue
		}
		text := faultText(e)
		if e.Field == "before" || e.Field == "after" || e.Value == "" && e.Field != "value" {
			text = e.Field + ": " + text
		}
		faults = append(faults, text)
	}
	return again(faults, back)
}

// emptyOf counts the boxes of a column that are still empty; 0 where the values
// were pasted.
func emptyOf(values []string, want int) int {
	filled := 0
	for i, s := range values {
		if strings.TrimSpace(s) != "" {
			if i >= want {
				return 0
			}
			filled++
		}
	}
	return want - filled
}

// keepTyped puts back into the boxes what was typed.
func (v *visit) keepTyped(a *stepAsk, form url.Values, faults []string, back string) {
	nth := map[string]int{}
	focus := true
	for i := range a.Boxes {
		b := &a.Boxes[i]
		if vs := form[b.Name]; nth[b.Name] < len(vs) {
			b.Value = vs[nth[b.Name]]
		}
		nth[b.Name]++
		for _, f := range faults {
			b.Wrong = b.Wrong || b.Value != "" && strings.Contains(f, "“"+strings.TrimSpace(b.Value)+"”")
		}
		if focus && strings.TrimSpace(b.Value) == "" {
			b.Focus, focus = true, false
		}
	}
	if vs := form["value"]; len(vs) > len(a.Boxes) {
		a.Value = vs[len(vs)-1]
	}
	a.Seen, a.Witness, a.At, a.Note = form.Get("seen"), form.Get("witness"), form.Get("at"), form.Get("note")
	a.More = a.At != "" || a.Note != ""
	a.Faults, a.ReadBack = faults, back
	a.Photo = field{ID: a.Photo.ID, Name: "photo", Label: a.Photo.Label, Value: form.Get("photo")}
	v.photoField(&a.Photo)
	if back != "" {
		a.Was, a.Button = strings.TrimSpace(strings.Join(form["value"], " ")), "it does say so"
	}
	if name, ok := form["instrument"]; ok && len(a.Instruments) > 0 {
		for i := range a.Instruments {
			a.Instruments[i].On = a.Instruments[i].Value == name[0]
		}
	}
}
