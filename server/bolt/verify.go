package bolt

import (
	"bytes"
	"crypto/ed25519"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"go.etcd.io/bbolt"
)

// A Report is what Verify found. The file is whole if there is no Damage.
type Report struct {
	Schema   int
	MadeBy   string
	Entries  int
	Unknown  int // entries whose kind this program does not know
	Runs     int
	Seals    int
	Replicas []Chain // by replica
	Damage   []Damage
}

// A Chain is what a file holds of one replica.
type Chain struct {
	Replica uuid.UUID
	Entries int
	Heads   []model.Head // by number, then name
	Forks   int          // entries that are not the only ones to follow the one before them
	Holes   int          // places where entries are missing
}

// Damage is one thing that is wrong. From and To are the numbers of the entries
// it touches; 0 where that is not known.
type Damage struct {
	Replica  uuid.UUID
	From, To uint64
	What     string
	Names    []model.Head // of a damaged run: what its bytes give, see [model.SurveyRun]
}

func (d Damage) String() string {
	if d.From == 0 {
		return d.What
	}
	return fmt.Sprintf("replica %s, entries %d to %d: %s", d.Replica, d.From, d.To, d.What)
}

// Verify reads a logbook's file from end to end: every page, every entry by its
// hash, every chain, every seal by the key in its chain's first entry, and
// reports all that is wrong. The error is for a file that
// cannot be looked at: there is none, it may not be read, or another program has
// it open (a [*HeldError], within a second); or its layout is a newer one.
func Verify(path string) (Report, error) {
	f, err := openFile(path, true)
	switch {
	case cannotLook(err):
		return Report{}, err
	case err != nil:
		return Report{Damage: []Damage{{What: err.Error()}}}, nil
	}
	defer f.Close()
	return verify(f)
}

// Verify does the same for a store that is open. Appends wait for it.
func (s *Store) Verify() (Report, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return verify(s.db)
}

func verify(f file) (Report, error) {
	v := verifier{chains: map[uuid.UUID]*chain{}, promised: map[string]uint64{}, found: map[string]uint64{}, packs: map[string][]byte{}}
	m, damage, err := readMeta(f.handle)
	for _, what := range damage {
		v.fail(what)
	}
	if err != nil {
		v.fail(err.Error())
		return v.report, nil
	}
	v.pages(f.handle, m)
	if v.report.Schema > schema {
		return Report{}, newerError(v.report.Schema, v.report.MadeBy)
	}
	if len(v.report.Damage) == 0 {
		v.check(f.DB)
	}
	v.counts()
	v.join()
	v.unseal()
	return v.report, nil
}

// A verifier gathers what a report says.
type verifier struct {
	report          Report
	chains          map[uuid.UUID]*chain
	seals           []model.Seal
	promised, found map[string]uint64 // sequences, entries and seals by bucket
	packs           map[string][]byte // values of packKey by bucket
}

type chain struct {
	spans []keep.Span
	at    map[model.ID]uint64 // number of each entry
	prevs map[model.ID]int    // how many entries name it as the one before
	keys  []ed25519.PublicKey // of its first entries; more than one if they differ
}

func (v *verifier) fail(what string) { v.report.Damage = append(v.report.Damage, Damage{What: what}) }

func (v *verifier) failAt(s model.Span, what string) {
	v.report.Damage = append(v.report.Damage, Damage{Replica: s.Replica, From: s.First, To: s.End(), What: what})
}

// pages reads the whole file, page by page.
func (v *verifier) pages(f io.ReaderAt, m meta) {
	w := walk{f: f, meta: m, damage: v.fail}
	w.bucket = func(name []byte, sequence uint64) { v.promised[string(name)] = sequence }
	w.item = func(bucket, key, value []byte) {
		seal, ok, err := sealIn(bucket, key, value)
		switch {
		case err != nil:
			v.fail(err.Error())
		case bytes.Equal(key, packKey) && !bytes.Equal(bucket, aboutBucket):
			v.packs[string(bucket)] = bytes.Clone(value)
		case ok:
			v.found[string(bucket)]++
			v.seals = append(v.seals, seal)
		case bytes.Equal(bucket, looseBucket) || bytes.Equal(bucket, packedBucket):
			v.found[string(bucket)] += v.run(key, value)
		case bytes.Equal(bucket, aboutBucket) && bytes.Equal(key, schemaKey):
			v.report.Schema, _ = strconv.Atoi(string(value))
		case bytes.Equal(bucket, aboutBucket) && bytes.Equal(key, madeByKey):
			v.report.MadeBy = string(value)
		case bytes.Equal(bucket, aboutBucket) && bytes.Equal(key, markKey) && len(value) == len(Mark{}):
		case bytes.Equal(bucket, aboutBucket) && bytes.Equal(key, turnKey):
			if err := turn(value, m.tx); err != nil {
				v.fail(err.Error())
			}
		default:
			v.fail(fmt.Sprintf("bucket %q holds %q, which means nothing here", bucket, key))
		}
	}
	w.run()
}

