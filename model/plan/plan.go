package plan

import (
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"sync"

	"ampwright/model"
)

//go:embed *.json
var files embed.FS

// An edition is a plan of this program, parsed the first time it is asked for.
type edition struct {
	id      string
	version int
	plan    func() *model.Plan
}

// editions are in order of ID and version, which their files' names say.
var editions = sync.OnceValue(func() []edition {
	names, err := fs.Glob(files, "*.json")
	if err != nil {
		panic(err)
	}
	var list []edition
	for _, name := range names {
		id, rest, _ := strings.Cut(name, ".")
		version, err := strconv.Atoi(strings.TrimSuffix(rest, ".json"))
		if err != nil {
			panic(err)
		}
		list = append(list, edition{id, version, sync.OnceValue(func() *model.Plan {
			data, err := files.ReadFile(name)
			if err != nil {
				panic(err)
			}
			p, err := Load(name, data)
			if err != nil {
				panic(err)
			}
			return p
		})})
	}
	slices.SortFunc(list, func(a, b edition) int {
		return cmp.Or(cmp.Compare(a.id, b.id), cmp.Compare(a.version, b.version))
	})
	return list
})

// List returns the built-in plans, every version of each, in order of ID and
// version. The plans are shared: they must not be changed.
func List() []*model.Plan {
	var plans []*model.Plan
	for _, e := range editions() {
		plans = append(plans, e.plan())
	}
	return plans
}

// Builtin returns the built-in plan of that ID and version, or its newest
// version for version 0. The plan is shared: it must not be changed.
func Builtin(id string, version int) (*model.Plan, bool) {
	for _, e := range slices.Backward(editions()) {
		if e.id == id && (version == 0 || e.version == version) {
			return e.plan(), true
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
