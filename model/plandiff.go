package model

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// A PlanDifference is one thing that two versions of a plan do not have in common.
type PlanDifference struct {
	What string // "task", "check", ...
	ID   string
	How  string // "added", "gone" or "changed"
	Text string // its title, or what changed
}

// PlanDifferences tells what is added, gone or changed from one version of a plan
// to another, in the order of the plans.
func PlanDifferences(from, to *Plan) []PlanDifference {
	d := differ{}
	d.value("plan", from.ID, []string{"title", from.Title, to.Title}, []string{"notes", from.Notes, to.Notes})
	compareBy(&d, "input", from.Inputs, to.Inputs, func(i *PlanInput) (string, string) { return i.ID, i.Title }, func(a, b *PlanInput) [][]string {
		return [][]string{{"title", a.Title, b.Title}, {"unit", a.Unit, b.Unit}, {"default", number(a.Default), number(b.Default)}, {"basis", a.Basis, b.Basis}}
	})
	compareBy(&d, "value", from.Derived, to.Derived, func(v *PlanDerived) (string, string) { return v.ID, v.Title }, func(a, b *PlanDerived) [][]string {
		return [][]string{{"title", a.Title, b.Title}, {"unit", a.Unit, b.Unit}, {"source", a.source(), b.source()}}
	})
	compareBy(&d, "kind of change", from.Changes, to.Changes, func(c *PlanChange) (string, string) { return c.ID, c.Title }, func(a, b *PlanChange) [][]string {
		return [][]string{{"title", a.Title, b.Title}}
	})
	compareBy(&d, "stage", from.Stages, to.Stages, func(s *PlanStage) (string, string) { return s.ID, s.Title }, func(a, b *PlanStage) [][]string {
		return [][]string{{"title", a.Title, b.Title}}
	})
	compareBy(&d, "task", from.Tasks, to.Tasks, func(t *PlanTask) (string, string) { return t.ID, t.Title }, taskFields)
	compareBy(&d, "part", from.parts(), to.parts(), func(p *PlanPart) (string, string) { return p.ID, p.Title }, func(a, b *PlanPart) [][]string {
		return [][]string{
			{"title", a.Title, b.Title}, {"quantity", fmt.Sprint(a.Qty, " ", a.QtyOf), fmt.Sprint(b.Qty, " ", b.QtyOf)},
			{"price", fmt.Sprintf("%d/%d", a.PriceLow, a.PriceHigh), fmt.Sprintf("%d/%d", b.PriceLow, b.PriceHigh)},
			{"days", fmt.Sprintf("%d/%d", a.LeadLow, a.LeadHigh), fmt.Sprintf("%d/%d", b.LeadLow, b.LeadHigh)},
			{"ordered after", list(a.OrderAfter), list(b.OrderAfter)}, {"used", fmt.Sprint(a.UsedOK), fmt.Sprint(b.UsedOK)},
		}
	})
	compareBy(&d, "check", from.checkList(), to.checkList(), func(c *placedCheck) (string, string) { return c.ID, c.Title }, checkFields)
	compareBy(&d, "milestone", from.Milestones, to.Milestones, func(m *PlanMilestone) (string, string) { return m.ID, m.Title }, func(a, b *PlanMilestone) [][]string {
		return [][]string{{"title", a.Title, b.Title}, {"after", list(a.After), list(b.After)}}
	})
	compareBy(&d, "checklist", from.chunks(), to.chunks(), func(c *listChunk) (string, string) { return c.list.ID + "/" + c.ID, c.Title }, func(a, b *listChunk) [][]string {
		return [][]string{
			{"title", a.Title, b.Title}, {"mode", a.list.Mode, b.list.Mode}, {"rule", a.list.Rule, b.list.Rule},
			{"steps", list(a.Steps), list(b.Steps)}, {"release", a.Release, b.Release},
		}
	})
	return d.list
}

func taskFields(a, b *PlanTask) [][]string {
	return [][]string{
		{"title", a.Title, b.Title}, {"stage", a.Stage, b.Stage}, {"hours", a.Estimate.String(), b.Estimate.String()},
		{"unattended hours", a.Wait.String(), b.Wait.String()}, {"after", list(a.After), list(b.After)}, {"skill", a.Skill, b.Skill},
		{"shortest stint", fmt.Sprint(a.MinBlock), fmt.Sprint(b.MinBlock)}, {"competent", a.Competent, b.Competent}, {"strict", fmt.Sprint(a.Strict), fmt.Sprint(b.Strict)},
		{"tools", list(a.Tools), list(b.Tools)}, {"hazards", list(a.Hazards), list(b.Hazards)}, {"changes", list(a.Changes), list(b.Changes)},
		{"steps", list(a.Steps), list(b.Steps)},
	}
}

