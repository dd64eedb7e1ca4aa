package record

import (
	"fmt"
	"slices"
	"strings"

	"ampwright/client/words"
	"ampwright/model"
	"ampwright/model/jsontext"

	"github.com/google/uuid"
)

// A Report says whether a record agrees with a logbook.
type Report struct {
	Agrees   bool      `json:"agrees"`
	Number   string    `json:"number"`   // of the record; "" for a code
	Entries  int       `json:"entries"`  // that the record rests on
	Chained  int       `json:"chained"`  // that its heads vouch for, found byte for byte
	Compared bool      `json:"compared"` // its figures were worked out again and compared
	Seals    int       `json:"seals"`    // it carries, made with the keys that open the chains
	Troubles []Trouble `json:"troubles"` // why it does not agree
	Since    []Since   `json:"since"`    // entries that came later and change nothing it rests on
}

// A Trouble is one reason why a record does not agree.
type Trouble struct {
	Kind  string `json:"kind"`  // "record", "seal", "changed", "missing", "struck out", "replaced", "figure"
	Entry string `json:"entry"` // whole name, where it is about one
	Text  string `json:"text"`
}

// A Since is an entry that was written, or came from another device, after the
// record was made.
type Since struct {
	Entry string `json:"entry"`
	Text  string `json:"text"`
}

// maxFigures bounds how many differing figures are listed.
const maxFigures = 20

// Verify holds a record against a logbook. The names of entries are computed
// from their bytes again. Entries written since are listed and are no trouble
// unless they strike out or replace one that the record rests on. The figures
// are worked out again from the entries before the record's heads.
func Verify(r *Record, l *model.Logbook, plans model.PlanSource) *Report {
	v := newVerifier(l)
	v.rep.Number, v.rep.Entries = r.Block.Number, len(r.Entries)
	sum := r.Sum()
	if sum != r.Digest || r.number() != r.Block.Number {
		v.trouble("record", "", "the record's digest is %s, its content gives %s: it was changed after it was made", Short(r.Digest), Short(sum))
	}
	v.chains(r.Heads)
	v.seals(r)
	v.entries(r)
	v.since(r.Build)
	v.figures(r, plans)
	return v.report()
}

// VerifyCode holds the heads of one code against a logbook.
func VerifyCode(c *Code, l *model.Logbook) *Report {
	v := newVerifier(l)
	v.chains(c.Heads)
	v.since(c.Build)
	return v.report()
}

type place struct {
	replica uuid.UUID
	seq     uint64
}

// A verifier holds one record against one logbook.
type verifier struct {
	log   *model.Logbook
	rep   *Report
	at    map[place][]model.Entry
	seen  map[model.ID]bool    // reached from a head
	then  map[model.ID][]byte  // the same, with their bytes
	last  map[uuid.UUID]uint64 // highest number that a head vouches for
	named map[string]bool      // entries that trouble was noted of
}

func newVerifier(l *model.Logbook) *verifier {
	v := &verifier{
		log: l, rep: &Report{Troubles: []Trouble{}, Since: []Since{}}, at: map[place][]model.Entry{},
		seen: map[model.ID]bool{}, then: map[model.ID][]byte{}, named: map[string]bool{},
		last: map[uuid.UUID]uint64{},
	}
	_ = l.All(func(raw []byte) error {
		if e, err := model.Decode(raw); err == nil {
			p := place{e.Replica, e.Seq}
			v.at[p] = append(v.at[p], e)
		}
		return nil
	})
	return v
}

func (v *verifier) report() *Report {
	v.rep.Agrees = len(v.rep.Troubles) == 0
	return v.rep
}

func (v *verifier) trouble(kind, entry, format string, args ...any) {
	if entry != "" && v.named[entry] {
		return
	}
	v.named[entry] = true
	v.rep.Troubles = append(v.rep.Troubles, Trouble{kind, entry, fmt.Sprintf(format, args...)})
}

// seals checks the record's signatures with the keys that the logbook has of the
// devices.
func (v *verifier) seals(r *Record) {
	for _, s := range r.Seals {
		seal := model.Seal{Replica: s.Replica}
		key, known := v.log.KeyOf(s.Replica)
		for _, h := range r.Heads {
			if h.Replica == s.Replica && h.ID == s.Head {
				seal.Head.Seq = h.Seq
				seal.Head.ID, _ = model.ParseID(h.ID) // what is no name has no seal
			}
		}
		if copy(seal.Sig[:], s.Sig); !known || len(s.Sig) != len(seal.Sig) || !seal.Verify(key) {
			v.trouble("seal", "", "the seal under entry %s was not made with the key of device %s", Short(s.Head), s.Replica)
			continue
		}
		v.rep.Seals++
	}
}

// chains walks every chain from its head to its first entry.
func (v *verifier) chains(heads []Head) {
	for _, h := range heads {
		id, err := model.ParseID(h.ID)
		if err != nil {
			v.trouble("record", h.ID, "head %q of %s is no name of an entry", h.ID, words.Join(", ", h.Device, h.Replica.String()))
			continue
		}
		v.last[h.Replica] = max(v.last[h.Replica], h.Seq)
		for seq := h.Seq; seq > 0; seq-- {
			raw := v.log.Bytes(id)
			if raw == nil || model.IDOf(raw) != id {
				id = v.passed(id, h.Replica, seq)
				continue
			}
			if v.seen[id] {
				break
			}
			v.seen[id], v.then[id] = true, raw
			e, err := model.Decode(raw)
			if err != nil || e.Replica != h.Replica || e.Seq != seq {
				v.trouble("changed", id.String(), "entry %s is not number %d of %s", id.Short(), seq, h.Replica)
				break
			}
			id = e.Prev
		}
	}
	v.rep.Chained = len(v.seen)
}

