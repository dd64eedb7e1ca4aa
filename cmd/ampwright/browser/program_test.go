//go:build browser

package browser

import (
	"bufio"
	"context"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"ampwright/cmd/dev/chromium"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/server/garage"

	"github.com/stretchr/testify/require"
)

// A program is ampwright serving a garage with the demo in it, as a process of its
// own, by a clock that begins where the demo ends.
type program struct {
	t       *testing.T
	dir     string
	addr    string    // the same one after each start: a phone's storage belongs to it
	home    string    // address of the garage's pages, other at each start
	moment  time.Time // what its clock begins with at the next start
	began   time.Time
	serving *exec.Cmd
}

var built = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "ampwright-built-")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "ampwright")
	build := exec.Command("go", "build", "-trimpath", "-o", path, "ampwright/cmd/ampwright")
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	build.Stderr = os.Stderr
	return path, build.Run()
})

func TestMain(m *testing.M) {
	code := m.Run()
	if path, err := built(); err == nil {
		os.RemoveAll(filepath.Dir(path))
	}
	os.Exit(code)
}

func newProgram(t *testing.T) *program {
	p := &program{t: t, dir: filepath.Join(t.TempDir(), "garage"), addr: "127.0.0.1:0", moment: demo.End}
	g := p.open()
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	seals, err := demo.Seals(raws)
	require.NoError(t, err)
	_, err = g.Import(raws, seals...)
	require.NoError(t, err)
	require.NoError(t, g.Close())
	t.Cleanup(func() {
		if p.serving != nil {
			p.kill()
		}
	})
	return p
}

// open opens the garage while no server has it.
func (p *program) open() *garage.Garage {
	p.t.Helper()
	g, err := garage.Open(p.dir, garage.Config{Person: "builder", Device: "laptop", Now: func() time.Time { return p.moment }})
	require.NoError(p.t, err)
	return g
}

// wish writes something down while no server has the garage.
func wish(t *testing.T, g *garage.Garage, name string, pairs ...string) {
	t.Helper()
	values := map[string][]string{}
	for i := 0; i < len(pairs); i += 2 {
		values[pairs[i]] = append(values[pairs[i]], pairs[i+1])
	}
	_, err := g.Do(demo.Build, model.Wish{Name: name, Values: values}, "")
	require.NoError(t, err, "%s %q", name, pairs)
}

func (p *program) start() {
	p.t.Helper()
	path, err := built()
	require.NoError(p.t, err)
	p.serving = exec.Command(path, "--garage", p.dir, "serve", "--addr", p.addr, "--clock", p.moment.Format(time.RFC3339))
	p.serving.Stderr = os.Stderr
	out, err := p.serving.StdoutPipe()
	require.NoError(p.t, err)
	require.NoError(p.t, p.serving.Start())
	p.began = time.Now()
	in := bufio.NewReader(out)
	line, err := in.ReadString('\n') // comes when it listens
	require.NoError(p.t, err)
	go io.Copy(io.Discard, in)
	p.home = strings.TrimSpace(line)
	u, err := url.Parse(p.home)
	require.NoError(p.t, err)
	p.addr = u.Host
}

// kill ends the server at once, in the middle of whatever it does.
func (p *program) kill() {
	p.t.Helper()
	require.NoError(p.t, p.serving.Process.Kill())
	require.Error(p.t, p.serving.Wait())
	p.moment = p.moment.Add(time.Since(p.began)).Truncate(time.Second).Add(time.Second)
	p.serving = nil
}

// invite asks the server for an invitation.
func (p *program) invite() string {
	p.t.Helper()
	path, err := built()
	require.NoError(p.t, err)
	out, err := exec.Command(path, "--garage", p.dir, "invite").Output()
	require.NoError(p.t, err)
	return strings.TrimSpace(string(out))
}

// A window is a running Chromium with a profile that outlives it.
type window struct {
	t       *testing.T
	ctx     context.Context
	cancel  context.CancelFunc
	profile string
	browser *chromium.Browser
}

func newWindow(t *testing.T) *window {
	dir, err := os.MkdirTemp("", "ampwright-window-")
	require.NoError(t, err)
	w := &window{t: t, profile: dir}
	w.start()
	t.Cleanup(func() {
		w.browser.Kill()
		w.cancel()
		os.RemoveAll(dir)
	})
	return w
}

func (w *window) start() {
	w.t.Helper()
	path, err := chromium.Path()
	require.NoError(w.t, err)
	if w.cancel != nil {
		w.cancel()
	}
	w.ctx, w.cancel = context.WithTimeout(context.Background(), 9*time.Minute)
	w.browser, err = chromium.Start(path, w.profile)
	require.NoError(w.t, err)
}