func checkFields(a, b *placedCheck) [][]string {
	return [][]string{
		{"task", a.task, b.task}, {"title", a.Title, b.Title}, {"kind", string(a.Kind), string(b.Kind)}, {"point", a.Point, b.Point},
		{"unit", a.Unit, b.Unit}, {"at least", boundText(a.Min), boundText(b.Min)}, {"at most", boundText(a.Max), boundText(b.Max)},
		{"aim", boundText(a.Target), boundText(b.Target)}, {"points", list(a.Points) + a.PointCount, list(b.Points) + b.PointCount},
		{"good points", a.ScreenNeed, b.ScreenNeed}, {"follows from", deriveText(a.Derive), deriveText(b.Derive)},
		{"stale by", list(a.InvalidatedBy), list(b.InvalidatedBy)}, {"gate", list(a.DependsOn), list(b.DependsOn)},
		{"days", fmt.Sprint(a.ValidDays), fmt.Sprint(b.ValidDays)}, {"km", fmt.Sprint(a.ValidKm), fmt.Sprint(b.ValidKm)}, {"applies if", a.AppliesIf, b.AppliesIf},
		{"proof", fmt.Sprint(a.Proof), fmt.Sprint(b.Proof)}, {"instrument", a.Instrument, b.Instrument}, {"to wear", a.PPE, b.PPE},
		{"stop if", a.StopIf, b.StopIf}, {"if it fails", a.OnFail, b.OnFail}, {"basis", a.Basis, b.Basis}, {"source", a.Source, b.Source},
	}
}

// placedCheck is a check with its task, listChunk a chunk with its list.
type placedCheck struct {
	*PlanCheck
	task string
}

type listChunk struct {
	*PlanChunk
	list *PlanList
}

func (p *Plan) checkList() (all []placedCheck) {
	for i := range p.Tasks {
		for n := range p.Tasks[i].Checks {
			all = append(all, placedCheck{&p.Tasks[i].Checks[n], p.Tasks[i].ID})
		}
	}
	return all
}

func (p *Plan) chunks() (all []listChunk) {
	for i := range p.Lists {
		for n := range p.Lists[i].Chunks {
			all = append(all, listChunk{&p.Lists[i].Chunks[n], &p.Lists[i]})
		}
	}
	return all
}

func (p *Plan) parts() (all []PlanPart) {
	for _, t := range p.Tasks {
		all = append(all, t.Parts...)
	}
	return all
}

func (d *PlanDerived) source() string {
	if d.Figure == nil {
		return d.Formula
	}
	return d.Figure.Calc.Name + " " + d.Figure.Output.Name + " " + strings.Join(d.Names, " ")
}

func list(words []string) string { return strings.Join(words, listMark) }

// listMark stands between the words of a list: no text of a plan holds it.
const listMark = "\x1f"

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func boundText(b *Bound) string {
	if b == nil {
		return ""
	}
	text := number(b.Offset)
	if b.Of != "" {
		text = number(b.Factor) + " * " + b.Of
		if b.Offset != 0 {
			text += " + " + number(b.Offset)
		}
	}
	if b.Strict {
		text += ", itself out"
	}
	return text
}

func deriveText(d *Derive) string {
	if d == nil {
		return ""
	}
	return d.Op + " of " + d.Check + " times " + number(d.Scale)
}

// A differ collects differences.
type differ struct{ list []PlanDifference }

// value notes which of some fields, each with its name and both values, differ.
func (d *differ) value(what, id string, fields ...[]string) {
	var changed []string
	for _, f := range fields {
		if f[1] != f[2] {
			changed = append(changed, f[0]+" "+wasAndIs(f[1], f[2]))
		}
	}
	if len(changed) > 0 {
		d.list = append(d.list, PlanDifference{what, id, "changed", strings.Join(changed, "; ")})
	}
}

func compareBy[T any](d *differ, what string, from, to []T, name func(*T) (id, title string), fields func(a, b *T) [][]string) {
	was, is := map[string]*T{}, map[string]bool{}
	for i := range from {
		id, _ := name(&from[i])
		was[id] = &from[i]
	}
	for i := range to {
		id, title := name(&to[i])
		is[id] = true
		if old := was[id]; old != nil {
			d.value(what, id, fields(old, &to[i])...)
		} else {
			d.list = append(d.list, PlanDifference{what, id, "added", title})
		}
	}
	for i := range from {
		if id, title := name(&from[i]); !is[id] {
			d.list = append(d.list, PlanDifference{what, id, "gone", title})
		}
	}
}

// wasAndIs says how a value changed; of a list, what went and what came.
func wasAndIs(was, is string) string {
	if !strings.Contains(was+is, listMark) {
		return fmt.Sprintf("was %s, is %s", cmp.Or(was, "none"), cmp.Or(is, "none"))
	}
	old, now := strings.Split(was, listMark), strings.Split(is, listMark)
	var said []string
	for _, w := range old {
		if w != "" && !slices.Contains(now, w) {
			said = append(said, "without "+w)
		}
	}
	for _, w := range now {
		if w != "" && !slices.Contains(old, w) {
			said = append(said, "with "+w)
		}
	}
	if said == nil {
		return "in another order"
	}
	return strings.Join(said, ", ")
}
