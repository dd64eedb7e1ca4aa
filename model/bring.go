package model

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// BringWish is the name of the wish that brings in the lines of a sheet. It has
// no form and no command of its own: its Rows are made by [ampwright/model/bring].
// Its values are
//
//	file   name of the file, without its folder
//	hash   SHA-256 of the file's bytes, 64 hexadecimal digits
//	what   the kind of sheet: "hours", "money", ...
//	how    which column was taken for what, in words
//	head   the sheet's header, and under map the columns to remember for it
//	pieces names of the blobs that keep the file, in order; then it may have no rows
//	areas  "area=task" or "area=stage", each to be remembered for this build
const BringWish = "bring"

// A Row is one line of a sheet on its way into the logbook.
type Row struct {
	Key    string              `json:"key"`  // 32 hexadecimal digits; a line brought in before has the same
	Line   int                 `json:"line"` // in the sheet, from 1, for messages
	Wish   string              `json:"wish"` // one of RowWishes
	Values map[string][]string `json:"values"`
	Came   string              `json:"came,omitempty"` // of an order: when it arrived
}

// RowWishes are the wishes that a line of a sheet can become.
var RowWishes = []string{"hours", "buy", "order", "sell", "refund", "read", "note", "add-task", "finish"}

// RowKey returns the key of a line of a sheet: a hash over the kind of sheet,
// what the line says and, where a sheet says the same more than once, which of
// them it is, from 1. It does not hang on the file's name or on the line's
// place: a sheet that has grown since brings in only what is new.
func RowKey(what string, says []string, nth int) string {
	h := sha256.New()
	for _, s := range append([]string{what, strconv.Itoa(nth)}, says...) {
		fmt.Fprintf(h, "%d:%s", len(s), s)
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

// A BringLine is a sheet that was brought in.
type BringLine struct {
	Fact
	Bring
}

// HasRow reports whether a line of a sheet is in this build already, not struck
// out.
func (b *Build) HasRow(key string) bool {
	id, err := ParseID(key)
	return err == nil && b.rows.here[id]
}

// Twins returns the entries that say the same line of a sheet as this one and
// are therefore not counted: another device brought the sheet in too.
func (b *Build) Twins(id ID) []ID { return b.rows.again[id] }

// TwinOf returns the entry that is counted in the place of this one, or false.
func (b *Build) TwinOf(id ID) (ID, bool) {
	of, ok := b.rows.of[id]
	return of, ok
}

// Area returns the task or stage that an area of work on people's sheets was
// said to be, or "".
func (b *Build) Area(area string) string {
	return b.regs.text("area", AreaKey(area), "is", "")
}

// AreaKey is how an area of work is called in the logbook: small letters, single
// spaces.
func AreaKey(area string) string { return strings.Join(strings.Fields(strings.ToLower(area)), " ") }

// Columns returns how the columns of a sheet with this header were taken last,
// as the wish's value map said, or "".
func (l *Logbook) Columns(head string) string {
	l.settle()
	return l.garage().regs.text("sheet", head, "columns", "")
}

// bring turns a sheet's rows into entries: the Bring that opens them, then one
// or two for each row that is not here yet.
func (l *Logbook) bring(b *Build, w Wish, d Desk) ([]Draft, error) {
	if b == nil {
		return nil, &WishError{w.Name, []*FieldError{{Want: "there is no build yet: start one first"}}}
	}
	l.settle()
	x := &wishing{log: l, b: b, kind: &WishKind{Name: BringWish}, values: w.Values, desk: d}
	hash, err := hex.DecodeString(x.text("hash"))
	if err != nil || len(hash) != sha256.Size {
		x.fail("hash", x.text("hash"), "want the SHA-256 of the file, 64 hexadecimal digits")
	}
	open := &Bring{At: WhenOf(d.Now), File: x.text("file"), Hash: hash, What: x.text("what"), How: x.text("how"), Pieces: w.Values["pieces"]}
	x.write(open)
	lines := map[string]int{}
	labels := map[string]bool{}
	for _, o := range b.Orders {
		labels[strings.ToUpper(o.Label)] = true
	}
	for _, r := range w.Rows {
		if first, ok := lines[r.Key]; ok {
			x.fail(fmt.Sprintf("line %d", r.Line), "", fmt.Sprintf("has the key of line %d", first))
			continue
		}
		lines[r.Key] = r.Line
		if !b.HasRow(r.Key) && !b.hasDone(r) {
			x.row(r, labels)
		}
	}
	open.Rows = int64(len(x.drafts) - 1)
	kept := slices.ContainsFunc(b.Brought, func(s BringLine) bool { return bytes.Equal(s.Hash, hash) && len(s.Pieces) > 0 })
	switch {
	case open.Rows > 0 || len(x.errs) > 0:
	case len(w.Rows) == 0 && kept:
		x.fail("", "", "nothing is new: the file is kept already")
	case len(open.Pieces) == 0 || kept:
		x.fail("", "", "nothing is new: all of it is in the logbook")
	}
	x.remember(w)
	if len(x.errs) > 0 {
		return nil, &WishError{w.Name, x.errs}
	}
	for i := range x.drafts {
		if d.Person != d.Owner {
			x.drafts[i].Author = d.Person
		}
	}
	return x.drafts, nil
}

// hasDone reports whether what a row asks for is so already: it adds a task that
// is there, or finishes one that is finished.
func (b *Build) hasDone(r Row) bool {
	first := func(name string) string { return strings.Join(r.Values[name][:min(1, len(r.Values[name]))], "") }
	switch r.Wish {
	case "add-task":
		return b.Task(first("key")) != nil
	case "finish":
		t := b.Task(first("task"))
		return t != nil && t.State == Finished
	}
	return false
}

// withTask returns a copy of the build in which a task that is about to be added
// can be named.
func (b *Build) withTask(a *AddTask) *Build {
	with := *b
	with.task = maps.Clone(b.task)
	with.task[a.Key] = &Task{PlanTask: PlanTask{ID: a.Key, Stage: a.Stage, Title: a.Title}, Added: true, State: Ready}
	return &with
}

// row adds the drafts of one row. labels are the numbers of orders in use.
func (x *wishing) row(r Row, labels map[string]bool) {
	at := fmt.Sprintf("line %d", r.Line)
	key, err := ParseID(r.Key)
	if err != nil || !slices.Contains(RowWishes, r.Wish) {
		x.fail(at, r.Wish, "want a key of 32 hexadecimal digits and one of "+strings.Join(RowWishes, ", "))
		return
	}
	drafts, err := x.log.Write(x.b, Wish{Name: r.Wish, Values: r.Values}, x.desk)
	if err != nil {
		x.fail(at, "", err.Error())
		return
	}
	if at := rowOf(drafts[0].Body); at != nil {
		*at = key
	}
	x.drafts = append(x.drafts, drafts...)
	if added, ok := drafts[0].Body.(*AddTask); ok {
		x.b = x.b.withTask(added) // rows behind it may name it
	}
	order, ok := drafts[0].Body.(*Order)
	if !ok {
		return
	}
	for n := 1; labels[strings.ToUpper(order.Label)]; n++ {
		if len(r.Values["label"]) > 0 && r.Values["label"][0] != "" {
			x.fail(at, order.Label, "is the number of another order")
			return
		}
		order.Label = "O" + strconv.Itoa(len(x.b.Orders)+n)
	}
	labels[strings.ToUpper(order.Label)] = true
	if r.Came != "" {
		came, err := x.parseMoment(r.Came)
		if err != nil {
			x.fail(at, r.Came, "want the moment it came, such as 2026-11-20 19:30")
			return
		}
		of := len(x.drafts) - len(drafts) + 1
		x.write(&Arrival{At: WhenOf(came), Row: key})
		x.drafts[len(x.drafts)-1].Of = of
	}
}

// remember writes down how columns and areas were taken, where that is new.
func (x *wishing) remember(w Wish) {
	at := WhenOf(x.desk.Now)
	if head, columns := x.text("head"), x.text("map"); head != "" && columns != "" {
		rs := x.log.garage().regs
		if rs.text("sheet", head, "columns", "") != columns {
			x.drafts = append(x.drafts, Draft{
				Body: &Set{At: at, What: "sheet", Key: head, Field: "columns", Value: columns},
				Over: rs.get("sheet", head, "columns").over(),
			})
		}
	}
	for _, v := range w.Values["areas"] {
		area, is, ok := strings.Cut(v, "=")
		area, is = AreaKey(area), strings.ToLower(strings.TrimSpace(is))
		stage := slices.ContainsFunc(x.b.Stages, func(s *Stage) bool { return s.ID == is })
		if !ok || area == "" || !stage && x.b.Task(is) == nil && is != "none" {
			x.fail("areas", v, "want an area, = and a task or stage of this build, or none")
			continue
		}
		if x.b.Area(area) != is {
			x.set(at, "area", area, "is", is, "")
		}
	}
}

// rowOf returns where a body keeps the line of a sheet it was brought in from,
// or nil for kinds that are never brought in.
func rowOf(b Body) *ID {
	switch b := b.(type) {
	case *Work:
		return &b.Row
	case *Reading:
		return &b.Row
	case *Purchase:
		return &b.Row
	case *Order:
		return &b.Row
	case *Arrival:
		return &b.Row
	case *Sale:
		return &b.Row
	case *Refund:
		return &b.Row
	case *Note:
		return &b.Row
	}
	return nil
}

// broughtIn returns the entries, not struck out, of the sheet that entry n opens,
// and those of the same lines that another device brought in.
func (l *Logbook) broughtIn(n uint32) []ID {
	it := &l.items[n]
	open, ok := l.bringOf(n)
	if !ok {
		return nil
	}
	var ids []ID
	rows, tasks, sets := map[ID]bool{}, map[string]bool{}, map[Set]bool{}
	var others, copies []uint32
	for _, m := range l.builds[it.build].items {
		o := &l.items[m]
		if o.kind == kindBring {
			if also, ok := l.bringOf(m); ok && m != n && bytes.Equal(also.Hash, open.Hash) {
				copies = append(copies, m)
			}
			continue
		}
		if o.state&struck != 0 {
			continue
		}
		if !l.inRun(m, n, open) {
			others = append(others, m)
			continue
		}
		ids = append(ids, o.id)
		e, err := decode(o.raw, o.id)
		if err != nil {
			continue
		}
		switch b := e.Body.(type) {
		case *AddTask:
			tasks[b.Key] = true
		case *Set:
			sets[wordOf(b)] = true
		default:
			if key := rowOf(b); key != nil {
				rows[*key] = true
			}
		}
	}
	delete(rows, ID{})
	for _, m := range others {
		o := &l.items[m]
		e, err := decode(o.raw, o.id)
		if err != nil {
			continue
		}
		same := false
		switch b := e.Body.(type) {
		case *AddTask: // its name was made from the line
			same = tasks[b.Key]
		case *Set: // the same said by another device, out of the same file
			same = sets[wordOf(b)] && slices.ContainsFunc(copies, func(c uint32) bool {
				also, _ := l.bringOf(c)
				return l.inRun(m, c, also)
			})
		default:
			key := rowOf(b)
			same = key != nil && rows[*key]
		}
		if same {
			ids = append(ids, o.id)
		}
	}
	return ids
}

// bringOf decodes the Bring that entry n is.
func (l *Logbook) bringOf(n uint32) (open Bring, ok bool) {
	it := &l.items[n]
	return open, readBody(it.raw[it.body:], &open) == nil
}

// inRun reports whether entry m is of the sheet that entry n opens.
func (l *Logbook) inRun(m, n uint32, open Bring) bool {
	o, it := &l.items[m], &l.items[n]
	return o.rep == it.rep && o.seq > it.seq && int64(o.seq) <= int64(it.seq)+open.Rows
}

// wordOf is what a Set says, without when.
func wordOf(b *Set) Set { return Set{What: b.What, Key: b.Key, Field: b.Field, Value: b.Value} }
