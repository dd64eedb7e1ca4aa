package record

import (
	"cmp"
	"fmt"
	"slices"

	"ampwright/model"

	"github.com/google/uuid"
)

// Locate says which entry of a damaged stretch of a device's chain was changed, as
// nearly as the record can tell: names are those that the bytes give now. From the
// changed entry on none is what it was, and the record knows the names of those it
// rests on. ok is false where the record says nothing of that stretch.
func Locate(r *Record, replica uuid.UUID, names []model.Head) (t Trouble, ok bool) {
	if len(names) == 0 {
		return t, false
	}
	known := slices.Clone(r.Entries)
	for _, h := range r.Heads {
		known = append(known, Entry{ID: h.ID, Replica: h.Replica, Seq: h.Seq})
	}
	slices.SortStableFunc(known, func(x, y Entry) int { return cmp.Compare(x.Seq, y.Seq) })
	after := names[0].Seq // the first that may have been changed
	for _, e := range known {
		if e.Replica != replica || e.Seq < names[0].Seq {
			continue
		}
		at := int(e.Seq - names[0].Seq)
		if at < len(names) && names[at].ID.String() == e.ID {
			after = e.Seq + 1
			continue
		}
		t = Trouble{Kind: "changed", Entry: e.ID, Text: fmt.Sprintf("entry %s, number %d of device %.8s, was changed: its bytes give another name", Short(e.ID), e.Seq, replica)}
		if e.Seq > after {
			t.Text = fmt.Sprintf("entry %s, number %d of device %.8s, no longer has its name: it was changed, or one before it from number %d on", Short(e.ID), e.Seq, replica, after)
		}
		return t, true
	}
	return t, false
}
