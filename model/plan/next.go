package plan

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"strings"

	"ampwright/model"
	"ampwright/model/jsontext"
)

// Next returns a plan file for the next build of the same kind: the file the
// build was started from, with its own stages, tasks and parts added, what was
// not needed left out of the estimates' way, hours as the finished tasks took
// them by a learning rate (see [model.Curve]), and prices and lead times as they
// came out. The spec sheet, the checks and the checklists are the plan's.
func Next(b *model.Build, c model.Curve) ([]byte, error) { return next(b, c, 1) }

// NextIn returns the file that [Next] makes, as the version after those that l has of
// it, so that it can be added as it is. has reports that the newest of these says
// the same already: then it is that one.
func NextIn(l *model.Logbook, b *model.Build, c model.Curve) (data []byte, name string, has bool, err error) {
	newest := model.PlanRef{ID: slug(b)}
	for _, o := range l.OwnPlans() {
		if o.Ref.ID == newest.ID && o.Ref.Version > newest.Version {
			newest = o.Ref
		}
	}
	if newest.Version > 0 {
		if data, err = next(b, c, newest.Version); err != nil {
			return nil, "", false, err
		}
		if sum := sha256.Sum256(data); hex.EncodeToString(sum[:]) == newest.Hash {
			return data, newest.String(), true, nil
		}
	}
	newest.Version++
	data, err = next(b, c, newest.Version)
	return data, newest.String(), false, err
}

func next(b *model.Build, c model.Curve, version int) ([]byte, error) {
	raw := b.PlanFile()
	if raw == nil {
		var err error
		if raw, err = files.ReadFile(fmt.Sprintf("%s.%d.json", b.Plan.ID, b.Plan.Version)); err != nil {
			return nil, fmt.Errorf("plan %s.%d is not built in: %w", b.Plan.ID, b.Plan.Version, err)
		}
	}
	lessons, err := b.Lessons(c)
	if err != nil {
		return nil, err
	}
	var f planFile
	r := &report{file: b.Plan.ID}
	decode(raw, &f, r)
	f.ID, f.Version, f.Title = slug(b), version, "after "+b.Title
	f.Notes = strings.TrimSpace(fmt.Sprintf("Made from the build %s: hours of %d finished tasks at a learning rate of %g. %s", b.Title, len(lessons), c.Rate, f.Notes))
	addOwn(&f, b)
	at := map[string]*taskEntry{}
	parts := map[string]*partEntry{}
	for i := range f.Tasks {
		t := &f.Tasks[i]
		at[t.ID] = t
		if own := b.Task(t.ID); own != nil {
			t.Title, t.Hours = own.Title, hoursEntry(own.Estimate)
		}
		for j := range t.Parts {
			parts[t.Parts[j].ID] = &t.Parts[j]
		}
	}
	for _, l := range lessons {
		if t := at[l.Task.ID]; t != nil {
			t.Hours = hoursEntry(l.Next)
		}
	}
	for _, l := range b.PartLessons() {
		p := parts[l.Part.ID]
		if p == nil {
			continue
		}
		if l.Price >= 0 {
			p.Price = rangeEntry{l.Price, l.Price}
		}
		if l.Days >= 0 {
			p.Lead = rangeEntry{min(p.Lead.Low, int64(l.Days)), int64(l.Days)}
		}
	}
	out := append(jsontext.Indent(jsontext.ForHTML(jsontext.Append(nil, f)), " "), '\n')
	if _, err := Load(f.ID, out); err != nil {
		return nil, fmt.Errorf("the plan that this build makes cannot be used: %w", err)
	}
	return out, nil
}

// addOwn adds the stages, tasks and parts that the build has and its plan has
// not.
func addOwn(f *planFile, b *model.Build) {
	stages, tasks := map[string]bool{}, map[string]bool{}
	for _, s := range f.Stages {
		stages[s.ID] = true
	}
	for _, t := range f.Tasks {
		tasks[t.ID] = true
	}
	for _, s := range b.Stages {
		if !stages[s.ID] {
			f.Stages = append(f.Stages, stageEntry{s.ID, s.Title})
		}
	}
	for _, t := range b.Tasks {
		if tasks[t.ID] {
			continue
		}
		e := taskEntry{
			ID: t.ID, Stage: t.Stage.ID, Title: t.Title, Hours: hoursEntry(t.Estimate), Skill: t.Skill,
			MinBlock: int(math.Max(float64(t.MinBlock), 1)),
		}
		if e.Skill == "" {
			e.Skill = "bench"
		}
		for _, before := range t.Before {
			e.After = append(e.After, before.ID)
		}
		f.Tasks = append(f.Tasks, e)
	}
	for i := range f.Tasks {
		t := b.Task(f.Tasks[i].ID)
		if t == nil {
			continue
		}
		for _, p := range t.Parts {
			if p.Added {
				f.Tasks[i].Parts = append(f.Tasks[i].Parts, partEntry{
					ID: p.ID, Title: p.Title, Qty: p.Qty, Unit: "pc", Price: rangeEntry{p.PriceLow, p.PriceHigh},
					Lead: rangeEntry{int64(p.LeadLow), int64(p.LeadHigh)},
				})
			}
		}
	}
}

// slug makes a plan's ID from a build's title.
func slug(b *model.Build) string {
	words := strings.FieldsFunc(strings.ToLower(b.Title), func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') })
	id := strings.Join(words[:min(len(words), 3)], "-")
	if id == "" {
		id = "build"
	}
	return "after-" + id
}
