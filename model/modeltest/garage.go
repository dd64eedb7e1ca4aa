// Package modeltest makes logbooks for tests and benchmarks: [Garage] one like
// a real build, and the generators of draws.go any that could be.
package modeltest

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
)

// Garage returns n entries that a laptop and a phone wrote about one build, or
// two from 1000 entries on, in the order they were written: each may be stored
// when those before it are. About 45 in 100 are work, 20 readings, 10 money, 10
// settings, the rest clocks, notes, photos, strikes and corrections. The same
// seed gives the same bytes.
func Garage(n int, seed uint64) [][]byte {
	g := &garage{
		r:      rand.New(rand.NewPCG(seed, 0x67617261676521)),
		now:    time.Date(2026, 8, 29, 8, 55, 0, 0, time.UTC),
		fields: map[string][]written{},
	}
	for i, device := range []string{"garage laptop", "pocket phone"} {
		g.keepers[i] = &keeper{pen: model.Pen{Replica: g.uuid()}}
		seed := sha256.Sum256(fmt.Appendf(nil, "%s %d", device, g.r.Uint64()))
		key := ed25519.NewKeyFromSeed(seed[:]).Public().(ed25519.PublicKey)
		g.opening = append(g.opening, model.Draft{Body: &model.Replica{Key: key, Device: device, Person: "Robin"}})
	}
	for len(g.raws) < n {
		g.step(n)
	}
	return g.raws
}

// A garage is what is going on while Garage writes it down.
type garage struct {
	r       *rand.Rand
	now     time.Time
	keepers [2]*keeper
	opening []model.Draft // first entries, by keeper
	builds  []uuid.UUID
	raws    [][]byte
	fields  map[string][]written // heads of each field
	orders  []placed             // not here yet
	nth     int                  // orders placed so far
}

// A keeper is a replica and what its person has open.
type keeper struct {
	pen   model.Pen
	clock *placed  // running
	last  *written // the latest entry that may be struck out or corrected
}

// written is an entry that a later one may name.
type written struct {
	id    model.ID
	by    int
	draft model.Draft
}

type placed struct {
	id    model.ID
	build uuid.UUID
}

func (g *garage) uuid() (u uuid.UUID) {
	binary.BigEndian.PutUint64(u[:8], g.r.Uint64())
	binary.BigEndian.PutUint64(u[8:], g.r.Uint64())
	u[6], u[8] = u[6]&0x0f|0x40, u[8]&0x3f|0x80 // version 4, RFC 9562
	return u
}

// step writes one entry, the n-th being the last.
func (g *garage) step(n int) {
	switch {
	case len(g.raws) < 2:
		g.write(len(g.raws), g.opening[len(g.raws)])
		return
	case len(g.builds) == 0 || len(g.builds) == 1 && n >= 1000 && len(g.raws) >= n/2:
		g.builds = append(g.builds, g.uuid())
		g.write(0, g.start(len(g.builds)))
		return
	}
	g.pass()
	by := 0
	if g.r.IntN(100) < 55 {
		by = 1
	}
	k := g.keepers[by]
	d := model.Draft{Build: g.builds[len(g.builds)-1]}
	if g.r.IntN(20) == 0 {
		d.Author = "Kim"
	}
	switch x := g.r.IntN(1000); {
	case k.clock != nil && x < 400: // a clock rarely runs past the next entry
		g.clock(&d, k)
	case x < 450:
		d.Body = g.work()
	case x < 650:
		d.Body = g.reading()
	case x < 750:
		g.money(&d)
	case x < 850:
		g.set(&d, by)
	case x < 885:
		g.clock(&d, k)
	case x < 930:
		d.Body = g.work()
	case x < 960:
		d.Body = &model.Note{At: g.at(), Task: pick(g, tasks), Text: pick(g, remarks)}
	case x < 970:
		d.Body = &model.Photo{At: g.at(), Hash: g.hash(), Bytes: 90_000 + g.r.Int64N(300_000), Type: "image/jpeg", Task: pick(g, tasks)}
	case x < 980 && k.last != nil:
		d = model.Draft{Build: k.last.draft.Build, Over: []model.ID{k.last.id}, Body: &model.Strike{At: g.at(), Reason: pick(g, reasons)}}
		k.last = nil
	case x < 990 && k.last != nil:
		old, _ := k.last.draft.Body.(*model.Work)
		corrected := *old
		corrected.Minutes = g.minutes()
		d = model.Draft{Build: k.last.draft.Build, Over: []model.ID{k.last.id}, Body: &corrected}
	case x < 995:
		d.Build, d.Body = uuid.Nil, &model.Meet{At: g.at(), With: g.keepers[1-by].pen.Replica, Offset: g.r.Int64N(4000) - 2000}
		high := max(g.keepers[0].pen.High, g.keepers[1].pen.High)
		g.keepers[0].pen.High, g.keepers[1].pen.High = high, high
	default:
		d.Body = &model.Punch{At: g.at(), Class: pick(g, []string{"A", "B"}), Text: pick(g, remarks), Task: pick(g, tasks)}
	}
	id := g.write(by, d)
	switch b := d.Body.(type) {
	case *model.Work:
		k.last = &written{id, by, d}
	case *model.ClockOn:
		k.clock = &placed{id, d.Build}
	case *model.Order:
		g.orders = append(g.orders, placed{id, d.Build})
	case *model.Set:
		field := d.Build.String() + b.What + b.Key + b.Field
		left := g.fields[field][:0:0]
		for _, h := range g.fields[field] {
			if !contains(d.Over, h.id) {
				left = append(left, h)
			}
		}
		g.fields[field] = append(left, written{id: id, by: by})
	}
}

