package modeltest

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"reflect"
	"slices"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// Bodies draws a body of any kind with any values, or one from a newer version:
// of a kind that is not known, or known with a field that is not.
func Bodies() *rapid.Generator[model.Body] {
	return rapid.Custom(func(t *rapid.T) model.Body {
		n := rapid.IntRange(0, len(bodies)+2).Draw(t, "kind")
		switch {
		case n < len(bodies):
			b := reflect.New(reflect.TypeOf(bodies[n]).Elem())
			for i := range b.Elem().NumField() {
				fill(t, b.Elem().Field(i), b.Elem().Type().Field(i).Name)
			}
			return b.Interface().(model.Body)
		case n == len(bodies):
			return &model.Unknown{Name: "work", CBOR: "\xa1\x18\x28" + string(item(t, 1))} // key 40
		default:
			name := rapid.StringMatching(`x-[a-z]{1,12}`).Draw(t, "name")
			return &model.Unknown{Name: name, CBOR: string(cborMap(t, 1))}
		}
	})
}

// Drafts draws a draft for one of the builds given (none: for the garage)
// that names some of the entries given. Whether the names make sense is left to
// chance: a strike of a strike, a purchase in place of a reading.
func Drafts(builds []uuid.UUID, known []model.ID) *rapid.Generator[model.Draft] {
	return rapid.Custom(func(t *rapid.T) model.Draft {
		d := model.Draft{Body: Bodies().Draw(t, "body")}
		if len(builds) > 0 && rapid.IntRange(0, 5).Draw(t, "garage") > 0 {
			d.Build = rapid.SampledFrom(builds).Draw(t, "build")
		}
		if rapid.IntRange(0, 5).Draw(t, "other") == 0 {
			d.Author = rapid.SampledFrom([]string{"Kim", "Robin", "É <b>"}).Draw(t, "author")
		}
		if len(known) > 0 && rapid.Bool().Draw(t, "names") {
			d.Over = rapid.SliceOfNDistinct(rapid.SampledFrom(known), 1, min(4, len(known)), rapid.ID).Draw(t, "over")
		}
		return d
	})
}

// Logbooks draws the entries of two to four replicas, each chain in order and
// each entry after those it names. It leans to what the fold must get right:
// strikes, strikes of strikes, settings of one field over each other or beside
// each other, corrections, and in half of them replicas that are closed and
// entries let in. Chains may fork, as after a restore.
func Logbooks() *rapid.Generator[[][]byte] {
	return rapid.Custom(func(t *rapid.T) [][]byte {
		b := book{t: t, now: model.StampAt(time.Date(2026, 8, 29, 8, 0, 0, 0, time.UTC))}
		for i := range 2 + rapid.IntRange(0, 2).Draw(t, "replicas") {
			b.pens = append(b.pens, model.Pen{Replica: uuid.UUID{0: byte(1 + i), 15: 1}})
		}
		for i := range 1 + rapid.IntRange(0, 1).Draw(t, "builds") {
			b.builds = append(b.builds, uuid.UUID{0: 0xb0, 15: byte(1 + i)})
		}
		b.closing = rapid.Bool().Draw(t, "closing")
		for range rapid.IntRange(0, 40).Draw(t, "entries") {
			b.step()
		}
		return b.raws
	})
}

// A book is a logbook while Logbooks draws it.
type book struct {
	t      *rapid.T
	pens   []model.Pen
	builds []uuid.UUID
	now    model.Stamp
	raws   [][]byte
	ids    []model.ID
	drafts []model.Draft // beside ids
	owners []uuid.UUID   // beside ids

	closing bool
}

func (b *book) step() {
	n := rapid.IntRange(0, len(b.pens)-1).Draw(b.t, "pen")
	if len(b.pens) < 6 && b.pens[n].Head.Seq > 0 && rapid.IntRange(0, 30).Draw(b.t, "fork") == 0 {
		b.pens = append(b.pens, b.pens[n]) // two now write from the same place
	}
	pen := &b.pens[n]
	b.now += model.Stamp(rapid.Uint64Range(0, 3_600_000).Draw(b.t, "pause")) << 16
	if rapid.IntRange(0, 3).Draw(b.t, "met") == 0 {
		for _, other := range b.pens {
			pen.High = max(pen.High, other.High)
		}
	}
	d := b.draft()
	raws, err := pen.Write([]model.Draft{d}, b.now)
	if err != nil {
		b.t.Fatalf("a drawn draft does not encode: %v: %+v", err, d)
	}
	if slices.Contains(b.ids, pen.Head.ID) {
		return // both sides of a fork wrote the same
	}
	b.raws = append(b.raws, raws...)
	b.ids = append(b.ids, pen.Head.ID)
	b.drafts = append(b.drafts, d)
	b.owners = append(b.owners, pen.Replica)
}