// passed goes on to the entry before one that is not there: by what stands in
// its place, else by number. The zero name is one that nothing tells.
func (v *verifier) passed(id model.ID, replica uuid.UUID, seq uint64) model.ID {
	if id != (model.ID{}) {
		if other := v.gone(id.String(), replica, seq); other != nil {
			return other.Prev
		}
	}
	if before := v.at[place{replica, seq - 1}]; len(before) == 1 {
		return before[0].ID
	}
	return model.ID{}
}

// gone says that an entry is not there, and returns the one in its place.
func (v *verifier) gone(id string, replica uuid.UUID, seq uint64) *model.Entry {
	for _, e := range v.at[place{replica, seq}] {
		if e.ID.String() != id && !v.seen[e.ID] {
			v.trouble("changed", id, "entry %s, number %d of %s, was changed: in its place is %s", Short(id), seq, v.device(replica), e.ID.Short())
			return &e
		}
	}
	v.trouble("missing", id, "entry %s, number %d of %s, is not in this logbook", Short(id), seq, v.device(replica))
	return nil
}

func (v *verifier) device(replica uuid.UUID) string {
	_, devices := v.log.Garage()
	for _, d := range devices {
		if d.Replica == replica {
			return d.Name
		}
	}
	return "device " + replica.String()[:8]
}

// entries looks at all that the record rests on.
func (v *verifier) entries(r *Record) {
	for _, want := range r.Entries {
		id, err := model.ParseID(want.ID)
		if err != nil {
			v.trouble("record", want.ID, "%q is no name of an entry", want.ID)
			continue
		}
		line, ok := v.log.Line(id)
		if !ok {
			v.gone(want.ID, want.Replica, want.Seq)
			continue
		}
		if now := standing(line); now != want.Standing {
			by := ""
			for _, b := range line.By {
				if !v.seen[b] {
					by = words.Join(", ", by, b.Short())
				}
			}
			kind := now
			if kind == "" {
				kind = "restored"
			}
			if by != "" {
				by = ", by " + by
			}
			v.trouble(kind, want.ID, "entry %s (%s) was %s since%s", id.Short(), v.say(line.Entry), kind, by)
		}
	}
}

func (v *verifier) say(e model.Entry) string {
	return words.Of(words.Context{Entry: v.log.Line}, e).Full()
}

// since lists what the heads do not vouch for, oldest first.
func (v *verifier) since(build uuid.UUID) {
	for _, b := range []uuid.UUID{build, uuid.Nil} {
		for _, line := range slices.Backward(v.log.Lines(b, 0, 0)) {
			if !v.seen[line.ID] && line.Seq > v.last[line.Replica] {
				v.rep.Since = append(v.rep.Since, Since{line.ID.String(), v.say(line.Entry)})
			}
		}
	}
}

// figures makes the record again from the entries its heads vouch for.
func (v *verifier) figures(r *Record, plans model.PlanSource) {
	if r.Edition != Edition || len(v.rep.Troubles) > 0 && v.gaps() {
		return
	}
	then := v.log.Fresh()
	for _, raw := range v.then {
		if _, err := then.Add(raw); err != nil {
			return
		}
	}
	b, err := then.Build(r.Build, r.At, plans)
	if err != nil {
		v.trouble("figure", "", "the build cannot be made from those entries: %v", err)
		return
	}
	again, err := Make(b, then, Config{For: r.For, Hours: r.Hours, Money: r.Money, seals: r.Seals})
	if err != nil {
		v.trouble("figure", "", "the record cannot be made from those entries: %v", err)
		return
	}
	v.rep.Compared = true
	was, is := r.figures(), again.figures()
	n := 0
	differ := func(where, was, is string) {
		if n++; n <= maxFigures {
			v.rep.Troubles = append(v.rep.Troubles, Trouble{Kind: "figure", Text: fmt.Sprintf("%s: the record says %s, the logbook gives %s", where, was, is)})
		}
	}
	for i := range max(len(was), len(is)) {
		switch {
		case i >= len(was):
			differ(is[i].where, "nothing", is[i].text)
		case i >= len(is):
			differ(was[i].where, was[i].text, "nothing")
		case was[i] != is[i]:
			differ(was[i].where, was[i].text, is[i].text)
		}
	}
	if n > maxFigures {
		v.trouble("figure", "", "and %d more", n-maxFigures)
	}
}

// gaps reports whether entries are not there as the heads name them.
func (v *verifier) gaps() bool {
	return slices.ContainsFunc(v.rep.Troubles, func(t Trouble) bool { return t.Kind == "missing" || t.Kind == "changed" })
}

// A figure is one line of a record, to be compared.
type figure struct{ where, text string }

// figures are all that a record says, line by line.
func (r *Record) figures() []figure {
	line := func(where string, v any) figure {
		text := jsontext.ForHTML(jsontext.Append(nil, v))
		return figure{where, strings.Trim(string(text), `{}`)}
	}
	block := r.Block
	block.Number = ""
	list := []figure{line("title block", block)}
	for _, s := range r.Sections {
		list = append(list, line(s.Title, s.Text))
		for _, f := range s.Facts {
			list = append(list, line(s.Title+", "+f.Name, f))
		}
		if s.Table == nil {
			continue
		}
		list = append(list, line(s.Title, s.Table.Columns))
		for i, row := range s.Table.Rows {
			where := fmt.Sprintf("%s, line %d", s.Title, i+1)
			if len(row.Cells) > 0 {
				where = words.Join(", ", s.Title, row.Cells[0].Text)
			}
			list = append(list, line(where, row))
		}
	}
	for _, e := range r.Entries {
		list = append(list, line("entries", e))
	}
	return list
}
