package plan

import (
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"io/fs"
	"slices"
	"sync"

	"ampwright/model"
)

//go:embed *.json
var files embed.FS

// builtin parses the embedded plans the first time one is asked for.
var builtin = sync.OnceValue(func() []*model.Plan {
	names, err := fs.Glob(files, "*.json")
	if err != nil {
		panic(err)
	}
	plans := make([]*model.Plan, len(names))
	for i, name := range names {
		data, err := files.ReadFile(name)
		if err != nil {
			panic(err)
		}
		if plans[i], err = Load(name, data); err != nil {
			panic(err)
		}
	}
	slices.SortFunc(plans, func(a, b *model.Plan) int {
		return cmp.Or(cmp.Compare(a.ID, b.ID), cmp.Compare(a.Version, b.Version))
	})
	return plans
})

// List returns the built-in plans, every version of each, in order of ID and
// version. The plans are shared: they must not be changed.
func List() []*model.Plan { return slices.Clone(builtin()) }

// Builtin returns the built-in plan of that ID and version, or its newest
// version for version 0. The plan is shared: it must not be changed.
func Builtin(id string, version int) (*model.Plan, bool) {
	for _, p := range slices.Backward(builtin()) {
		if p.ID == id && (version == 0 || p.Version == version) {
			return p, true
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
	order := validate(&f, r)
	if r.faults != nil {
		return nil, errors.Join(r.faults...)
	}
	p := f.plan(order)
	sum := sha256.Sum256(data)
	p.Hash = hex.EncodeToString(sum[:])
	return p, nil
}
