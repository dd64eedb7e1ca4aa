package plan

import (
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"sync"

	"ampwright/model"
	"ampwright/model/jsontext"
)

//go:embed *.json *.packed
var files embed.FS

// An Edition is a plan by what a list says of it. A built-in one is read when Plan
// is first called: from its packed form if it is the newest of its name, since to
// parse and check a file takes a phone some tenths of a second. The plan is shared: it
// must not be changed.
type Edition struct {
	ID      string
	Version int
	Title   string
	Plan    func() *model.Plan
}

// editions have their IDs and versions from their files' names.
var editions = sync.OnceValue(func() []Edition {
	names, err := fs.Glob(files, "*.json")
	if err != nil {
		panic(err)
	}
	var list []Edition
	for _, name := range names {
		id, rest, _ := strings.Cut(name, ".")
		version, err := strconv.Atoi(strings.TrimSuffix(rest, ".json"))
		if err != nil {
			panic(err)
		}
		list = append(list, Edition{id, version, titleOf(name), sync.OnceValue(func() *model.Plan {
			data, err := files.ReadFile(name)
			if err != nil {
				panic(err)
			}
			if packed, err := files.ReadFile(strings.TrimSuffix(name, "json") + "packed"); err == nil {
				return unpack(string(packed), string(data))
			}
			p, err := Load(name, data)
			if err != nil {
				panic(err)
			}
			return p
		})})
	}
	slices.SortFunc(list, func(a, b Edition) int {
		return cmp.Or(cmp.Compare(a.ID, b.ID), cmp.Compare(a.Version, b.Version))
	})
	return list
})

// titleOf reads the title of a built-in plan, which stands at the beginning of its
// file.
func titleOf(name string) string {
	file, err := files.Open(name)
	if err != nil {
		panic(err)
	}
	var head [1 << 10]byte
	n, _ := file.Read(head[:]) // never fails, and fills it
	tokens := jsontext.NewReader(head[:n])
	for before := ""; ; {
		t, err := tokens.Next()
		if err != nil || t.Kind == jsontext.End {
			panic(fmt.Sprintf("%s: no title in its first %d bytes", name, n))
		}
		if before == "title" {
			return t.Text
		}
		before = t.Text
	}
}

// Editions returns the built-in plans, every version of each, in order of ID and
// version.
func Editions() []Edition { return slices.Clone(editions()) }

// List returns the built-in plans, every version of each, in order of ID and
// version. The plans are shared: they must not be changed.
func List() []*model.Plan {
	var plans []*model.Plan
	for _, e := range editions() {
		plans = append(plans, e.Plan())
	}
	return plans
}

// Builtin returns the built-in plan of that ID and version, or its newest
// version for version 0. The plan is shared: it must not be changed.
func Builtin(id string, version int) (*model.Plan, bool) {
	for _, e := range slices.Backward(editions()) {
		if e.ID == id && (version == 0 || e.Version == version) {
			return e.Plan(), true
		}
	}
	return nil, false
}

// Load reads a plan file; see the package comment for its format. The name
// is only used in errors. Everything that is wrong is reported at once, one
// line for each fault: file, place in the file, value.
func Load(name string, data []byte) (*model.Plan, error) {
	r := &report{file: name}
	var f planFile
	decode(data, &f, r)
	if r.faults != nil {
		return nil, errors.Join(r.faults...) // faults of form would only repeat themselves
	}
	derived := validate(&f, r)
	if r.faults != nil {
		return nil, errors.Join(r.faults...)
	}
	p := f.plan(derived)
	sum := sha256.Sum256(data)
	p.Hash = hex.EncodeToString(sum[:])
	return p, nil
}
