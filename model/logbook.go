package model

import (
	"bytes"
	"fmt"
	"slices"
	"time"

	"ampwright/model/cbor"

	"github.com/google/uuid"
)

// A Logbook is the fold of a set of entries: what is in force, what was struck
// out, what was replaced, by replica and by build. It holds the same whatever
// order entries come in and however often (the order and the number of Adds
// leave no trace). It does no I/O and reads no clock, and is not for concurrent
// use while entries are added.
//
// An entry is struck out when a [Strike] that is not itself struck out names it.
// It is replaced when another entry of its kind (for a [Set]: of its field) that
// is not struck out names it. What a device wrote after it was closed is held: as
// if it were not there. What is none of these is in force.
type Logbook struct {
	items     []item
	byID      map[ID]uint32
	replicas  []replicaState
	replica   map[uuid.UUID]uint16
	builds    []buildState
	build     map[uuid.UUID]uint16
	namers    map[uint32][]uint32 // entry -> entries whose Over names it
	awaited   map[ID][]uint32     // named but not seen yet
	closes    []uint32            // entries that close a replica, or would
	admits    []uint32            // entries that let others in, or would
	closed    []*cut              // by replica: where it is closed, nil if it is not
	meets     []uint32            // entries that say that replicas met
	met       map[uint16][]meeting
	photos    blobBook
	files     blobBook
	unsettled bool
	unheld    bool // what closes hold is to be found anew
	high      Stamp
	signs     []uint32      // entries with signatures under sign-offs
	verified  map[ID]string // by signature: what is wrong with it
	shelf     *planShelf    // plans read from entries; nil if nobody said how, see ReadPlans
}

// An item is what the fold keeps of an entry. 56 bytes, and the entry's own.
type item struct {
	raw   string
	id    ID
	stamp Stamp
	seq   uint32
	body  uint16 // where the body starts in raw
	rep   uint16
	build uint16
	kind  kind
	state state
}

type state uint8

const (
	struck   state = 1 << iota // a strike in force names it
	replaced                   // a later entry in its place names it
	authored                   // its author is not who keeps the replica
	held                       // a close keeps it out

	standing = struck | replaced | held
)

type replicaState struct {
	id     uuid.UUID
	count  int
	head   Head
	broken bool // entries came out of order, or the chain forks: heads are searched for
	chain  chain
}

type buildState struct {
	id    uuid.UUID
	items []uint32
}

// A Head is the last entry of a chain.
type Head struct {
	Seq uint64
	ID  ID
}

// NewLogbook returns an empty logbook.
func NewLogbook() *Logbook {
	l := &Logbook{
		byID:    map[ID]uint32{},
		replica: map[uuid.UUID]uint16{},
		build:   map[uuid.UUID]uint16{},
		namers:  map[uint32][]uint32{},
		awaited: map[ID][]uint32{},
	}
	l.buildIndex(uuid.Nil) // build 0 is the garage
	return l
}

// Add folds one entry in and reports whether it was new. Bytes that are no
// entry are an error and change nothing. An entry whose predecessor has not
// been seen is folded all the same: stores and links see to it that chains have
// no holes.
func (l *Logbook) Add(raw []byte) (bool, error) {
	id := IDOf(raw)
	if _, ok := l.byID[id]; ok {
		return false, nil
	}
	in := string(raw)
	if err := checkEntry(in, new(header)); err != nil {
		return false, fmt.Errorf("decode entry: %w", err)
	}
	return true, l.add(in, id)
}

// AddLinked is Add for bytes that [LinkOf] has accepted, with the name that it
// returned.
func (l *Logbook) AddLinked(raw []byte, id ID) (bool, error) {
	if _, ok := l.byID[id]; ok {
		return false, nil
	}
	return true, l.add(string(raw), id)
}

// AddRun folds in a run as a store holds it. Its entries were checked when they
// were stored; their names are computed again, so damage is noticed.
func (l *Logbook) AddRun(run []byte) error {
	return UnpackRun(run, l.add)
}

// Grow makes room for n more entries.
func (l *Logbook) Grow(n int) {
	l.items = slices.Grow(l.items, n)
	if len(l.byID) == 0 {
		l.byID = make(map[ID]uint32, n)
	}
}