func (b *book) draft() model.Draft {
	t := b.t
	d := model.Draft{Build: rapid.SampledFrom(b.builds).Draw(t, "build")}
	at := model.When{Unix: int64(b.now>>16) / 1000, Offset: 120}
	if b.closing && rapid.IntRange(0, 3).Draw(t, "closes") == 0 {
		return b.close(at)
	}
	kind := rapid.IntRange(0, 9).Draw(t, "draft")
	if kind < 4 && len(b.ids) > 0 {
		n := rapid.IntRange(0, len(b.ids)-1).Draw(t, "target")
		d.Build, d.Over = b.drafts[n].Build, []model.ID{b.ids[n]}
		if kind == 3 {
			d.Body = b.drafts[n].Body // a correction that changes nothing but the stamp
			return d
		}
		d.Body = &model.Strike{At: at, Reason: "entered twice"}
		return d
	}
	if kind < 7 {
		s := &model.Set{
			At: at, What: "task", Key: rapid.SampledFrom(tasks[:2]).Draw(t, "key"), Field: "estimate",
			Value: rapid.StringMatching(`[1-9]`).Draw(t, "value"),
		}
		d.Body = s
		for i, old := range b.drafts {
			o, ok := old.Body.(*model.Set)
			same := ok && old.Build == d.Build && o.What == s.What && o.Key == s.Key && o.Field == s.Field
			if same && len(d.Over) < 16 && rapid.Bool().Draw(t, "saw") {
				d.Over = append(d.Over, b.ids[i])
			}
		}
		return d
	}
	return Drafts(b.builds, b.ids).Draw(t, "any")
}

// close drafts an entry that closes a replica or lets entries in, or strikes out
// or replaces one that did.
func (b *book) close(at model.When) model.Draft {
	t := b.t
	var d model.Draft
	for i, old := range b.drafts {
		switch old.Body.(type) {
		case *model.ReplicaClose, *model.ReplicaAdmit, *model.Strike:
			if old.Build == uuid.Nil && len(d.Over) < 3 && rapid.IntRange(0, 3).Draw(t, "over") == 0 {
				d.Over = append(d.Over, b.ids[i])
			}
		}
	}
	switch n := rapid.IntRange(0, 9).Draw(t, "what"); {
	case n < 3 && len(d.Over) > 0:
		d.Body = &model.Strike{At: at, Reason: "was found"}
	case n < 5 && len(b.ids) > 0:
		d.Body = &model.ReplicaAdmit{At: at, Entries: rapid.SliceOfN(rapid.SampledFrom(b.ids), 1, 4).Draw(t, "in"), Reason: "were ours"}
	default:
		c := &model.ReplicaClose{At: at, Replica: rapid.SampledFrom(b.pens).Draw(t, "closed").Replica, Reason: "lost"}
		for i, id := range b.ids {
			if b.owners[i] == c.Replica && (c.Upto == model.ID{} || rapid.IntRange(0, 3).Draw(t, "later") == 0) {
				c.Upto = id
			}
		}
		if rapid.IntRange(0, 9).Draw(t, "elsewhere") == 0 && len(b.ids) > 0 {
			c.Upto = rapid.SampledFrom(b.ids).Draw(t, "upto")
		}
		d.Body = c
	}
	return d
}

// Entries draws an entry as a replica might have written it, with a body of any
// kind.
func Entries() *rapid.Generator[model.Entry] {
	return rapid.Custom(func(t *rapid.T) model.Entry {
		id := rapid.Custom(func(t *rapid.T) (id [16]byte) {
			binary.BigEndian.PutUint64(id[8:], rapid.Uint64Min(1).Draw(t, "id"))
			return id
		})
		e := model.Entry{
			Replica: id.Draw(t, "replica"),
			Seq:     rapid.Uint64Range(1, 1<<31).Draw(t, "seq"),
			Stamp:   model.Stamp(rapid.Uint64Range(1, 1<<63-1).Draw(t, "stamp")),
			Must:    rapid.Bool().Draw(t, "must"),
			Author:  rapid.StringN(-1, -1, 40).Draw(t, "author"),
			Body:    Bodies().Draw(t, "body"),
		}
		if e.Seq > 1 {
			e.Prev = id.Draw(t, "prev")
		}
		if rapid.Bool().Draw(t, "built") {
			e.Build = id.Draw(t, "build")
		}
		for range rapid.IntRange(0, 16).Draw(t, "overs") {
			e.Over = append(e.Over, id.Draw(t, "over"))
		}
		return e
	})
}