func (g *garage) write(by int, d model.Draft) model.ID {
	raws, err := g.keepers[by].pen.Write([]model.Draft{d}, model.StampAt(g.now))
	if err != nil {
		panic(fmt.Sprintf("modeltest: %v", err)) // our own draft
	}
	g.raws = append(g.raws, raws...)
	return g.keepers[by].pen.Head.ID
}

// pass lets time go by: minutes within an evening, days now and then.
func (g *garage) pass() {
	g.now = g.now.Add(time.Duration(1+g.r.IntN(40))*time.Minute + time.Duration(g.r.IntN(60_000))*time.Millisecond)
	if h := g.now.Hour(); h >= 21 || h < 7 {
		g.now = g.now.Add(time.Duration(12+24*g.r.IntN(3)) * time.Hour)
	}
}

// at is the moment typed with an entry, in the zone of a garage in middle
// Europe: summer time from April to October, to the minute.
func (g *garage) at() model.When {
	offset := int16(60)
	if m := g.now.Month(); m >= time.April && m <= time.October {
		offset = 120
	}
	return model.When{Unix: g.now.Unix() / 60 * 60, Offset: offset}
}

func (g *garage) start(nth int) model.Draft {
	return model.Draft{Build: g.builds[nth-1], Body: &model.BuildStart{
		At: g.at(), Title: fmt.Sprintf("Build %d, 175 cc trail single to electric", nth),
		Donor: "mid-seventies 175 cc air-cooled trail single, drum brakes",
		Plan:  "small-motorcycle-hub", PlanVersion: 1, PlanHash: g.hash(),
		Currency: "EUR", Ceiling: 520_000, Target: "2027-03-20", WeekMinutes: 630,
	}}
}

func (g *garage) work() model.Body {
	w := &model.Work{At: g.at(), Task: pick(g, tasks), Minutes: g.minutes()}
	g.now = g.now.Add(time.Duration(w.Minutes) * time.Minute) // typed in when it was done
	if g.r.IntN(3) == 0 {
		w.Note = pick(g, remarks)
	}
	if g.r.IntN(8) == 0 {
		w.Changes, w.Answered = []string{pick(g, changes)}, true
	}
	return w
}

func (g *garage) minutes() int64 { return 15 * (1 + g.r.Int64N(8)) }