func (l *Logbook) add(raw string, id ID) error {
	if _, ok := l.byID[id]; ok {
		return nil
	}
	var h header
	if err := parseHeader(raw, &h); err != nil {
		return err
	}
	n := uint32(len(l.items))
	b := l.buildIndex(h.Build)
	it := item{
		raw: raw, id: id, stamp: h.Stamp, seq: uint32(h.Seq), body: uint16(h.body),
		rep: l.replicaIndex(h.Replica), build: b, kind: kindOf(h.kind),
	}
	if h.Author != "" {
		it.state = authored
	}
	l.items = append(l.items, it)
	l.byID[id] = n
	l.builds[b].items = append(l.builds[b].items, n)

	r := &l.replicas[it.rep]
	if r.count > 0 && h.Prev != r.head.ID || r.count == 0 && h.Seq != 1 {
		r.broken = true
	}
	r.count++
	if h.Seq >= r.head.Seq {
		r.head = Head{h.Seq, id}
	}
	r.chain.add(l, n, h.Prev)
	l.high = max(l.high, h.Stamp)
	switch it.kind {
	case kindReplicaClose:
		l.closes = append(l.closes, n)
	case kindReplicaAdmit:
		l.admits = append(l.admits, n)
	case kindSignature:
		l.signs = append(l.signs, n)
	case kindMeet:
		l.meets = append(l.meets, n)
		l.unsettled = true
	}
	l.unheld = len(l.closes) > 0
	for _, over := range h.Over {
		if target, ok := l.byID[over]; ok {
			l.namers[target] = append(l.namers[target], n)
		} else {
			l.awaited[over] = append(l.awaited[over], n)
		}
		l.unsettled = true
	}
	if len(l.awaited) > 0 {
		if names, ok := l.awaited[id]; ok {
			l.namers[n] = append(l.namers[n], names...)
			delete(l.awaited, id)
			l.unsettled = true
		}
	}
	return nil
}

func (l *Logbook) replicaIndex(id uuid.UUID) uint16 {
	if n := len(l.replicas); n > 0 && l.replicas[n-1].id == id {
		return uint16(n - 1)
	}
	i, ok := l.replica[id]
	if !ok {
		i = uint16(len(l.replicas))
		l.replica[id] = i
		l.replicas = append(l.replicas, replicaState{id: id})
		l.unsettled = l.unsettled || len(l.meets) > 0 // it may be whom somebody met
	}
	return i
}

func (l *Logbook) buildIndex(id uuid.UUID) uint16 {
	i, ok := l.build[id]
	if !ok {
		i = uint16(len(l.builds))
		l.build[id] = i
		l.builds = append(l.builds, buildState{id: id})
	}
	return i
}

// settle brings the states of named entries up to date.
func (l *Logbook) settle() {
	if l.unheld {
		l.unheld = false
		l.unsettled = l.hold() || l.unsettled
	}
	if !l.unsettled {
		return
	}
	l.unsettled = false
	struckMemo := map[uint32]bool{}
	var isStruck func(uint32) bool
	isStruck = func(n uint32) bool {
		if v, ok := struckMemo[n]; ok {
			return v
		}
		v := false
		for _, by := range l.namers[n] {
			if l.strikes(by, n) && l.items[by].state&held == 0 && !isStruck(by) {
				v = true
				break
			}
		}
		struckMemo[n] = v
		return v
	}
	for n, by := range l.namers {
		it := &l.items[n]
		it.state &^= struck | replaced
		if isStruck(n) {
			it.state |= struck
		}
		for _, m := range by {
			if l.replaces(m, n) && l.items[m].state&held == 0 && !isStruck(m) {
				it.state |= replaced
			}
		}
	}
	l.met = l.meetings()
}

// strikes reports whether entry m, which names n, strikes it out if it stands.
func (l *Logbook) strikes(m, n uint32) bool {
	return l.items[m].kind == kindStrike && l.items[m].build == l.items[n].build
}

// replaces reports whether entry m, which names n, stands in its place.
func (l *Logbook) replaces(m, n uint32) bool {
	a, b := &l.items[m], &l.items[n]
	if a.kind != b.kind || a.build != b.build || a.kind == kindStrike || a.kind == kindUnknown {
		return false
	}
	if a.kind != kindSet {
		return true
	}
	var x, y Set
	return readBody(a.raw[a.body:], &x) == nil && readBody(b.raw[b.body:], &y) == nil &&
		x.What == y.What && x.Key == y.Key && x.Field == y.Field
}

