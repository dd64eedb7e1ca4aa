// Package book holds one garage's logbook open: the store, the fold over it and
// the pen of this replica, so that a wish becomes entries that are durable
// before anybody is told so. It has no clock, socket or file of its own.
package book

import (
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
)

// Config is what a Book needs. Every field but Key, Sign, Was, Renew, SignOff and
// ReadPlan is required.
type Config struct {
	Replica uuid.UUID
	Key     []byte    // public key of the replica, noted in its first entry
	Was     uuid.UUID // the replica this one continues, noted there too; zero for none

	// Sign signs with the private key that belongs to Key, after a Renew with the
	// new one. It must not call the Book. Without it what is written gets no
	// seal, and can be passed on only as a file.
	Sign func(message []byte) []byte

	// Vouch returns what the replica that the present one continues says of it
	// ([model.Vouch]), noted in its first entry; nil if that could not be asked. It
	// must not call the Book. Without it others let a new name in only by an
	// invitation.
	Vouch func() []byte

	Device string // what the device is called
	Person string // who keeps it

	// Renew makes a new replica name and key and returns when they are durable.
	// It is called when this replica must not write on, because another copy of
	// it is about; it must not call the Book. Without it such a Book takes no
	// more entries of its own.
	Renew func(why string) (replica uuid.UUID, key []byte, err error)

	Now   func() time.Time
	NewID func() uuid.UUID
	Plans model.PlanSource

	// SignOff signs the releases and concessions written here, with a key of this
	// device's that cannot be copied. Without it they carry no signature of their own.
	SignOff *model.SignOffKey

	ReadPlan model.PlanReader // of plans of one's own; without it none is read
}

// opening is the first entry of the replica.
func (c *Config) opening() model.Draft {
	r := &model.Replica{Key: c.Key, Device: c.Device, Person: c.Person, Was: c.Was}
	if c.Vouch != nil && c.Was != uuid.Nil {
		r.Vouch = c.Vouch()
	}
	return model.Draft{Body: r}
}

