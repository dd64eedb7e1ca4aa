package pages

import (
	"fmt"
	"strings"

	"ampwright/model"
)

// paperPage is all that paper.html can see: a checklist to be printed and filled
// in by hand.
type paperPage struct {
	*frame
	List   listFacts
	PDF    string // the same as a PDF, where the server paints it
	Made   string // when, and by which state of the logbook
	Chunks []paperChunk
	Stop   []string
}

type paperChunk struct {
	Title, Names string
	Signals      []signal
	Rows         []paperRow
}

// A paperRow is one item with its blanks.
type paperRow struct {
	N                       int
	ID                      string // of the record: list/number/check
	Title                   string
	Wanted                  []string
	With, PPE, Stop, OnFail string
	Hold                    string
	Points                  []string // labels of the blanks
	Needs                   string
	Stands                  string // what is on record today
}

func (v *visit) paper() (Response, error) {
	w, err := v.walkOf()
	if err != nil {
		return Response{}, err
	}
	p := paperPage{
		frame: v.frame("checks", w.List.Title+" on paper"), List: v.listFacts(w), Stop: stopDrill,
		Made: "printed " + v.moment(v.now()) + ", build " + v.b.ID.String()[:8] + ", plan " + fmt.Sprintf("%s.%d", v.b.Plan.ID, v.b.Plan.Version),
	}
	for _, ch := range w.Chunks {
		c := paperChunk{Title: ch.Title, Names: ch.Release}
		var hazards []string
		for _, s := range ch.Steps {
			for _, h := range s.Task.Hazards {
				if !strings.Contains("\n"+strings.Join(hazards, "\n")+"\n", "\n"+h+"\n") {
					hazards = append(hazards, h)
				}
			}
			c.Rows = append(c.Rows, v.paperRow(w, s))
		}
		c.Signals = signals(hazards, ch.Live)
		p.Chunks = append(p.Chunks, c)
	}
	p.PDF = v.paperPDF(w.List.ID)
	return v.render(statusOK, "paper.html", p)
}

// paperPDF is where the server paints a list of the build to be filled in by hand;
// "" where it does not.
func (v *visit) paperPDF(list string) string {
	if !v.cfg.PDF {
		return ""
	}
	return v.at() + "/paper/" + list + ".pdf"
}

func (v *visit) paperRow(w *model.Walk, s *model.WalkStep) paperRow {
	r := paperRow{
		N: s.N, ID: fmt.Sprintf("%s/%d/%s", w.List.ID, s.N, s.ID), Title: s.Title, Wanted: v.working(s.Check), With: s.Instrument, PPE: s.PPE,
		Stop: s.StopIf, OnFail: s.OnFail, Needs: strings.Join(s.DependsOn, ", "), Points: []string{""},
	}
	if s.Point != "" {
		r.Hold = s.Point + " point"
	}
	switch {
	case s.Derive != nil:
		r.Points = []string{"from " + s.Derive.Check}
	case s.Proof:
		r.Points = []string{"known source", "circuit", "known source"}
	case len(s.Points) > 0:
		r.Points = s.Points
	case s.Want > 1:
		r.Points = nil
		for i := range s.Want {
			r.Points = append(r.Points, s.PointLabel(i))
		}
	}
	if s.Kind != model.Measurement && len(s.Points) == 0 {
		r.Points = []string{"seen"}
	}
	if s.Stands && s.Current != nil {
		r.Stands = s.ValueText(s.Current, v.style()) + ", " + v.when(s.Current.At)
	}
	return r
}
