package model

import (
	"encoding/hex"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// The wishes about plans of one's own: no commands or forms of the table, since
// one takes a file and the other is shown before it is made.
const (
	AddPlanWish  = "plan-add"
	MovePlanWish = "plan-move"
)

var planWishes = []*WishKind{
	{Name: AddPlanWish, Title: "Add a plan", Button: "Add the plan", Garage: true,
		Help: "puts the file of a plan of one's own into the logbook",
		Fields: []WishField{
			{Name: "file", Label: "the plan's file", Type: LongField, Required: true, Hint: "want the text of a plan's file"},
			{Name: "note", Label: "what is new in it", Type: TextField},
		}, do: doAddPlan},
	{Name: MovePlanWish, Title: "Move to another version of the plan", Button: "Move the build",
		Help: "moves a build that is under way to a newer version of its plan",
		Fields: []WishField{
			{Name: "plan", Label: "version", Type: TextField, Required: true, Arg: true, Hint: "want the plan and its version, such as my-bike@3"},
			required(noteField, "want the reason why the build moves"),
			atField,
		}, do: doMovePlan},
}

// ParsePlanName reads "my-bike" or "my-bike@3"; version 0 is the newest.
func ParsePlanName(text string) (id string, version int, err error) {
	id, rest, given := strings.Cut(strings.TrimSpace(text), "@")
	if !given {
		return id, 0, nil
	}
	version, err = strconv.Atoi(rest)
	if err != nil || version < 1 || id == "" {
		return id, 0, fmt.Errorf("plan %q: want a plan's name, or with its version, such as my-bike@3", text)
	}
	return id, version, nil
}

// FindPlan finds a plan that a build can stand on, by "my-bike" (its newest
// version) or "my-bike@3": among those that the logbook carries and those of
// plans.
func (l *Logbook) FindPlan(text string, plans PlanSource) (*Plan, error) {
	id, version, err := ParsePlanName(text)
	if err != nil {
		return nil, err
	}
	var found, own *OwnPlan
	list := l.OwnPlans()
	for i := range list {
		if o := &list[i]; o.Ref.ID == id && (version == 0 || o.Ref.Version == version) {
			if own = o; found != nil && found.Ref.Version == o.Ref.Version {
				return nil, fmt.Errorf("plan %s was added apart with other bytes, %.8s and %.8s: strike one of them out, or add it again as a new version", o.Ref, found.Ref.Hash, o.Ref.Hash)
			}
			found = o
		}
	}
	built, ok := plans(id, version)
	if own == nil || ok && built.Version > own.Ref.Version {
		if !ok {
			return nil, fmt.Errorf("plan %q: is not a plan this program has", text)
		}
		return built, nil
	}
	if own.Plan == nil {
		return nil, fmt.Errorf("plan %s cannot be used here: %s", own.Ref, own.Why)
	}
	return own.Plan, nil
}

func doAddPlan(x *wishing) {
	data := ""
	if vs := x.values["file"]; len(vs) > 0 {
		data = vs[0] // to the byte
	}
	switch {
	case strings.TrimSpace(data) == "":
		return
	case x.log.shelf == nil:
		x.fail("", "", "plans of one's own cannot be read here")
		return
	case len(data) > MaxPlan:
		x.fail("", "", fmt.Sprintf("the plan's file has %d kB: want at most %d kB", len(data)>>10, MaxPlan>>10))
		return
	case !utf8.ValidString(data):
		x.fail("", "", "the plan's file is not UTF-8 text")
		return
	}
	p, err := x.log.shelf.read("plan", []byte(data))
	if err != nil {
		for _, line := range strings.Split(err.Error(), "\n") {
			x.fail("", "", line)
		}
		return
	}
	free, others := p.Version, ""
	if built, ok := x.desk.Plans(p.ID, p.Version); ok {
		if built.Hash == p.Hash {
			x.fail("", "", fmt.Sprintf("plan %s@%d is built in, to the byte: there is nothing to add", p.ID, p.Version))
			return
		}
		others = "is built in"
	}
	if built, ok := x.desk.Plans(p.ID, 0); ok {
		free = max(free, built.Version+1)
	}
	for _, o := range x.log.OwnPlans() {
		if o.Ref.Hash == p.Hash && o.Plan != nil {
			x.fail("", "", fmt.Sprintf("plan %s is in this logbook, to the byte, since %s: there is nothing to add", o.Ref, o.At.Time().Format("2006-01-02")))
			return
		}
		if o.Ref.ID == p.ID {
			free = max(free, o.Ref.Version+1)
			if o.Ref.Version == p.Version && o.Ref.Hash != p.Hash {
				others = "is in this logbook"
			}
		}
	}
	if others != "" {
		x.fail("", "", fmt.Sprintf("plan %s@%d %s with other bytes, and a version is never changed: give the file version %d", p.ID, p.Version, others, free))
		return
	}
	for _, f := range planEntries(p, []byte(data), WhenOf(x.desk.Now), x.text("note")) {
		x.write(f)
	}
}

func doMovePlan(x *wishing) {
	if x.text("plan") == "" || !x.maySign() {
		return
	}
	to, err := x.log.FindPlan(x.text("plan"), x.desk.Plans)
	if err != nil {
		x.fail("", "", err.Error())
		return
	}
	m, err := x.log.Moving(x.b, to)
	if err != nil {
		x.fail("", "", err.Error())
		return
	}
	for _, fault := range m.Faults {
		x.fail("", "", fault)
	}
	from, _ := hex.DecodeString(x.b.Plan.Hash)
	hash, _ := hex.DecodeString(to.Hash)
	x.write(&PlanMove{
		At: x.moment("at", x.desk.Now), Plan: to.ID, Version: int64(to.Version), Hash: hash,
		From: from, FromVersion: int64(x.b.Plan.Version), Note: x.text("note"),
	}, x.b.moveHeads()...)
	x.drafts[len(x.drafts)-1].Must = true
}