// A Book is a logbook that is open for writing. It is safe for concurrent use.
type Book struct {
	cfg Config
	log keep.Log

	replica atomic.Pointer[uuid.UUID] // cfg.Replica, for those who hold mu already

	writing sync.Mutex // held by whoever changes the logbook, while it is stored too
	forked  error      // why this replica must take a new name before it writes
	pen     model.Pen
	done    map[string]Outcome // wishes by their one-time token
	order   []string
	closed  bool

	mu       sync.Mutex // taken after writing; who reads waits for no disk
	fold     *model.Logbook
	builds   map[uuid.UUID]view
	outlooks map[uuid.UUID]outlook

	queue    queue
	watchers watchers
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
// writes its opening entry. What the replica wrote before there were seals is
// sealed.
func Open(log keep.Log, cfg Config) (*Book, error) {
	if cfg.Replica == uuid.Nil || cfg.Now == nil || cfg.NewID == nil || cfg.Plans == nil {
		return nil, fmt.Errorf("open logbook: replica, clock, names and plans are all needed")
	}
	b := &Book{cfg: cfg, log: log, fold: model.NewLogbook(), builds: map[uuid.UUID]view{}, outlooks: map[uuid.UUID]outlook{}, done: map[string]Outcome{}}
	if cfg.ReadPlan != nil {
		b.fold.ReadPlans(cfg.ReadPlan)
	}
	if err := log.Runs(b.fold.AddRun); err != nil {
		return nil, fmt.Errorf("open logbook: %w", err)
	}
	if err := log.Seals(b.fold.AddSeal); err != nil {
		return nil, fmt.Errorf("open logbook: %w", err)
	}
	var err error
	if b.pen, err = b.fold.Pen(cfg.Replica); err != nil {
		return nil, fmt.Errorf("open logbook: %w", err)
	}
	b.replica.Store(&cfg.Replica)
	if _, err := b.write(nil); err != nil {
		return nil, err
	}
	if err := b.catchUp(); err != nil {
		return nil, err
	}
	return b, nil
}

// Become makes the book go on under a new replica name, as [Config].Renew makes
// it. The opening entry of that name says which one it continues; what was
// written before stands as it was. It is durable when Become returns. After an
// error the name that holds is the one Renew kept last, and its opening entry
// comes with the next entry that is written.
func (b *Book) Become(why string) error {
	b.writing.Lock()
	defer b.writing.Unlock()
	return b.become(why)
}

func (b *Book) become(why string) error {
	b.forked = errors.New(why)
	if b.cfg.Renew == nil {
		return fmt.Errorf("%s: this copy must take a new name and cannot", why)
	}
	replica, key, err := b.cfg.Renew(why)
	if err != nil {
		return fmt.Errorf("take a new name: %w", err)
	}
	b.cfg.Was, b.cfg.Replica, b.cfg.Key = b.cfg.Replica, replica, key
	b.replica.Store(&replica)
	b.pen, b.forked = model.Pen{Replica: replica, High: b.fold.High()}, nil
	_, err = b.write(nil)
	return err
}

// Do writes down what is wished on a build (the zero build where the wish
// concerns the garage) for a person. A wish with the value "once" is done once:
// the second time its first outcome is returned, so that a double tap makes one
// entry. The entries are durable when Do returns.
func (b *Book) Do(build uuid.UUID, w model.Wish, person string) (Outcome, error) {
	b.writing.Lock()
	defer b.writing.Unlock()
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
		if before, err = b.Build(build); err != nil {
			return Outcome{}, err
		}
	}
	if person == "" {
		person = b.cfg.Person
	}
	var drafts []model.Draft
	var err error
	b.Read(func(l *model.Logbook) {
		drafts, err = l.Write(before, w, model.Desk{
			Now: b.cfg.Now(), Person: person, Owner: b.cfg.Person, Plans: b.cfg.Plans, NewID: b.cfg.NewID,
		})
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
		if after, err := b.Build(build); err == nil {
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

// write numbers drafts, stores them and folds them in, in that order. The first
// entry of a replica opens its chain.
func (b *Book) write(drafts []model.Draft) ([]model.ID, error) {
	if b.forked != nil {
		if err := b.become(b.forked.Error()); err != nil {
			return nil, err
		}
	}
	pen, opening := b.pen, 0
	if pen.Head.Seq == 0 {
		opening = 1
		drafts = append([]model.Draft{b.cfg.opening()}, drafts...)
	}
	raws, err := pen.Write(drafts, model.StampAt(b.cfg.Now()))
	if err != nil {
		return nil, err
	}
	if b.cfg.SignOff != nil {
		now := b.cfg.Now()
		signed, err := b.cfg.SignOff.Signed(raws, b.keeper(), model.WhenOf(now))
		if err != nil {
			return nil, err
		}
		more, err := pen.Write(signed, model.StampAt(now))
		if err != nil {
			return nil, err
		}
		raws = append(raws, more...)
	}
	seals, err := b.seal(raws)
	if err != nil {
		return nil, err
	}
	links, err := keep.Links(raws)
	if err != nil {
		return nil, err
	}
	if err := b.store(raws, links, seals); err != nil {
		return nil, fmt.Errorf("write to the logbook: %w", err)
	}
	b.pen = pen
	if _, err := b.take(raws, links, seals); err != nil {
		return nil, err
	}
	ids := make([]model.ID, len(raws))
	for i, l := range links {
		ids[i] = l.ID
	}
	return ids[opening:], nil
}

// keeper returns who keeps this replica, as its first entry has it.
func (b *Book) keeper() (person string) {
	b.Read(func(l *model.Logbook) { person = l.Keeper(b.cfg.Replica) })
	if person == "" { // that entry is only being written
		person = b.cfg.Person
	}
	return person
}

// store makes entries and seals durable.
func (b *Book) store(raws [][]byte, links []model.Link, seals []model.Seal) error {
	if b.closed {
		return errors.New("the logbook is closed")
	}
	if log, ok := b.log.(keep.LinkedLog); ok {
		return log.AppendLinked(raws, links, seals...)
	}
	return b.log.Append(raws, seals...)
}

// take folds in what is durable, and returns how many entries were new.
func (b *Book) take(raws [][]byte, links []model.Link, seals []model.Seal) (added int, err error) {
	defer b.watchers.tell()
	b.mu.Lock()
	defer b.mu.Unlock()
	clear(b.builds)
	for i, raw := range raws {
		fresh, err := b.fold.AddLinked(raw, links[i].ID)
		if err != nil {
			return added, err
		}
		if fresh {
			added++
		}
	}
	return added, b.noteSeals(seals)
}

// Write stores drafts that are no wish of a person's, such as a meeting.
func (b *Book) Write(drafts []model.Draft) ([]model.ID, error) {
	b.writing.Lock()
	defer b.writing.Unlock()
	return b.write(drafts)
}

// Add stores entries of other replicas and their seals, which the caller has
// verified, all or none, and returns how many entries were new. Where they show
// that another copy of this replica is about, the book goes on under a new name,
// as [Book.Become] says.
func (b *Book) Add(raws [][]byte, seals ...model.Seal) (int, error) {
	links, err := keep.Links(raws)
	if err != nil {
		return 0, err
	}
	b.writing.Lock()
	defer b.writing.Unlock()
	return b.add(raws, links, seals)
}

func (b *Book) add(raws [][]byte, links []model.Link, seals []model.Seal) (int, error) {
	fresh, places, own := make([][]byte, 0, len(raws)), make([]model.Link, 0, len(raws)), false
	b.Read(func(l *model.Logbook) {
		for i, link := range links {
			if !l.Has(link.ID) {
				fresh, places = append(fresh, raws[i]), append(places, link)
				own = own || link.Replica == b.cfg.Replica
			}
		}
	})
	if len(fresh)+len(seals) == 0 {
		return 0, nil
	}
	if err := b.store(fresh, places, seals); err != nil {
		return 0, err
	}
	added, err := b.take(fresh, places, seals)
	if err != nil {
		return added, err
	}
	if own {
		return added, b.become(fmt.Sprintf("entries of replica %s came in that were not here: another copy of it is about, or this one was set back", b.cfg.Replica))
	}
	b.pen.High = b.fold.High()
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

// Person returns who keeps this replica, Replica the name it writes under now.
func (b *Book) Person() string     { return b.cfg.Person }
func (b *Book) Replica() uuid.UUID { return *b.replica.Load() }

// Now returns the moment by this replica's clock.
func (b *Book) Now() time.Time { return b.cfg.Now() }

// Plans returns the plans this program has.
func (b *Book) Plans() model.PlanSource { return b.cfg.Plans }

// Close closes the store. Nothing is written after it.
func (b *Book) Close() error {
	b.writing.Lock()
	defer b.writing.Unlock()
	b.closed = true
	return b.log.Close()
}