// run reads a run and returns how many entries it holds.
func (v *verifier) run(key, run []byte) uint64 {
	span, err := keep.SpanOf(key, run)
	if err != nil {
		v.fail(err.Error())
		return 0
	}
	c := v.chains[span.Replica]
	if c == nil {
		c = &chain{at: map[model.ID]uint64{}, prevs: map[model.ID]int{}}
		v.chains[span.Replica] = c
	}
	var entries []model.Entry
	err = model.UnpackRun(run, func(raw string, id model.ID) error {
		e, err := model.Decode([]byte(raw))
		if err == nil && e.ID != id {
			err = fmt.Errorf("entry %d has the name %s, want %s", e.Seq, e.ID, id)
		}
		entries = append(entries, e)
		return err
	})
	if err == nil && entries[0].ID != span.Name {
		err = fmt.Errorf("the first entry has the name %s, want %s", entries[0].ID, span.Name)
	}
	if err != nil {
		v.failAt(span.Span, err.Error())
		last := &v.report.Damage[len(v.report.Damage)-1]
		model.SurveyRun(run, func(h model.Head) { last.Names = append(last.Names, h) })
		return 0
	}
	v.report.Runs++
	c.spans = append(c.spans, span)
	for _, e := range entries {
		if _, twice := c.at[e.ID]; twice {
			v.failAt(span.Span, fmt.Sprintf("entry %d is there twice", e.Seq))
		}
		c.at[e.ID] = e.Seq
		c.prevs[e.Prev]++
		switch b := e.Body.(type) {
		case *model.Unknown:
			v.report.Unknown++
		case *model.Replica:
			if e.Seq == 1 && len(b.Key) == ed25519.PublicKeySize {
				c.keys = append(c.keys, b.Key)
			}
		}
	}
	return uint64(len(entries))
}

// check lets bbolt look at its own structure.
func (v *verifier) check(db *bbolt.DB) {
	err := guard(func() error {
		return db.View(func(tx *bbolt.Tx) error {
			for err := range tx.Check() {
				v.fail(err.Error())
			}
			return nil
		})
	})
	if err != nil {
		v.fail(err.Error())
	}
}

// counts compares what was found with what was promised.
func (v *verifier) counts() {
	if v.report.Schema < 1 { // a newer one has been refused before
		v.fail(fmt.Sprintf("the file has schema %d, want 1 to %d", v.report.Schema, schema))
	}
	for _, name := range [][]byte{packedBucket, looseBucket, sealsBucket} {
		bucket := string(name)
		sequence, ok := v.promised[bucket]
		if !ok && bytes.Equal(name, sealsBucket) && v.report.Schema == 1 {
			continue
		}
		if err := checkCount(name, sequence, v.found[bucket], v.packs[bucket]); err != nil {
			v.fail(err.Error())
		} else if !ok {
			v.fail(fmt.Sprintf("there is no bucket %q", bucket))
		}
	}
}

// join looks at how the runs of each chain join.
func (v *verifier) join() {
	byName := func(a, b uuid.UUID) int { return bytes.Compare(a[:], b[:]) }
	for _, replica := range slices.SortedFunc(maps.Keys(v.chains), byName) {
		c := v.chains[replica]
		r := Chain{Replica: replica, Entries: len(c.at)}
		slices.SortFunc(c.spans, keep.Span.Compare)
		end := uint64(0) // highest number so far
		for _, s := range c.spans {
			if at, ok := c.at[s.Prev]; s.First > 1 && (!ok || at+1 != s.First) {
				r.Holes++
				from := min(end+1, s.First-1)
				v.failAt(model.Span{Replica: replica, First: from, Count: int(s.First - from)},
					fmt.Sprintf("missing, or not to be read: entry %d follows %s", s.First, s.Prev))
			}
			end = max(end, s.End())
			if c.prevs[s.Last] == 0 {
				r.Heads = append(r.Heads, model.Head{Seq: s.End(), ID: s.Last})
			}
		}
		for _, n := range c.prevs {
			r.Forks += n - 1
		}
		slices.SortFunc(r.Heads, model.Head.Compare)
		v.report.Entries += r.Entries
		v.report.Replicas = append(v.report.Replicas, r)
	}
}

// unseal verifies the seals.
func (v *verifier) unseal() {
	v.report.Seals = len(v.seals)
	for _, s := range v.seals {
		at := model.Span{Replica: s.Replica, First: s.Head.Seq, Count: 1}
		c := v.chains[s.Replica]
		if c == nil || c.at[s.Head.ID] != s.Head.Seq {
			v.failAt(at, fmt.Sprintf("sealed, but there is no entry with the name %s", s.Head.ID))
		} else if !slices.ContainsFunc(c.keys, s.Verify) {
			v.failAt(at, "the seal was not made with the key in that replica's first entry")
		}
	}
}
