package record

import (
	"ampwright/client/words"
	"ampwright/model"
)

// card is what somebody with an extinguisher or a cutter in hand must find at once.
func (m *maker) card() Section {
	s := Section{Key: "card", Title: "battery-electric conversion, home-built"}
	s.Facts = m.specs(nil, "pack_max_V", "pack_nom_V", "pack_kWh")
	if series, parallel := m.b.Spec.Get("cells_series"), m.b.Spec.Get("cells_parallel"); series != nil && parallel != nil && series.Err == "" && parallel.Err == "" {
		both := m.specs(nil, "cells_series", "cells_parallel")
		f := Fact{Name: "cells", Value: both[0].Value + " in series, " + both[1].Value + " in parallel", On: append(both[0].On, both[1].On...)}
		if both[0].Mark != "" || both[1].Mark != "" {
			f.Mark, f.Shape = "PLACEHOLDER", "none"
		}
		s.Facts = append(s.Facts, f)
	}
	s.Facts = m.specs(s.Facts, "pack_mass_kg")
	for i := range s.Facts { // on a card the working is in the way
		s.Facts[i].Note = ""
	}
	s.Facts = append(s.Facts, Fact{Name: "cell chemistry", Blank: true}, Fact{Name: "where the pack is", Blank: true})
	where := Fact{Name: "where the disconnect is", Note: "pull it out, then wait: capacitors hold the voltage", Blank: true}
	if c := m.b.Check("disconnect-reach"); c != nil && c.Current != nil && c.Verdict != model.Out {
		if c.Current.Seen != "" {
			where.Value, where.Blank = c.Current.Seen, false
		}
		where.Note = words.Join("; ", where.Note, m.stale(c))
		where.Mark, where.Shape = mark(c)
		where.On = m.onCheck(c)
	}
	s.Facts = append(s.Facts, where)
	if c := m.b.Check("dead-at-controller"); c != nil {
		f := Fact{Name: "bus voltage at the controller", Value: "not measured", Note: "not known how long it takes"}
		f.Mark, f.Shape = mark(c)
		if c.Current != nil {
			f.Value, f.Note, f.On = c.ValueText(c.Current, m.st), words.Join("; ", "limit "+m.limit(c)+" five minutes after the disconnect is out", m.stale(c)), m.onCheck(c)
		}
		s.Facts = append(s.Facts, f)
	}
	s.Facts = append(s.Facts, Fact{Name: "whom to call", Blank: true})
	return s
}

// doNotCut names what must stay whole. The orange cover is asked for outside
// enclosures by the rules on such vehicles (read in a national draft of 2019);
// that this machine has it is said only where a check has seen it.
func (m *maker) doNotCut() Section {
	s := Section{Key: "do-not-cut", Title: "do not cut, crush or drill", Text: []string{
		"The pack and its case. Cables between pack, disconnect, controller and motor, and the motor's three leads to the axle.",
	}}
	f := Fact{Name: "cables above 60 V DC", Value: "not seen to be orange or marked", Blank: false}
	if c := m.b.Check("cable-clear"); c != nil {
		if c.Verdict == model.Within {
			f.Value = "orange or marked, by the check that was seen"
		}
		f.Mark, f.Shape = mark(c)
		f.On = m.onCheck(c)
		s.Facts = append(s.Facts, f)
	}
	s.Facts = append(s.Facts, Fact{Name: "also", Blank: true})
	return s
}

// fire is what a damaged pack may do. Leaving, warning and calling are council
// and fire-service advice read in excerpt; that it may flare up again, and is
// kept outdoors and watched, is common practice, no published source.
func (m *maker) fire() Section {
	return Section{Key: "fire", Title: "a pack that hisses, swells, smells sweet or smokes", Text: []string{
		"Leave, warn others, shut the door behind you, call the fire service. Do not fight a battery fire. It may flare up again hours later.",
		"A pack that was hot, wet, dropped or crushed stays outdoors, away from buildings, watched. It is not carried indoors and not charged.",
	}}
}

// sketch is room to draw in by hand: the logbook holds no drawing.
func (m *maker) sketch() Section {
	return Section{Key: "sketch", Title: "where things are", Sketch: "side view, drawn by hand: pack, disconnect, orange cables"}
}
