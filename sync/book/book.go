// Package book holds one garage's logbook open: the store, the fold over it and
// the pen of this replica, so that a wish becomes entries that are durable
// before anybody is told so. It has no clock, socket or file of its own.
package book

import (
	"fmt"
	"sync"
	"time"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
)

// Config is what a Book needs. Every field but Key is required.
type Config struct {
	Replica uuid.UUID
	Key     []byte // public key of the replica, noted in its first entry
	Device  string // what the device is called
	Person  string // who keeps it
	Now     func() time.Time
	NewID   func() uuid.UUID
	Plans   model.PlanSource
}

// A Book is a logbook that is open for writing. It is safe for concurrent use.
type Book struct {
	cfg Config
	log keep.Log

	mu       sync.Mutex
	fold     *model.Logbook
	pen      model.Pen
	builds   map[uuid.UUID]view
	outlooks map[uuid.UUID]outlook
	done     map[string]Outcome // wishes by their one-time token
	order    []string
}

type view struct {
	build  *model.Build
	minute int64
}

// An Outcome is what came of a wish.
type Outcome struct {
	Build   uuid.UUID
	Entries []model.ID
	Raised  []*model.Finding // findings that were not there before
	Stale   []*model.Check   // checks that became stale
}

// Open folds what the store holds and, for a replica that has not written yet,
// writes its opening entry.
func Open(log keep.Log, cfg Config) (*Book, error) {
	if cfg.Replica == uuid.Nil || cfg.Now == nil || cfg.NewID == nil || cfg.Plans == nil {
		return nil, fmt.Errorf("open logbook: replica, clock, names and plans are all needed")
	}
	b := &Book{cfg: cfg, log: log, fold: model.NewLogbook(), builds: map[uuid.UUID]view{}, outlooks: map[uuid.UUID]outlook{}, done: map[string]Outcome{}}
	if err := log.Runs(b.fold.AddRun); err != nil {
		return nil, fmt.Errorf("open logbook: %w", err)
	}
	var err error
	if b.pen, err = b.fold.Pen(cfg.Replica); err != nil {
		return nil, fmt.Errorf("open logbook: %w", err)
	}
	if b.pen.Head.Seq == 0 {
		if _, err := b.write([]model.Draft{{Body: &model.Replica{Key: cfg.Key, Device: cfg.Device, Person: cfg.Person}}}); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// Do writes down what is wished on a build (the zero build where the wish
// concerns the garage) for a person. A wish with the value "once" is done once:
// the second time its first outcome is returned, so that a double tap makes one
// entry. The entries are durable when Do returns.
func (b *Book) Do(build uuid.UUID, w model.Wish, person string) (Outcome, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	once := ""
	if v := w.Values["once"]; len(v) > 0 && v[0] != "" {
		once = w.Name + " " + v[0]
		if out, ok := b.done[once]; ok {
			return out, nil
		}
	}
	values := make(map[string][]string, len(w.Values))
	for k, v := range w.Values {
		if k != "once" {
			values[k] = v
		}
	}
	w.Values = values
	var before *model.Build
	if build != uuid.Nil {
		var err error
		if before, err = b.build(build); err != nil {
			return Outcome{}, err
		}
	}
	if person == "" {
		person = b.cfg.Person
	}
	drafts, err := b.fold.Write(before, w, model.Desk{
		Now: b.cfg.Now(), Person: person, Owner: b.cfg.Person, Plans: b.cfg.Plans, NewID: b.cfg.NewID,
	})
	if err != nil {
		return Outcome{}, err
	}
	ids, err := b.write(drafts)
	if err != nil {
		return Outcome{}, err
	}
	out := Outcome{Build: build, Entries: ids}
	if before == nil && len(drafts) > 0 {
		out.Build = drafts[0].Build
	} else if before != nil {
		if after, err := b.build(build); err == nil {
			out.Raised, out.Stale = compare(before, after)
		}
	}
	if once != "" {
		b.done[once] = out
		if b.order = append(b.order, once); len(b.order) > 256 {
			delete(b.done, b.order[0])
			b.order = b.order[1:]
		}
	}
	return out, nil
}

// compare returns the findings and stale checks that after has and before had
// not.
func compare(before, after *model.Build) (raised []*model.Finding, stale []*model.Check) {
	known := map[string]bool{}
	for _, f := range before.Findings {
		known[f.Key] = known[f.Key] || f.Open
	}
	for _, f := range after.Findings {
		if f.Open && !known[f.Key] {
			raised = append(raised, f)
		}
	}
	for _, c := range after.Stale() {
		if was := before.Check(c.ID); was == nil || was.Verdict != model.Stale {
			stale = append(stale, c)
		}
	}
	return raised, stale
}

// write numbers drafts, stores them and folds them in, in that order.
func (b *Book) write(drafts []model.Draft) ([]model.ID, error) {
	pen := b.pen
	raws, err := pen.Write(drafts, model.StampAt(b.cfg.Now()))
	if err != nil {
		return nil, err
	}
	if err := b.log.Append(raws); err != nil {
		return nil, fmt.Errorf("write to the logbook: %w", err)
	}
	b.pen = pen
	ids := make([]model.ID, len(raws))
	for i, raw := range raws {
		if _, err := b.fold.Add(raw); err != nil {
			return nil, err
		}
		ids[i] = model.IDOf(raw)
	}
	clear(b.builds)
	return ids, nil
}

// Write stores drafts that are no wish of a person's, such as a meeting.
func (b *Book) Write(drafts []model.Draft) ([]model.ID, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.write(drafts)
}

// Add stores entries of other replicas, all or none, and returns how many were
// new.
func (b *Book) Add(raws [][]byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	var fresh [][]byte
	for i, raw := range raws {
		if _, err := model.Decode(raw); err != nil {
			return 0, fmt.Errorf("entry %d of %d: %w", i+1, len(raws), err)
		}
		if !b.fold.Has(model.IDOf(raw)) {
			fresh = append(fresh, raw)
		}
	}
	if len(fresh) == 0 {
		return 0, nil
	}
	if err := b.log.Append(fresh); err != nil {
		return 0, err
	}
	added := 0
	for _, raw := range fresh {
		ok, err := b.fold.Add(raw)
		if err != nil {
			return added, err
		}
		if ok {
			added++
		}
	}
	pen, err := b.fold.Pen(b.cfg.Replica)
	if err != nil {
		return added, err
	}
	b.pen = pen
	clear(b.builds)
	return added, nil
}

// Build returns a build as it stands now. What it returns is never changed.
func (b *Book) Build(id uuid.UUID) (*model.Build, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.build(id)
}

func (b *Book) build(id uuid.UUID) (*model.Build, error) {
	now := b.cfg.Now()
	if v, ok := b.builds[id]; ok && v.minute == now.Unix()/60 {
		return v.build, nil
	}
	build, err := b.fold.Build(id, now, b.cfg.Plans)
	if err != nil {
		return nil, err
	}
	b.builds[id] = view{build, now.Unix() / 60}
	return build, nil
}

// BuildIDs returns the garage's builds, oldest first.
func (b *Book) BuildIDs() []uuid.UUID {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.fold.BuildIDs()
}

// Read calls f with the fold; f must not keep it.
func (b *Book) Read(f func(*model.Logbook)) {
	b.mu.Lock()
	defer b.mu.Unlock()
	f(b.fold)
}

// Person returns who keeps this replica, Replica its name.
func (b *Book) Person() string     { return b.cfg.Person }
func (b *Book) Replica() uuid.UUID { return b.cfg.Replica }

// Now returns the moment by this replica's clock.
func (b *Book) Now() time.Time { return b.cfg.Now() }

// Plans returns the plans this program has.
func (b *Book) Plans() model.PlanSource { return b.cfg.Plans }

// Close closes the store.
func (b *Book) Close() error { return b.log.Close() }