// bodies has one of every kind.
var bodies = []model.Body{
	&model.Replica{}, &model.BuildStart{}, &model.Work{}, &model.ClockOn{}, &model.ClockOff{}, &model.Reading{},
	&model.Change{}, &model.Purchase{}, &model.Order{}, &model.Arrival{}, &model.Sale{}, &model.Refund{}, &model.Set{},
	&model.Strike{}, &model.Note{}, &model.Photo{}, &model.Nonconformance{}, &model.Punch{}, &model.Close{},
	&model.Concession{}, &model.Release{}, &model.Meet{}, &model.AddStage{}, &model.AddTask{}, &model.AddPart{},
	&model.AddCheck{}, &model.Resume{}, &model.Bring{}, &model.ReplicaClose{}, &model.ReplicaAdmit{},
	&model.PlanFile{}, &model.PlanMove{}, &model.Signature{},
}

// fill draws a value for the field of a body.
func fill(t *rapid.T, v reflect.Value, name string) {
	if rapid.IntRange(0, 2).Draw(t, name+" left out") == 0 {
		return
	}
	text := rapid.StringN(-1, -1, 60)
	switch p := v.Addr().Interface().(type) {
	case *string:
		*p = text.Draw(t, name)
	case *int64:
		*p = rapid.Int64().Draw(t, name)
	case *bool:
		*p = rapid.Bool().Draw(t, name)
	case *[]byte:
		*p = rapid.SliceOfN(rapid.Byte(), 0, 40).Draw(t, name)
	case *[]string:
		*p = rapid.SliceOfN(text, 0, 4).Draw(t, name)
	case *[]int64:
		*p = rapid.SliceOfN(rapid.Int64(), 0, 22).Draw(t, name)
	case *[]model.ID:
		*p = nil
		for range rapid.IntRange(1, 3).Draw(t, name) {
			*p = append(*p, model.ID{0: rapid.Byte().Draw(t, "id"), 15: 1})
		}
	case *model.When:
		*p = model.When{Unix: rapid.Int64().Draw(t, name), Offset: rapid.Int16Range(-1080, 1080).Draw(t, "offset")}
	case *model.ID:
		p[0], p[15] = rapid.Byte().Draw(t, name), 1
	case *uuid.UUID:
		p[0], p[15] = rapid.Byte().Draw(t, name), 1
	default:
		panic(fmt.Sprintf("modeltest: a body has a field of type %s, which is not drawn yet", v.Type()))
	}
}

// item draws one CBOR data item as entries may hold them: RFC 8949, section
// 4.2.1, without tags and floats.
func item(t *rapid.T, depth int) []byte {
	kinds := 7
	if depth > 5 {
		kinds = 5
	}
	switch rapid.IntRange(0, kinds-1).Draw(t, "item") {
	case 0:
		return head(0, rapid.Uint64().Draw(t, "unsigned"))
	case 1:
		return head(1, rapid.Uint64().Draw(t, "negative"))
	case 2:
		b := rapid.SliceOfN(rapid.Byte(), 0, 30).Draw(t, "bytes")
		return append(head(2, uint64(len(b))), b...)
	case 3:
		s := rapid.StringN(-1, -1, 30).Draw(t, "text")
		return append(head(3, uint64(len(s))), s...)
	case 4:
		return []byte{0xf4 + byte(rapid.IntRange(0, 1).Draw(t, "bool"))}
	case 5:
		n := rapid.IntRange(0, 4).Draw(t, "items")
		b := head(4, uint64(n))
		for range n {
			b = append(b, item(t, depth+1)...)
		}
		return b
	default:
		return cborMap(t, depth)
	}
}

// cborMap draws a map, its keys numbers or texts in the order of their bytes.
func cborMap(t *rapid.T, depth int) []byte {
	var keys [][]byte
	for range rapid.IntRange(0, 5).Draw(t, "pairs") {
		key := head(0, rapid.Uint64Max(1<<63-1).Draw(t, "key"))
		if rapid.Bool().Draw(t, "named") {
			name := rapid.StringN(-1, -1, 30).Draw(t, "name")
			key = append(head(3, uint64(len(name))), name...)
		}
		keys = append(keys, key)
	}
	slices.SortFunc(keys, bytes.Compare)
	keys = slices.CompactFunc(keys, bytes.Equal)
	b := head(5, uint64(len(keys)))
	for _, k := range keys {
		b = append(append(b, k...), item(t, depth+1)...)
	}
	return b
}

func head(major byte, n uint64) []byte {
	major <<= 5
	switch {
	case n < 24:
		return []byte{major | byte(n)}
	case n < 1<<8:
		return []byte{major | 24, byte(n)}
	case n < 1<<16:
		return binary.BigEndian.AppendUint16([]byte{major | 25}, uint16(n))
	case n < 1<<32:
		return binary.BigEndian.AppendUint32([]byte{major | 26}, uint32(n))
	}
	return binary.BigEndian.AppendUint64([]byte{major | 27}, n)
}
