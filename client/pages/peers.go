package pages

import (
	"cmp"
	"fmt"
	"time"

	"ampwright/client/words"
	"ampwright/model"

	"github.com/google/uuid"
)

// heard returns what other devices were last heard to hold.
func (v *visit) heard() map[uuid.UUID]model.Peer {
	if v.cfg.Peers == nil {
		return nil
	}
	return v.cfg.Peers()
}

// counting returns the peers whose copies count.
func (v *visit) counting() map[uuid.UUID]model.Peer {
	return model.Counting(v.heard(), v.b.Devices, v.cfg.Book.Replica())
}

// keptWhere says where an entry is, while the logbook is held.
func (v *visit) keptWhere(id model.ID) string {
	if v.kept == nil {
		return ""
	}
	var names []string
	for _, h := range v.kept.Of(id) {
		names = append(names, v.deviceName(h.Replica))
	}
	return words.Kept(names)
}

func (v *visit) deviceName(replica uuid.UUID) string {
	return model.Label(v.b.Devices, replica)
}

// alone returns how many entries no other device is known to hold, and how long
// ago the oldest was written.
func (v *visit) alone() (entries int, age time.Duration) {
	peers := v.counting()
	var oldest model.Stamp
	v.cfg.Book.Read(func(l *model.Logbook) { entries, oldest = l.Holders(peers).Alone() })
	return entries, v.now().Sub(oldest.Time())
}

// aloneCell is that in the title block.
func (v *visit) aloneCell() cell {
	var entries, beside string
	if n, age := v.alone(); n > 0 {
		entries = fmt.Sprintf("%d, oldest %s", n, words.Age(age))
	}
	if v.cfg.Lone != nil {
		beside = words.Lone(v.cfg.Lone())
	}
	return cell{"on this device only", cmp.Or(words.Join("; ", entries, beside), "none")}
}

// contact returns when a device was last heard, or met on record.
func (v *visit) contact(d model.Device) time.Time {
	last := v.heard()[d.Replica].Heard
	if met := d.Met; !met.IsZero() && met.Time().After(last) {
		last = met.Time()
	}
	return last
}

// lastContact names the device that was heard or met last, and when.
func (v *visit) lastContact() string {
	name, last := "", time.Time{}
	for _, d := range v.b.Devices {
		if at := v.contact(d); d.Replica != v.cfg.Book.Replica() && at.After(last) {
			name, last = v.deviceName(d.Replica), at
		}
	}
	if last.IsZero() {
		return "no other device yet"
	}
	return name + " " + v.moment(last.In(v.now().Location()))
}

// lacks says what a device was last heard to lack; "" if it was never heard, or
// goes on under a new name.
func (v *visit) lacks(d model.Device) string {
	p, ok := v.heard()[d.Replica]
	if !ok || d.Replica == v.cfg.Book.Replica() || len(model.Next(v.b.Devices, d.Replica)) > 0 {
		return ""
	}
	var text string
	v.cfg.Book.Read(func(l *model.Logbook) { text = words.Lacks(l.Lacks(p.Vector), l.Beyond(p.Vector)) })
	return text
}