// Len returns the number of entries.
func (l *Logbook) Len() int { return len(l.items) }

// Unknown returns the number of entries from a newer version of the program: of
// a kind, or with fields, that this one does not know. They are kept and passed
// on byte for byte.
func (l *Logbook) Unknown() int {
	n := 0
	for i := range l.items {
		it := &l.items[i]
		if e, err := decode(it.raw, it.id); err != nil {
			n++
		} else if _, ok := e.Body.(*Unknown); ok {
			n++
		}
	}
	return n
}

// High returns the highest stamp seen.
func (l *Logbook) High() Stamp { return l.high }

// Has reports whether the entry is in the logbook.
func (l *Logbook) Has(id ID) bool { _, ok := l.byID[id]; return ok }

// Bytes returns the bytes of an entry, or nil.
func (l *Logbook) Bytes(id ID) []byte {
	if n, ok := l.byID[id]; ok {
		return []byte(l.items[n].raw)
	}
	return nil
}

// A Line is an entry as the logbook page shows it: with what became of it.
type Line struct {
	Entry
	Struck   bool
	Replaced bool
	Held     bool          // its device was closed before it: it counts for nothing until it is let in
	By       []ID          // the entries that struck it out or replaced it, or tried to
	Moment   When          // what it speaks of; zero if it speaks of none
	Clock    time.Duration // its writer's clock minus that of the device it next met, the last one if none since; 0 if none is on record
	Ahead    bool          // it speaks of a moment that had not come by its writer's clock: one of the two is wrong
}

// Line returns the entry with its standing.
func (l *Logbook) Line(id ID) (Line, bool) {
	l.settle()
	n, ok := l.byID[id]
	if !ok {
		return Line{}, false
	}
	return l.line(n), true
}

func (l *Logbook) line(n uint32) Line {
	it := &l.items[n]
	e, err := decode(it.raw, it.id)
	if err != nil { // add and the store have both read it before
		panic(fmt.Sprintf("model: entry %s no longer reads: %v", it.id, err))
	}
	ln := Line{Entry: e, Struck: it.state&struck != 0, Replaced: it.state&replaced != 0, Held: it.state&held != 0}
	c := codec{cbor.Codec{In: it.raw, Pos: int(it.body)}}
	c.OpenMap()
	if c.when(1, &ln.Moment); c.Err != nil {
		ln.Moment = When{} // a kind whose first key is no moment
	}
	ln.Clock = l.clock(it)
	ln.Ahead = ln.Moment.Time().After(it.stamp.Time().Add(MaxLead))
	for _, by := range l.namers[n] {
		ln.By = append(ln.By, l.items[by].id)
	}
	slices.SortFunc(ln.By, func(a, b ID) int { return bytes.Compare(a[:], b[:]) })
	return ln
}

// Lines returns the entries of a build, or of the garage for the zero build,
// newest first by stamp; at most limit from the offset-th on (limit 0: all).
func (l *Logbook) Lines(build uuid.UUID, offset, limit int) []Line {
	l.settle()
	b, ok := l.build[build]
	if !ok {
		return nil
	}
	order := slices.Clone(l.builds[b].items)
	slices.SortFunc(order, func(a, b uint32) int { return l.compare(b, a) })
	if offset >= len(order) {
		return nil
	}
	order = order[max(offset, 0):]
	if limit > 0 && len(order) > limit {
		order = order[:limit]
	}
	lines := make([]Line, len(order))
	for i, n := range order {
		lines[i] = l.line(n)
	}
	return lines
}

// compare orders entries by stamp, then replica, number and name: the same way
// everywhere.
func (l *Logbook) compare(a, b uint32) int {
	x, y := &l.items[a], &l.items[b]
	if x.stamp != y.stamp {
		if x.stamp < y.stamp {
			return -1
		}
		return 1
	}
	if x.rep != y.rep {
		return bytes.Compare(l.replicas[x.rep].id[:], l.replicas[y.rep].id[:])
	}
	if x.seq != y.seq {
		return int(x.seq) - int(y.seq)
	}
	return bytes.Compare(x.id[:], y.id[:])
}

// Count returns the number of entries of a build.
func (l *Logbook) Count(build uuid.UUID) int {
	if b, ok := l.build[build]; ok {
		return len(l.builds[b].items)
	}
	return 0
}

