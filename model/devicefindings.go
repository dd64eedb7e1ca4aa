package model

import (
	"fmt"
	"slices"

	"github.com/google/uuid"
)

// findDevices raises what is odd about the devices that wrote in this build:
// entries held back, a device that was duplicated, a clock that is off. Held
// entries of the garage are raised in every build.
func (b *Build) findDevices() {
	l := b.log
	wrote := map[uuid.UUID]int{} // entries of this build, by device
	back := map[uuid.UUID][]uint32{}
	early := map[uuid.UUID]ahead{}
	from := StampAt(b.Now.Add(MaxLead))
	for _, room := range []uint16{0, l.build[b.ID]} {
		for _, n := range l.builds[room].items {
			it := &l.items[n]
			id := l.replicas[it.rep].id
			if room != 0 {
				wrote[id]++
			}
			if it.state&held != 0 {
				back[id] = append(back[id], n)
			} else if room != 0 && it.stamp > from {
				a := early[id]
				early[id] = ahead{a.entries + 1, max(a.last, it.stamp)}
			}
		}
	}
	for i := range b.Devices {
		d := &b.Devices[i]
		b.findHeld(d, back[d.Replica])
		if wrote[d.Replica] == 0 {
			continue
		}
		if f := d.Fork; f != nil {
			b.raise(&Finding{
				Key: fmt.Sprintf("fork:%s:%d", d.Replica, f.Number), Kind: FindingForked, At: WhenOf(d.Last.Time()), Open: true,
				Text: Label(b.Devices, d.Replica) + " " + f.Twice(Next(b.Devices, d.Replica)),
			})
		}
		b.findClock(d, early[d.Replica])
	}
}

// findHeld raises the entries of a device that are held back.
func (b *Build) findHeld(d *Device, back []uint32) {
	if len(back) == 0 || d.Closed == nil {
		return
	}
	slices.SortFunc(back, b.log.compare)
	f := &Finding{
		Key:  fmt.Sprintf("held:%s:%s", d.Replica, b.log.items[back[len(back)-1]].id.Short()), // another when more come in
		Kind: FindingHeld, At: d.Closed.ReplicaClose.At, Open: true,
		Text: fmt.Sprintf("%s of %s held back, counting for nothing: %s struck the device off on %s (%s)",
			entries(len(back)), Label(b.Devices, d.Replica)+isAre(len(back)), d.Closed.Person, dayText(d.Closed.ReplicaClose.At), d.Closed.Reason),
	}
	for _, n := range back {
		f.Held = append(f.Held, b.log.items[n].id)
	}
	b.raise(f)
}

func entries(n int) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}

func isAre(n int) string {
	if n == 1 {
		return " is"
	}
	return " are"
}

// ahead are the entries of a device stamped after now, and the last stamp.
type ahead struct {
	entries int
	last    Stamp
}

// findClock raises a device whose clock was off when it was last measured, or
// that wrote entries stamped after now. They are kept and count all the same.
func (b *Build) findClock(d *Device, a ahead) {
	if off := d.Offset; off.Abs() > MaxLead {
		side := "ahead of"
		if off < 0 {
			side = "behind"
		}
		b.raise(&Finding{
			Key: fmt.Sprintf("clock-off:%s:%d", d.Replica, d.Met.Unix), Kind: FindingClock, At: d.Met, Open: true,
			Text: fmt.Sprintf("the clock of %s was %s %s the other's when they met on %s: what it wrote is dated by it", Label(b.Devices, d.Replica), Apart(off), side, dayText(d.Met)),
		})
	} else if a.entries > 0 {
		b.raise(&Finding{
			Key: fmt.Sprintf("clock-ahead:%s:%d", d.Replica, a.last), Kind: FindingClock, At: WhenOf(a.last.Time()), Open: true,
			Text: fmt.Sprintf("%s wrote %d of its entries later than now by this clock, up to %s: one of the two clocks is wrong", Label(b.Devices, d.Replica), a.entries, a.last.Time().Format("2006-01-02 15:04")),
		})
	}
}
