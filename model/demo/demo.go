// Package demo plays an invented conversion, kept on a laptop and a phone that
// meet now and then, into a logbook: a trail bike called Heron, half built. The
// script is a file of wishes as the builder typed them; each device sees only
// what it wrote or was told, so that things written apart really were.
package demo

import (
	"bufio"
	"bytes"
	"crypto/ed25519"
	_ "embed"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
)

//go:embed heron.jsonl
var heron []byte

// Build is the name of the Heron build.
var Build = uuid.MustParse("4845524f-4e00-4000-8000-000000000001")

// End is the moment the script ends: the demo's answers are those of this
// moment.
var End = time.Date(2026, 11, 20, 19, 30, 0, 0, time.FixedZone("CET", 3600))

// devices are the two replicas of the script.
var devices = map[string]struct {
	id   uuid.UUID
	name string
}{
	"laptop": {uuid.MustParse("4845524f-4e00-4000-8000-00000000000a"), "garage laptop"},
	"phone":  {uuid.MustParse("4845524f-4e00-4000-8000-00000000000b"), "pocket phone"},
}

// A step is one line of the script.
type step struct {
	Device string            `json:"device"`
	Clock  string            `json:"clock"` // what the device's clock says
	Ref    string            `json:"ref"`   // by which later lines name the entry
	Wish   string            `json:"wish"`
	Values map[string]string `json:"values"`
	Meet   bool              `json:"meet"`
	Offset int64             `json:"offset_s"`
}

// A replica is one device's copy while the script plays.
type replica struct {
	id   uuid.UUID
	book *model.Logbook
	pen  model.Pen
	raws [][]byte
}

// Heron plays the script and returns the entries of both devices, each chain in
// its order.
func Heron(plans model.PlanSource) ([][]byte, error) {
	return play(heron, Build, plans)
}

// AtEnd returns the Heron build as it stands at [End].
func AtEnd(plans model.PlanSource) (*model.Build, error) {
	raws, err := Heron(plans)
	if err != nil {
		return nil, err
	}
	l := model.NewLogbook()
	for _, raw := range raws {
		if _, err := l.Add(raw); err != nil {
			return nil, err
		}
	}
	return l.Build(Build, End, plans)
}

func play(script []byte, build uuid.UUID, plans model.PlanSource) ([][]byte, error) {
	p := player{plans: plans, build: build, refs: map[string]string{}, on: map[string]*replica{}}
	in := bufio.NewScanner(bytes.NewReader(script))
	in.Buffer(nil, 1<<20)
	for n := 1; in.Scan(); n++ {
		var s step
		if err := json.Unmarshal(in.Bytes(), &s); err != nil {
			return nil, fmt.Errorf("script line %d: %w", n, err)
		}
		if err := p.step(s); err != nil {
			return nil, fmt.Errorf("script line %d: %s: %w", n, s.Wish, err)
		}
	}
	var all [][]byte
	for _, name := range []string{"laptop", "phone"} {
		if r := p.on[name]; r != nil {
			all = append(all, r.raws...)
		}
	}
	return all, in.Err()
}

type player struct {
	plans model.PlanSource
	build uuid.UUID
	refs  map[string]string
	on    map[string]*replica
}

func (p *player) replica(name string, at time.Time) (*replica, error) {
	if r := p.on[name]; r != nil {
		return r, nil
	}
	d, ok := devices[name]
	if !ok {
		return nil, fmt.Errorf("device %q: want laptop or phone", name)
	}
	r := &replica{id: d.id, book: model.NewLogbook(), pen: model.Pen{Replica: d.id}}
	p.on[name] = r
	key := keyOf(name).Public().(ed25519.PublicKey)
	_, err := r.write([]model.Draft{{Body: &model.Replica{Key: key, Device: d.name, Person: "builder"}}}, at)
	return r, err
}

func (r *replica) write(drafts []model.Draft, at time.Time) ([]model.ID, error) {
	raws, err := r.pen.Write(drafts, model.StampAt(at))
	if err != nil {
		return nil, err
	}
	var ids []model.ID
	for _, raw := range raws {
		if _, err := r.book.Add(raw); err != nil {
			return nil, err
		}
		ids = append(ids, model.IDOf(raw))
	}
	r.raws = append(r.raws, raws...)
	return ids, nil
}

func (p *player) step(s step) error {
	at, err := time.Parse(time.RFC3339, s.Clock)
	if err != nil {
		return err
	}
	r, err := p.replica(s.Device, at)
	if err != nil {
		return err
	}
	if s.Meet {
		return p.meet(r, at, s.Offset)
	}
	w := model.Wish{Name: s.Wish, Values: map[string][]string{}}
	for k, v := range s.Values {
		if ref, ok := strings.CutPrefix(v, "$"); ok {
			v = p.refs[ref]
		}
		w.Values[k] = []string{v}
	}
	var b *model.Build
	if s.Wish != "start" {
		if b, err = r.book.Build(p.build, at, p.plans); err != nil {
			if s.Device == "phone" && len(r.raws) == 1 { // the phone hears of the build at its first meeting; until then it was told by hand
				err = p.tell(r)
			}
			if err != nil {
				return err
			}
			if b, err = r.book.Build(p.build, at, p.plans); err != nil {
				return err
			}
		}
	}
	drafts, err := r.book.Write(b, w, model.Desk{
		Now: at, Person: "builder", Owner: "builder", Plans: p.plans, NewID: func() uuid.UUID { return p.build },
	})
	if err != nil {
		return err
	}
	ids, err := r.write(drafts, at)
	if err == nil && s.Ref != "" {
		p.refs[s.Ref] = ids[0].String()
	}
	return err
}

// tell hands the laptop's entries so far to a phone that has none.
func (p *player) tell(phone *replica) error {
	for _, raw := range p.on["laptop"].raws {
		if _, err := phone.book.Add(raw); err != nil {
			return err
		}
	}
	phone.pen.High = phone.book.High()
	return nil
}

// meet exchanges what the two devices lack and notes it.
func (p *player) meet(r *replica, at time.Time, offset int64) error {
	var other *replica
	for _, o := range p.on {
		if o != r {
			other = o
		}
	}
	if other == nil {
		return fmt.Errorf("nobody to meet")
	}
	for _, raw := range other.raws {
		if _, err := r.book.Add(raw); err != nil {
			return err
		}
	}
	r.pen.High = r.book.High()
	_, err := r.write([]model.Draft{{Body: &model.Meet{At: model.WhenOf(at), With: other.id, Offset: offset * 1000}}}, at)
	for _, raw := range r.raws {
		if _, err := other.book.Add(raw); err != nil {
			return err
		}
	}
	other.pen.High = other.book.High()
	return err
}
