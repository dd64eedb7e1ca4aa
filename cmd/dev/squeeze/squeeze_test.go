package squeeze

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// program recurses deep, collects garbage meanwhile, defers, recovers, and ends
// with a panic: all that makes the runtime read its tables. work goes through much
// of what the compiler makes code of, with goroutines that wait for each other.
const program = `package main

import (
	"errors"
	"fmt"
	"hash/crc32"
	"math"
	"runtime"
	"sort"
	"strings"
	"sync"
)

type shape interface{ area(by float64) float64 }
type square struct{ side float64; name string; more [9]int64 }
type disc struct{ r float64 }

func (s square) area(by float64) float64 { return s.side*s.side*by + float64(s.more[8]) }
func (d *disc) area(by float64) float64  { d.r += by; return math.Pi * d.r * d.r }

//go:noinline
func leaf(a, b uint32) uint32 { return a*2654435761 ^ b>>3 }

//go:noinline
func words(n int) (out []string, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("at %d: %v", n, r)
		}
	}()
	for i := range n {
		switch {
		case i%7 == 3:
			continue
		case i == 40:
			var none map[string]int
			none["x"] = i
		}
		switch s := fmt.Sprint(i * i); s {
		case "1", "16", "25":
			out = append(out, "known "+s)
		case "36":
			runtime.Gosched()
		default:
			out = append(out, strings.Repeat(s, i%3))
		}
	}
	return out, nil
}

func work() uint32 {
	sum := crc32.NewIEEE()
	say := func(a ...any) { fmt.Fprintln(sum, a...) }
	for _, n := range []int{0, 3, 12, 60} {
		out, err := words(n)
		say(out, err, errors.Unwrap(err) == nil)
	}
	asked, told := make(chan int), make(chan string, 1)
	var all sync.WaitGroup
	for w := range 5 {
		all.Go(func() {
			for n := range asked {
				x := uint32(n)
				for i := range 50 {
					x = leaf(x, uint32(w-w+i))
					if i%10 == 0 {
						runtime.Gosched()
					}
				}
				told <- fmt.Sprint(n, " ", x)
			}
		})
	}
	var got []string
	for next := 0; len(got) < 100; {
		out := asked
		if next == 100 {
			out = nil
		}
		select {
		case out <- next:
			next++
		case s := <-told:
			got = append(got, s)
		}
	}
	close(asked)
	all.Wait()
	sort.Slice(got, func(i, j int) bool { return got[i] < got[j] })
	say(got)
	shapes := []shape{square{2, "s", [9]int64{8: 5}}, &disc{1}, square{side: 0.5}}
	f := shapes[1].area
	total := 0.0
outer:
	for i := range 30 {
		for j, s := range shapes {
			if total += s.area(float64(i)); total > 1e5 && j == 1 {
				break outer
			}
			if i%2 == 0 {
				continue outer
			}
			total -= f(0.25)
		}
	}
	say(total, math.Float64bits(total), int64(-7)/2, uint8(300&0xff), math.MinInt64, int64(total)<<7>>3, total != total)
	count := map[string][]int{}
	for i := range 500 {
		k := fmt.Sprintf("%x", i*i%31)
		count[k] = append(count[k], i)
		if i%5 == 0 {
			delete(count, k)
		}
	}
	say(count, len(count))
	return sum.Sum32()
}

type node struct{ next *node; name string }

//go:noinline
func deep(n int, tail *node) int {
	defer func() { tail.name += "." }()
	if n == 0 {
		runtime.GC()
		return 0
	}
	return 1 + deep(n-1, &node{tail, fmt.Sprint(n)})
}

//go:noinline
func caught(s []int, i int) (said string) {
	defer func() { said = fmt.Sprint(recover()) }()
	return fmt.Sprint(s[i])
}

func main() {
	fmt.Println(work())
	done := make(chan int)
	go func() { done <- deep(5000, &node{}) }()
	fmt.Println(<-done, caught([]int{1}, 3))
	pc, file, line, _ := runtime.Caller(0)
	fmt.Println(runtime.FuncForPC(pc).Name(), strings.HasSuffix(file, "main.go"), line)
	panic("the end")
}
`

// compiled returns the program as WebAssembly, and what it says on this machine.
func compiled(t *testing.T) (module []byte, said string) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "go.mod"), []byte("module small\n\ngo 1.26\n"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "main.go"), []byte(program), 0o644))
	cmd := exec.Command("go", "build", "-o", "small.wasm", ".")
	cmd.Dir, cmd.Env = dir, append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	module, err = os.ReadFile(filepath.Join(dir, "small.wasm"))
	require.NoError(t, err)
	native := exec.Command("go", "run", ".")
	native.Dir = dir
	out, err = native.CombinedOutput()
	require.Error(t, err, "it ends with a panic")
	said, _, _ = strings.Cut(string(out), "main.main true")
	return module, said
}

