package model

import (
	"bytes"
	"cmp"
	"compress/flate"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"slices"
	"sync"
)

// A plan of one's own travels in the logbook, so that every replica can fold the
// build that stands on it: the file's bytes, compressed (RFC 1951), in as many
// entries as they need. It is known by the SHA-256 of the file.

// MaxPlan is the largest plan file that a logbook carries, in bytes.
const MaxPlan = 512 << 10

const (
	planPiece  = 15 << 10 // bytes of the compressed file in one entry
	planPieces = 40       // at most
)

// PlanFile is one piece of the file of a plan of one's own.
type PlanFile struct {
	At      When
	Plan    string
	Version int64
	Hash    []byte // SHA-256 of the whole file, not compressed
	Bytes   int64  // its size, not compressed
	Piece   int64  // 1, 2, 3, ... of Pieces
	Pieces  int64
	Data    []byte // this piece of the compressed file
	Note    string // what is new in it
}

func (b *PlanFile) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Plan)
	c.Num(4, &b.Version)
	c.Bytes(5, &b.Hash)
	c.Num(6, &b.Bytes)
	c.Num(7, &b.Piece)
	c.Num(8, &b.Pieces)
	c.Bytes(9, &b.Data)
	c.Text(10, &b.Note)
}

// A PlanReader reads a plan file; name is used in errors.
type PlanReader func(name string, data []byte) (*Plan, error)

// A planShelf holds the plans that were read from entries, by the hash of their
// files. Logbooks of the same program share one.
type planShelf struct {
	read PlanReader

	mu    sync.Mutex
	plans map[string]*Plan
}

// ReadPlans says how the files of plans that the logbook carries are read. A
// logbook that was not told makes builds of built-in plans only.
func (l *Logbook) ReadPlans(read PlanReader) {
	l.shelf = &planShelf{read: read, plans: map[string]*Plan{}}
}

// Fresh returns an empty logbook that reads plans as l does.
func (l *Logbook) Fresh() *Logbook {
	fresh := NewLogbook()
	fresh.shelf = l.shelf
	return fresh
}

// A PlanRef names a plan: by the hash of its file, beside what people call it.
type PlanRef struct {
	ID      string
	Version int
	Hash    string // lower-case hex SHA-256; "" in logbooks that did not note it
}

func (r PlanRef) String() string { return fmt.Sprintf("%s@%d", r.ID, r.Version) }

// A NoPlanError says that the plan of a build is not here.
type NoPlanError struct {
	Build string // title
	Plan  PlanRef
	Have  int // pieces of the file that have come, of Want
	Want  int // 0 if none has
	Why   string
}

func (e *NoPlanError) Error() string {
	text := fmt.Sprintf("build %q stands on plan %s version %d", e.Build, e.Plan.ID, e.Plan.Version)
	switch {
	case e.Why != "":
		return text + ", which cannot be used here: " + e.Why
	case e.Want > 0:
		return fmt.Sprintf("%s, of whose file %d of %d pieces have come: bring the entries of the device that added it", text, e.Have, e.Want)
	}
	return text + ", which this program does not have: update the program, or bring the entries of the device that added the plan"
}

// planOf finds the plan that a build names. A plan under its name with other
// bytes is taken only where those that are meant are nowhere; note says so.
func (l *Logbook) planOf(build string, ref PlanRef, plans PlanSource) (p *Plan, note string, err error) {
	built, ok := plans(ref.ID, ref.Version)
	if ok && (ref.Hash == "" || ref.Hash == built.Hash) {
		return built, "", nil
	}
	p, err = l.carried(build, ref)
	if err != nil && ok {
		return built, fmt.Sprintf("the build was started from plan %s.%d with hash %.8s; this program has %.8s under that name", built.ID, built.Version, ref.Hash, built.Hash), nil
	}
	return p, "", err
}

// carried reads a plan whose file this logbook carries; the error is a
// *NoPlanError.
func (l *Logbook) carried(build string, ref PlanRef) (*Plan, error) {
	no := &NoPlanError{Build: build, Plan: ref}
	if l.shelf == nil {
		return nil, no
	}
	l.shelf.mu.Lock()
	defer l.shelf.mu.Unlock()
	if p := l.shelf.plans[ref.Hash]; p != nil {
		return p, nil
	}
	data, err := l.planFile(ref.Hash, no)
	if err != nil {
		no.Why = err.Error()
	}
	if data == nil {
		return nil, no
	}
	p, err := l.shelf.read(ref.String(), data)
	if err != nil {
		no.Why = err.Error()
		return nil, no
	}
	l.shelf.plans[ref.Hash] = p
	return p, nil
}

// PlanFile returns the bytes of a plan's file that the logbook carries, nil if it
// carries none of that hash or not all of it.
func (l *Logbook) PlanFile(hash string) []byte {
	data, _ := l.planFile(hash, new(NoPlanError))
	return data
}

// PlanFile returns the bytes of the file of the build's plan where the logbook
// carries them; nil for a built-in plan.
func (b *Build) PlanFile() []byte { return b.log.PlanFile(b.Plan.Hash) }

