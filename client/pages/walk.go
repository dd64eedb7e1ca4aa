package pages

import (
	"fmt"
	"net/url"
	"strings"

	"ampwright/client/words"
	"ampwright/model"
)

// walkPage is all that walk.html can see: a checklist with its place.
type walkPage struct {
	*frame
	List   listFacts
	Place  quick  // the one way on
	Where  string // where the list stands, in words
	Stop   []string
	Chunks []chunkFacts
}

type listFacts struct{ Key, Title, Mode, Rule, Href, Paper string }

// chunkFacts is what the pages of a walk say of a chunk.
type chunkFacts struct {
	Key, Title, Href string
	Names            string // what its release must name
	Stamp            stamp
	Live, Here       bool
	Steps            []stepLine
	Signed           *signedLine
}

// A stepLine is one item of a checklist in a list.
type stepLine struct {
	N               int
	Key, Title      string
	Href            string
	Value           string
	Stamp           stamp
	Here, Again     bool
	Hold            string
	By, When, Limit string
}

// A signedLine is who signed a chunk off, and whether that still stands.
type signedLine struct {
	Performed, By, Witness, When, Note, Href string
	Changed                                  []string // why it does not stand any longer
	Key                                      string   // that it was signed with
}

// stopDrill is what is done at once when something is wrong: the order is
// common practice, no published source; leaving a battery fire to the fire
// service: fire-service pages on lithium cells (S22 of the plans).
var stopDrill = []string{
	"Throttle closed, key off, kill switch off.",
	"Pull the disconnect by its lanyard. Hands off everything else.",
	"Second person: step back with everybody, keep the exit clear.",
	"A cell hisses, swells, smells sweet or smokes: leave, warn, shut the door behind you, call the fire service. Do not fight a battery fire.",
	"Somebody was shocked or burnt: call the emergency number, first aid, do not touch them while they touch metal of the machine.",
	"When it is quiet: lock the disconnect out, wait 5 minutes, prove the tester, test the bus, prove the tester again.",
	"Then write the value down and raise a nonconformance.",
}

// walkOf finds the checklist of the path and where it stands for the person who
// keeps this copy.
func (v *visit) walkOf() (*model.Walk, error) {
	var w *model.Walk
	ok := false
	v.cfg.Book.Read(func(*model.Logbook) { w, ok = v.b.Walk(v.args[0], v.now(), v.cfg.Book.Person()) })
	if !ok {
		return nil, missing("there is no checklist %s in this build", v.args[0])
	}
	return w, nil
}

func (v *visit) walkHref(list string) string { return v.at() + "/walk/" + list }

func (v *visit) listFacts(w *model.Walk) listFacts {
	at := v.walkHref(w.List.ID)
	return listFacts{w.List.ID, w.List.Title, w.List.Mode, w.List.Rule, at, at + "/paper"}
}

func (v *visit) walk() (Response, error) {
	w, err := v.walkOf()
	if err != nil {
		return Response{}, err
	}
	p := walkPage{frame: v.frame("checks", w.List.Title), List: v.listFacts(w), Stop: stopDrill, Where: place(w)}
	p.Block[1].Text = "checklist " + w.List.ID
	if w.Chunk != nil {
		p.Place = quick{Button: "go on", Href: v.walkHref(w.List.ID) + "/next"}
		if w.Last == nil && w.Chunk.N == 1 {
			p.Place.Button = "begin"
		}
	}
	for _, ch := range w.Chunks {
		p.Chunks = append(p.Chunks, v.chunkFacts(w, ch))
	}
	return v.render(statusOK, "walk.html", p)
}

// place says where a list stands.
func place(w *model.Walk) string {
	switch {
	case w.Chunk == nil:
		return "every chunk is released"
	case w.Break != "":
		return fmt.Sprintf("left at step %d of %d: %s", w.Last.N, len(w.Steps), w.Break)
	case w.Step == nil:
		return w.Chunk.Title + " is worked through and waits for its release"
	}
	return fmt.Sprintf("step %d of %d: %s", w.Step.N, len(w.Steps), w.Step.Title)
}

func (v *visit) chunkFacts(w *model.Walk, ch *model.WalkChunk) chunkFacts {
	f := chunkFacts{
		Key: ch.ID, Title: ch.Title, Names: ch.Release, Live: ch.Live, Here: ch == w.Chunk, Href: v.walkHref(w.List.ID) + "/release/" + ch.ID,
		Stamp: stamp{"SHUT", "held"}, Signed: v.signedLine(ch),
	}
	switch {
	case ch.Released != nil:
		f.Stamp = stamp{"RELEASED", "within"}
	case ch == w.Chunk:
		f.Stamp = stamp{"OPEN", "ready"}
	case ch.Last != nil:
		f.Stamp = stamp{"RELEASE STALE", "stale"}
	}
	for _, s := range ch.Steps {
		f.Steps = append(f.Steps, v.stepLine(w, s))
	}
	return f
}

func (v *visit) stepLine(w *model.Walk, s *model.WalkStep) stepLine {
	l := stepLine{
		N: s.N, Key: s.ID, Title: s.Title, Href: v.stepHref(w, s), Value: s.ValueText(s.Current, v.style()), Stamp: checkStamp(s.Check),
		Here: s == w.Step, Again: !s.Stands && s.Cleared(), Limit: s.LimitText(v.style()),
	}
	if s.Point != "" {
		l.Hold = s.Point + " point"
	}
	if r := s.Current; r != nil {
		l.By, l.When = r.Person, v.when(r.At)
	}
	return l
}