func TestProgram(t *testing.T) {
	module, says := compiled(t)
	p, err := Read(module)
	require.NoError(t, err)
	again, err := Read(joined(t, p))
	require.NoError(t, err)
	require.True(t, p.base == again.base && bytes.Equal(p.data, again.data), "the data is not what it was")
	require.True(t, bytes.Equal(p.before, again.before) && bytes.Equal(p.after, again.after), "another section has changed")
	require.True(t, bytes.HasPrefix(module, p.before) && bytes.HasSuffix(module, p.after), "another section has changed")

	require.NoError(t, p.DropLines())
	require.Equal(t, len(again.data), len(p.data))
	changed := 0
	for i, b := range p.data {
		if b != again.data[i] {
			require.Contains(t, []byte{0, 0xff}, b)
			changed++
		}
	}
	require.Greater(t, changed, 50_000)
	require.NoError(t, p.DropLines(), "a second time")

	names, err := p.Names()
	require.NoError(t, err)
	require.Equal(t, "main.main()\n\tf.zzzz f.aaaa f.pppp of.aaaa", Rename("f."+letters(slices.Index(names, "main.main"))+"()\n\tf.zzzz f.aaaa f.pppp of.aaaa", append([]string{"f.aaaa"}, names[1:]...)))
	lines := len(joined(t, p))
	require.NoError(t, p.DropIndex())
	require.Less(t, len(joined(t, p)), lines-500_000, "2000 functions and 320 bytes for each")
	require.ErrorContains(t, p.DropIndex(), "no index of the functions", "a second time")
	require.NoError(t, p.DropPlaces())
	require.ErrorContains(t, p.DropPlaces(), "does not follow the one before", "a second time")

	before := len(joined(t, p))
	require.NoError(t, p.ShortenCode())
	require.Less(t, len(joined(t, p)), before-100_000)
	packed, err := Pack(joined(t, p))
	require.NoError(t, err)
	require.Less(t, len(packed), len(joined(t, p))*3/4)

	node, err := exec.LookPath("node")
	if err != nil {
		t.Log("the program was not run: running it needs Node.js, which is not on this machine")
		return
	}
	require.True(t, bytes.Equal(joined(t, p), unpacked(t, node, packed)), "unpacked it is another module")
	said := run(t, node, joined(t, p))
	want := "5000 runtime error: index out of range [3] with length 1\n"
	require.True(t, strings.HasSuffix(says, want), "%s", says)
	require.NotContains(t, said, "main.")
	require.True(t, strings.HasPrefix(Rename(said, names), says+"main.main false 0\n"), "%s, want %s", said, says)
	require.Contains(t, said, "panic: the end")
	require.Contains(t, Rename(said, names), "main.main()\n\t?:0", "a traceback names functions, not lines")
	require.Contains(t, run(t, node, joined(t, again)), "main.main true ", "joined alone it has its lines")
}

// letters are the digits of a function's number.
func letters(n int) string {
	return strings.Map(func(r rune) rune { return 'a' + rune(strings.IndexRune("0123456789abcdef", r)) }, fmt.Sprintf("%04x", n))
}

func joined(t *testing.T, p *Program) []byte {
	module, err := p.Join()
	require.NoError(t, err)
	return module
}

// unpacked is what the phone makes of a packed module.
func unpacked(t *testing.T, node string, packed []byte) []byte {
	dir := t.TempDir()
	script, err := os.ReadFile(filepath.Join("..", "..", "..", "client", "phone", "unpack.js"))
	require.NoError(t, err)
	script = append(script, `
const fs = require("fs"), dir = process.argv[2];
const packed = new Uint8Array(fs.readFileSync(dir + "/packed"));
for (const half of [packed.subarray(0, 0), packed.subarray(0, 20), packed.subarray(0, packed.length - 1), new TextEncoder().encode("404 page not found")]) {
	let said = "";
	try { unpack(half); } catch (e) { said = e.message; }
	if (!said) throw new Error(half.length + " bytes of it make a program");
}
fs.writeFileSync(dir + "/module", unpack(packed));`...)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "unpack.js"), script, 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "packed"), packed, 0o644))
	out, err := exec.Command(node, filepath.Join(dir, "unpack.js"), dir).CombinedOutput()
	require.NoError(t, err, "%s", out)
	module, err := os.ReadFile(filepath.Join(dir, "module"))
	require.NoError(t, err)
	return module
}

// run returns what a program says before and when it panics.
func run(t *testing.T, node string, module []byte) string {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "small.wasm")
	require.NoError(t, os.WriteFile(path, module, 0o644))
	out, err := exec.Command(node, "--stack-size=8192", filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js"), path).CombinedOutput()
	require.Error(t, err, "it ends with a panic")
	return string(out)
}

func TestNoProgram(t *testing.T) {
	magic := "\x00asm\x01\x00\x00\x00"
	for in, want := range map[string]string{
		"":                        "no WebAssembly module",
		"\x00asm\x02\x00\x00\x00": "no WebAssembly module",
		magic:                     "without data",
		magic + "\x0a\x05x":       "section 10 at byte 8 is cut short",
		magic + "\x0b\x01\x00":    "cut short",
		magic + "\x0b\x07\x01\x00\x41\x00\x0b\x05x":                      "cut short",
		magic + "\x0b\x02\x01\x01":                                       "fixed address",
		magic + "\x0b\x0d\x02\x00\x41\x00\x0b\x02xy\x00\x41\x01\x0b\x00": "overlap",
	} {
		_, err := Read([]byte(in))
		require.ErrorContains(t, err, want, "%q", in)
	}
	p, err := Read([]byte(magic + "\x0b\x08\x01\x00\x41\x10\x0b\x02xy\x00\x00"))
	require.NoError(t, err)
	require.Equal(t, 16, p.base)
	require.ErrorContains(t, p.DropLines(), "want one header")
}

func TestNumbers(t *testing.T) {
	for _, n := range []int64{0, 1, 63, 64, 127, 128, 1 << 20, 1<<31 - 1, -1, -64, -65} {
		r := reader{rest: signed(nil, n)}
		require.Equal(t, n, r.signed())
		require.False(t, r.bad)
	}
	// WebAssembly Core Specification 2.0, section 5.2.2: 2^31-1 in both forms, by hand
	require.Equal(t, []byte{0xff, 0xff, 0xff, 0xff, 0x07}, signed(nil, 1<<31-1))
	require.Equal(t, []byte{0xff, 0xff, 0xff, 0xff, 0x07}, unsigned(nil, 1<<31-1))
	require.Equal(t, []byte{0xc0, 0x00}, signed(nil, 64))
}