// Heads returns the last entries of every chain: one, unless the chain forks or
// has holes.
func (l *Logbook) Heads() map[uuid.UUID][]Head {
	heads := make(map[uuid.UUID][]Head, len(l.replicas))
	search := false
	for i := range l.replicas {
		r := &l.replicas[i]
		heads[r.id] = []Head{r.head}
		if r.broken {
			heads[r.id] = nil
			search = true
		}
	}
	if !search {
		return heads
	}
	named := make(map[ID]bool, len(l.items))
	for i := range l.items {
		var h header
		if parseHeader(l.items[i].raw, &h) == nil {
			named[h.Prev] = true
		}
	}
	for i := range l.items {
		it := &l.items[i]
		r := &l.replicas[it.rep]
		if r.broken && !named[it.id] {
			heads[r.id] = append(heads[r.id], Head{uint64(it.seq), it.id})
		}
	}
	for _, h := range heads {
		slices.SortFunc(h, func(a, b Head) int {
			if a.Seq != b.Seq {
				return int(int64(a.Seq) - int64(b.Seq))
			}
			return bytes.Compare(a.ID[:], b.ID[:])
		})
	}
	return heads
}

// All calls f with the bytes of every entry, each chain in its own order.
func (l *Logbook) All(f func(raw []byte) error) error {
	order := make([]uint32, len(l.items))
	for i := range order {
		order[i] = uint32(i)
	}
	slices.SortFunc(order, func(a, b uint32) int {
		x, y := &l.items[a], &l.items[b]
		if x.rep != y.rep {
			return bytes.Compare(l.replicas[x.rep].id[:], l.replicas[y.rep].id[:])
		}
		return int(x.seq) - int(y.seq)
	})
	for _, n := range order {
		if err := f([]byte(l.items[n].raw)); err != nil {
			return err
		}
	}
	return nil
}

// A Draft is an entry before a replica has numbered it.
type Draft struct {
	Build  uuid.UUID
	Author string
	Over   []ID
	Body   Body
	Must   bool // see Entry.Must
	Of     int  // of an Arrival: the place, from 1, of its order among the drafts it is written with
}

// A Pen writes a replica's entries: it knows the chain's end and the clock.
// Copy a Pen to try, keep the copy once the entries are stored.
type Pen struct {
	Replica uuid.UUID
	Head    Head
	High    Stamp // highest stamp seen from anyone
}

// Pen returns the pen of a replica as this logbook knows its chain. A chain
// that forks is not written on: the error says so.
func (l *Logbook) Pen(replica uuid.UUID) (Pen, error) {
	p := Pen{Replica: replica, High: l.high}
	heads := l.Heads()[replica]
	if len(heads) > 1 {
		return p, fmt.Errorf("replica %s has %d ends: it was copied or restored and must take a new name", replica, len(heads))
	}
	if len(heads) == 1 {
		p.Head = heads[0]
	}
	return p, nil
}

// Write turns drafts into the replica's next entries, stamped at the wall time
// in now (milliseconds since 1970).
func (p *Pen) Write(drafts []Draft, now Stamp) ([][]byte, error) {
	raws := make([][]byte, 0, len(drafts))
	for _, d := range drafts {
		stamp := p.High.Next(now.Time())
		if a, ok := d.Body.(*Arrival); ok && d.Of > 0 {
			a.Order = IDOf(raws[d.Of-1])
		}
		e := Entry{
			Replica: p.Replica, Seq: p.Head.Seq + 1, Prev: p.Head.ID, Build: d.Build,
			Stamp: stamp, Author: d.Author, Over: d.Over, Must: d.Must, Body: d.Body,
		}
		raw, err := e.Encode()
		if err != nil {
			return nil, err
		}
		raws = append(raws, raw)
		p.Head, p.High = Head{e.Seq, e.ID}, stamp
	}
	return raws, nil
}

// Raw is an entry's bytes with the moment it was stamped.
type Raw struct {
	Stamp Stamp
	Raw   []byte
}

// Written returns all entries in the order in which they were stamped; of those
// stamped alike, in the order of their replicas and numbers.
func (l *Logbook) Written() []Raw {
	order := make([]uint32, len(l.items))
	for i := range order {
		order[i] = uint32(i)
	}
	slices.SortFunc(order, l.compare)
	list := make([]Raw, len(order))
	for i, n := range order {
		list[i] = Raw{l.items[n].stamp, []byte(l.items[n].raw)}
	}
	return list
}
