package pages

import (
	"slices"
	"time"

	"ampwright/model"
)

// offer returns the datalist for a type of field, "" if there is none, and sees
// to it that the page holds it once.
func (v *visit) offer(t model.FieldType) string {
	id := "names-" + string(t)
	if slices.ContainsFunc(v.lists, func(d datalist) bool { return d.ID == id }) {
		return id
	}
	options := v.names(t)
	if len(options) == 0 {
		return ""
	}
	v.lists = append(v.lists, datalist{id, options})
	return id
}

// names lists what a field of a type may hold.
func (v *visit) names(t model.FieldType) (list []option) {
	add := func(value, text string) { list = append(list, option{Value: value, Text: text}) }
	if t == model.InstrumentField {
		for _, i := range v.instruments() {
			add(i.Name, i.Accuracy)
		}
		return list
	}
	if v.b == nil {
		return nil
	}
	switch t {
	case model.TaskField:
		for _, t := range v.b.Tasks {
			add(t.ID, t.Title)
		}
	case model.CheckField:
		for _, c := range v.b.Checks {
			add(c.ID, c.Title)
		}
	case model.PartField:
		for _, p := range v.b.Parts {
			add(p.ID, p.Title)
		}
	case model.OrderField:
		for _, o := range v.b.Orders {
			if o.Arrived == nil || !o.Paid {
				add(o.Label, o.What)
			}
		}
	case model.SpecField:
		for _, s := range v.b.Spec.Inputs {
			add(s.ID, s.Title)
		}
	case model.StageField:
		for _, s := range v.b.Stages {
			add(s.ID, s.Title)
		}
	case model.DeviceField:
		for _, d := range v.b.Devices {
			add(d.Replica.String(), v.deviceName(d.Replica))
		}
	case model.ItemField:
		for _, n := range v.b.NCRs {
			if n.Closed == nil {
				add(n.Label, n.Text)
			}
		}
		for _, f := range v.b.Findings {
			if f.Open {
				add(f.Key, f.Text)
			}
		}
		for _, i := range v.b.Punches {
			if i.Closed == nil {
				add(i.ID.String(), i.Text)
			}
		}
	}
	return list
}

// An instrument is a line of the garage's list.
type instrument struct{ Name, Accuracy, Checked string }

// instruments returns the garage's list, and what readings of this build were
// taken with beside it.
func (v *visit) instruments() []instrument {
	var list []instrument
	at := map[string]int{}
	see := func(name string) *instrument {
		n, ok := at[name]
		if !ok {
			n = len(list)
			at[name] = n
			list = append(list, instrument{Name: name})
		}
		return &list[n]
	}
	v.cfg.Book.Read(func(l *model.Logbook) {
		for _, line := range slices.Backward(l.Lines([16]byte{}, 0, 0)) {
			s, ok := line.Body.(*model.Set)
			if !ok || s.What != "instrument" || line.Struck || line.Replaced {
				continue
			}
			switch i := see(s.Key); s.Field {
			case "accuracy":
				i.Accuracy = s.Value
			case "checked":
				i.Checked = s.Value
			}
		}
	})
	if v.b != nil {
		for _, c := range v.b.Checks {
			for _, r := range c.Readings {
				if r.Instrument != "" {
					see(r.Instrument)
				}
			}
		}
	}
	return list
}

func parseDate(s string) (time.Time, bool) {
	t, err := time.Parse(time.DateOnly, s)
	return t, err == nil
}