func (g *garage) reading() model.Body {
	c := pick(g, checks)
	b := &model.Reading{At: g.at(), Check: c.key}
	switch {
	case c.unit == "":
		b.Answer = model.AnswerYes
		if g.r.IntN(10) == 0 {
			b.Answer, b.Note = model.AnswerNo, pick(g, remarks)
		}
	default:
		b.Unit, b.Exp, b.Instrument = c.unit, c.exp, pick(g, instruments)
		for range c.points {
			b.Values = append(b.Values, c.low+g.r.Int64N(c.high-c.low))
		}
		if g.r.IntN(10) == 0 {
			b.Witness = "Kim"
		}
	}
	return b
}

// money drafts a purchase, an order, an arrival or a sale.
func (g *garage) money(d *model.Draft) {
	part := pick(g, parts)
	cents := 500 + g.r.Int64N(40_000)
	switch x := g.r.IntN(10); {
	case x < 4:
		d.Body = &model.Purchase{At: g.at(), What: part.title, Cents: cents, Task: part.task, Part: part.key, Vendor: pick(g, vendors), Receipt: "photo"}
	case x < 6 || x < 8 && len(g.orders) == 0:
		g.nth++
		d.Body = &model.Order{
			At: g.at(), What: part.title, Cents: cents, Task: part.task, Parts: []string{part.key}, Vendor: pick(g, vendors),
			Label: fmt.Sprintf("O%d", g.nth), Promised: g.now.AddDate(0, 0, 7+g.r.IntN(40)).Format(time.DateOnly), Unpaid: g.r.IntN(5) == 0,
		}
	case x < 8:
		o := g.orders[0]
		g.orders = g.orders[1:]
		d.Build, d.Body = o.build, &model.Arrival{At: g.at(), Order: o.id}
	default:
		d.Body = &model.Sale{At: g.at(), What: pick(g, sold), Cents: cents, Fee: cents / 20, Post: 600, Task: "str-05", Buyer: fmt.Sprintf("buyer %d", 1+g.r.IntN(40))}
	}
}

// set drafts a write of a field over the writes its replica has seen: mostly all,
// sometimes only its own.
func (g *garage) set(d *model.Draft, by int) {
	b := &model.Set{At: g.at(), What: "task", Key: pick(g, tasks)}
	switch g.r.IntN(4) {
	case 0:
		b.Field, b.Value = "estimate", fmt.Sprintf("%d/%d/%d", 1+g.r.IntN(2), 3+g.r.IntN(4), 8+g.r.IntN(8))
	case 1:
		b.Field, b.Value = "state", pick(g, []string{"open", "finished"})
	case 2:
		b.What, b.Key, b.Field, b.Value = "spec", pick(g, specs), "value", fmt.Sprint(1+g.r.IntN(200))
		b.Note = "from the part's manual"
	default:
		b.What, b.Key, b.Field, b.Value = "part", pick(g, parts).key, "place", pick(g, []string{"shelf 1", "shelf 2", "on the bike"})
	}
	d.Body = b
	concurrent := g.r.IntN(7) == 0
	for _, h := range g.fields[d.Build.String()+b.What+b.Key+b.Field] {
		if (!concurrent || h.by == by) && len(d.Over) < 16 {
			d.Over = append(d.Over, h.id)
		}
	}
}

// clock drafts a start, or the end of what the keeper started.
func (g *garage) clock(d *model.Draft, k *keeper) {
	if k.clock == nil {
		d.Body = &model.ClockOn{At: g.at(), Task: pick(g, tasks)}
		return
	}
	off := &model.ClockOff{At: g.at(), On: k.clock.id}
	if g.r.IntN(6) == 0 {
		off.Minutes = g.minutes() // it had been forgotten
	}
	if g.r.IntN(4) == 0 {
		off.Changes, off.Answered = []string{pick(g, changes)}, true
	}
	d.Build, d.Body = k.clock.build, off
	k.clock = nil
}

func (g *garage) hash() []byte {
	sum := sha256.Sum256(binary.BigEndian.AppendUint64(nil, g.r.Uint64()))
	return sum[:]
}

func pick[T any](g *garage, from []T) T { return from[g.r.IntN(len(from))] }

func contains(ids []model.ID, id model.ID) bool {
	for i := range ids {
		if ids[i] == id {
			return true
		}
	}
	return false
}