// planFile puts the pieces of a file together, those of one device at a time and
// whatever became of the entries: the hash says that the bytes are the right ones.
// Have and Want of no are filled in.
func (l *Logbook) planFile(hash string, no *NoPlanError) ([]byte, error) {
	want, err := hex.DecodeString(hash)
	if err != nil || len(want) != sha256.Size {
		return nil, nil
	}
	given := map[uint16]map[int64]PlanFile{} // by device and number
	for _, n := range l.builds[0].items {
		if l.items[n].kind != kindPlan {
			continue
		}
		f, ok := read[PlanFile](l, n)
		if !ok || !bytes.Equal(f.body.Hash, want) || f.body.Pieces < 1 || f.body.Pieces > planPieces || f.body.Piece < 1 || f.body.Piece > f.body.Pieces {
			continue
		}
		rep := l.items[n].rep
		if given[rep] == nil {
			given[rep] = map[int64]PlanFile{}
		}
		given[rep][f.body.Piece] = f.body
	}
	var fault error
	for _, pieces := range given {
		var whole []byte
		most := 0
		for _, f := range pieces {
			most = max(most, int(f.Pieces))
		}
		if have := len(pieces); have < most {
			no.Have, no.Want = max(no.Have, have), most
			continue
		}
		for i := range most {
			whole = append(whole, pieces[int64(i+1)].Data...)
		}
		data, err := inflate(whole)
		if err == nil && sha256.Sum256(data) != [sha256.Size]byte(want) {
			err = fmt.Errorf("the entries that carry its file give other bytes than they say")
		}
		if err == nil {
			return data, nil
		}
		fault = err
	}
	return nil, fault
}

// inflate undoes deflate. It reads no more than a plan may have.
func inflate(data []byte) ([]byte, error) {
	out, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(data)), MaxPlan+1))
	if err != nil {
		return nil, fmt.Errorf("the entries that carry its file do not unpack: %w", err)
	}
	if len(out) > MaxPlan {
		return nil, fmt.Errorf("its file is larger than the %d kB that are possible", MaxPlan>>10)
	}
	return out, nil
}

func deflate(data []byte) []byte {
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, flate.BestCompression)
	if err != nil { // the level is one there is
		panic(err)
	}
	w.Write(data) // a buffer takes it all
	w.Close()
	return out.Bytes()
}

// planEntries returns the bodies that carry a plan's file.
func planEntries(p *Plan, data []byte, at When, note string) []*PlanFile {
	sum := sha256.Sum256(data)
	pieces := slices.Collect(slices.Chunk(deflate(data), planPiece))
	var list []*PlanFile
	for i, piece := range pieces {
		f := &PlanFile{
			At: at, Plan: p.ID, Version: int64(p.Version), Hash: sum[:], Bytes: int64(len(data)),
			Piece: int64(i + 1), Pieces: int64(len(pieces)), Data: piece,
		}
		if i == 0 {
			f.Note = note
		}
		list = append(list, f)
	}
	return list
}

// An OwnPlan is a plan that the logbook carries.
type OwnPlan struct {
	Fact // of the entry with its first piece
	Ref  PlanRef
	At   When
	Note string
	Plan *Plan  // nil if it cannot be read here
	Why  string // then: why
}

// OwnPlans returns the plans that the logbook carries, in order of ID and
// version; those of one version that were added apart as they were stamped.
func (l *Logbook) OwnPlans() []OwnPlan {
	l.settle()
	g := l.garage()
	firsts := map[string]uint32{} // by hash
	for _, n := range l.builds[0].items {
		if l.items[n].kind != kindPlan || l.items[n].state&standing != 0 {
			continue
		}
		f, ok := read[PlanFile](l, n)
		if !ok || f.body.Piece != 1 {
			continue
		}
		key := string(f.body.Hash)
		if first, ok := firsts[key]; !ok || l.compare(n, first) < 0 {
			firsts[key] = n
		}
	}
	order := make([]uint32, 0, len(firsts))
	for _, n := range firsts {
		order = append(order, n)
	}
	slices.SortFunc(order, l.compare)
	var list []OwnPlan
	for _, n := range order {
		f, _ := read[PlanFile](l, n)
		own := OwnPlan{
			Fact: l.fact(g, n), At: f.body.At, Note: f.body.Note,
			Ref: PlanRef{f.body.Plan, int(f.body.Version), hex.EncodeToString(f.body.Hash)},
		}
		p, err := l.carried("", own.Ref)
		switch no, _ := err.(*NoPlanError); {
		case no == nil && (p.ID != own.Ref.ID || p.Version != own.Ref.Version): // an entry may say what it likes; its file says what it is
			own.Why = fmt.Sprintf("its file is that of %s version %d", p.ID, p.Version)
		case no == nil:
			own.Plan = p
		case no.Why != "":
			own.Why = no.Why
		default:
			own.Why = fmt.Sprintf("%d of %d pieces of its file have come", no.Have, no.Want)
		}
		list = append(list, own)
	}
	slices.SortStableFunc(list, func(a, b OwnPlan) int {
		return cmp.Or(cmp.Compare(a.Ref.ID, b.Ref.ID), cmp.Compare(a.Ref.Version, b.Ref.Version))
	})
	return list
}
