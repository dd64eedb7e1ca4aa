package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// sorted sorts lists of many lengths in all ways, with few and with many equal
// items, and prints a hash of the orders they come in.
const sorted = `package main

import "slices"

type item struct{ key, was int }

func main() {
	hash, chance := uint64(14695981039346656037), uint64(1)
	note := func(n int) { hash = (hash ^ uint64(n)) * 1099511628211 }
	for n := range 300 {
		for _, most := range []uint64{1, 3, 50, 1 << 30} {
			var a, b []item
			var keys []int
			for i := range n * 3 {
				chance = chance*6364136223846793005 + 1442695040888963407
				key := int(chance >> 33 % most)
				if n%3 == 1 {
					key = i / 7 // nearly sorted
				}
				a, keys = append(a, item{key, i}), append(keys, key)
			}
			b = slices.Clone(a)
			by := func(x, y item) int { return x.key - y.key }
			slices.SortFunc(a, by)
			slices.SortStableFunc(b, by)
			slices.Sort(keys)
			for i := range a {
				note(a[i].was)
				note(b[i].was)
				note(keys[i])
			}
		}
	}
	println(hash)
}
`

// What is equal comes in the same order on the phone as on the laptop.
func TestSorts(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "main.go"), []byte(sorted), 0o644))
	overlay, err := overlaySorts(t.Context(), dir)
	require.NoError(t, err)
	run := func(args ...string) string {
		out, err := exec.Command("go", append(append([]string{"run"}, args...), filepath.Join(dir, "main.go"))...).CombinedOutput()
		require.NoError(t, err, "%s", out)
		return string(out)
	}
	require.Equal(t, run(), run("-overlay", overlay))
}
