package squeeze

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// program recurses deep, collects garbage meanwhile, defers, recovers, and ends
// with a panic: all that makes the runtime read its tables.
const program = `package main

import (
	"fmt"
	"runtime"
	"strings"
)

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
	done := make(chan int)
	go func() { done <- deep(5000, &node{}) }()
	fmt.Println(<-done, caught([]int{1}, 3))
	pc, file, line, _ := runtime.Caller(0)
	fmt.Println(runtime.FuncForPC(pc).Name(), strings.HasSuffix(file, "main.go"), line)
	panic("the end")
}
`

func compiled(t *testing.T) []byte {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "go.mod"), []byte("module small\n\ngo 1.26\n"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "main.go"), []byte(program), 0o644))
	cmd := exec.Command("go", "build", "-o", "small.wasm", ".")
	cmd.Dir, cmd.Env = dir, append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	module, err := os.ReadFile(filepath.Join(dir, "small.wasm"))
	require.NoError(t, err)
	return module
}

func TestProgram(t *testing.T) {
	module := compiled(t)
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

	lines := len(joined(t, p))
	require.NoError(t, p.DropIndex())
	require.Less(t, len(joined(t, p)), lines-500_000, "2000 functions and 320 bytes for each")
	require.ErrorContains(t, p.DropIndex(), "no index of the functions", "a second time")
	require.NoError(t, p.DropPlaces())
	require.ErrorContains(t, p.DropPlaces(), "does not follow the one before", "a second time")

	node, err := exec.LookPath("node")
	if err != nil {
		t.Log("the program was not run: running it needs Node.js, which is not on this machine")
		return
	}
	said := run(t, node, joined(t, p))
	want := "5000 runtime error: index out of range [3] with length 1\nmain.main false 0\n"
	require.True(t, strings.HasPrefix(said, want), "%s", said)
	require.Contains(t, said, "panic: the end")
	require.Contains(t, said, "main.main()\n\t?:0", "a traceback names functions, not lines")
	require.Contains(t, run(t, node, joined(t, again)), "main.main true ", "joined alone it has its lines")
}

func joined(t *testing.T, p *Program) []byte {
	module, err := p.Join()
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