func (v *visit) stepHref(w *model.Walk, s *model.WalkStep) string {
	return v.walkHref(w.List.ID) + "/" + s.ID
}

func (v *visit) signedLine(ch *model.WalkChunk) *signedLine {
	r := ch.Last
	if r == nil {
		return nil
	}
	l := &signedLine{
		Performed: strings.Join(ch.Performed, ", "), By: r.Person, Witness: r.Release.Witness, When: v.when(r.At), Note: r.Release.Note,
		Href: v.at() + "/entry/" + r.ID.String(), Changed: r.Changed, Key: signedWith(r.Signed),
	}
	if ch.Released == nil && len(l.Changed) == 0 {
		l.Changed = []string{"an item is to be taken again"}
	}
	return l
}

// signedWith says whose key a sign-off was signed with; "" for none of its own.
func signedWith(s *model.SignatureLine) string {
	if s == nil {
		return ""
	}
	return "on " + s.Device + " of " + s.Person + ", key " + s.Fingerprint()
}

// walkNext leads to the place of a list: its next item, or the release of its
// chunk.
func (v *visit) walkNext() (Response, error) {
	w, err := v.walkOf()
	if err != nil {
		return Response{}, err
	}
	to := v.walkHref(w.List.ID)
	switch {
	case w.Chunk == nil:
	case w.Step != nil:
		to = v.stepHref(w, w.Step)
	default:
		to += "/release/" + w.Chunk.ID
	}
	q := url.Values{}
	for _, name := range []string{"done", "raised", "stale"} {
		if s := v.req.Query.Get(name); s != "" {
			q.Set(name, s)
		}
	}
	if len(q) > 0 {
		to += "?" + q.Encode()
	}
	return Response{Status: statusSeeOther, Location: to}, nil
}

// releasePage is all that release.html can see: the completion call of a chunk.
type releasePage struct {
	*frame
	List    listFacts
	Chunk   chunkFacts
	Where   string
	In      string
	Why     string // why it stays shut
	Back    string // the way to what stands in the way
	Stop    []string
	Break   *breakAsk
	Once    string
	Action  string
	Witness string
	Note    string
	Faults  []string
}

func (v *visit) release() (Response, error) { return v.releasePage(statusOK, nil) }

func (v *visit) chunkOf(w *model.Walk) (*model.WalkChunk, error) {
	for _, ch := range w.Chunks {
		if ch.ID == v.args[1] {
			return ch, nil
		}
	}
	return nil, missing("the checklist %s has no chunk %s", w.List.ID, v.args[1])
}

func (v *visit) releasePage(status int, faults []string) (Response, error) {
	w, err := v.walkOf()
	if err != nil {
		return Response{}, err
	}
	ch, err := v.chunkOf(w)
	if err != nil {
		return Response{}, err
	}
	p := releasePage{
		frame: v.frame("checks", "release "+ch.Title), List: v.listFacts(w), Chunk: v.chunkFacts(w, ch), Where: fmt.Sprintf("chunk %d of %d", ch.N, len(w.Chunks)),
		Why: w.Complete(ch), Back: v.walkHref(w.List.ID) + "/next", Stop: stopDrill, Once: v.cfg.Once(), Faults: faults,
		Witness: v.req.Form.Get("witness"), Note: v.req.Form.Get("note"),
	}
	p.Action = p.Chunk.Href
	if w.Chunk == ch && w.Step == nil {
		p.Break = v.breakAsk(w)
	}
	return v.render(status, "release.html", p)
}

// doRelease signs a chunk off. It takes two taps in different places: the tick
// under the items and the button.
func (v *visit) doRelease() (Response, error) {
	form := v.req.Form
	if form.Get("seen") != "yes" {
		return v.releasePage(statusUnprocessable, []string{"tick that every line above was read: a release is two taps"})
	}
	k, _ := model.WishKindOf("release")
	values := url.Values{"point": {v.args[1]}, "witness": form["witness"], "note": form["note"], "once": form["once"]}
	out, errs, err := v.write(k, values)
	if err != nil {
		return Response{}, err
	}
	if errs != nil {
		var faults []string
		for _, e := range errs {
			faults = append(faults, faultText(e))
		}
		return v.releasePage(statusUnprocessable, faults)
	}
	return Response{Status: statusSeeOther, Location: withDone(v.walkHref(v.args[0])+"/next", out)}, nil
}

// A breakAsk asks to take a list up again.
type breakAsk struct {
	Why, Title, Value string
	Stamp             stamp
	Again             bool
	Go                quick
}

func (v *visit) breakAsk(w *model.Walk) *breakAsk {
	if w.Break == "" {
		return nil
	}
	s := w.From
	b := &breakAsk{Why: w.Break, Title: fmt.Sprintf("%d %s", s.N, words.Lower(s.Title)), Value: s.ValueText(s.Current, v.style()), Stamp: checkStamp(s.Check), Again: w.Again}
	button := "I looked again: it stands"
	if w.Again {
		button = fmt.Sprintf("go on from step %d", s.N)
	}
	b.Go = v.quick("resume", button, v.walkHref(w.List.ID)+"/next", "list", w.List.ID)
	return b
}
