package model

import (
	"cmp"
	"slices"
	"time"

	"github.com/google/uuid"
)

// A Device is a replica: what it is called, and what became of it.
type Device struct {
	Replica uuid.UUID
	Name    string
	Person  string
	Was     uuid.UUID // the replica it continues after a restore; zero for none
	Entries int
	Last    Stamp
	Met     When          // last meeting on record
	Offset  time.Duration // its clock minus the other's at that meeting
	Closed  *Closure      // nil unless it was closed
	Held    int           // entries of it that a close holds
	Fork    *Fork         // nil unless it was duplicated
}

func (l *Logbook) devices(g *garage) []Device {
	devices := make([]Device, 0, len(l.replicas))
	for i := range l.replicas {
		r := &l.replicas[i]
		d := Device{Replica: r.id, Entries: r.count, Name: r.id.String()[:8], Closed: l.closure(g, uint16(i)), Fork: r.chain.fork(l)}
		if info, ok := g.replicas[r.id]; ok {
			d.Name, d.Person, d.Was = info.body.Device, info.body.Person, info.body.Was
		}
		devices = append(devices, d)
	}
	for i := range l.items {
		it := &l.items[i]
		d := &devices[it.rep]
		d.Last = max(d.Last, it.stamp)
		if it.state&held != 0 {
			d.Held++
		}
	}
	for rep, met := range l.met {
		last := met[len(met)-1]
		devices[rep].Met, devices[rep].Offset = last.at, last.offset
	}
	slices.SortFunc(devices, func(a, b Device) int {
		return slices.Compare([]string{a.Name, a.Replica.String()}, []string{b.Name, b.Replica.String()})
	})
	return devices
}

// A meeting is what was measured of a replica's clock.
type meeting struct {
	at     When          // by the other's clock
	offset time.Duration // its clock minus the other's
	n      uint32
}

// meetings returns the meetings on record of each replica, oldest first.
func (l *Logbook) meetings() map[uint16][]meeting {
	of := map[uint16][]meeting{}
	for _, n := range l.meets {
		m, ok := read[Meet](l, n)
		rep, known := l.replica[m.body.With]
		if !ok || !known || m.body.At.Unix <= 0 || l.items[n].state&standing != 0 {
			continue
		}
		of[rep] = append(of[rep], meeting{m.body.At, time.Duration(m.body.Offset) * time.Millisecond, n})
	}
	for _, met := range of {
		slices.SortFunc(met, func(a, b meeting) int { return cmp.Or(cmp.Compare(a.at.Unix, b.at.Unix), l.compare(a.n, b.n)) })
	}
	return of
}

// clock returns how far the clock that stamped an entry was off, by the first
// meeting after it was written, else by the last one before.
func (l *Logbook) clock(it *item) time.Duration {
	off := time.Duration(0)
	for _, m := range l.met[it.rep] {
		off = m.offset
		if !m.at.Time().Before(it.stamp.Time().Add(-off)) {
			break
		}
	}
	return off
}
