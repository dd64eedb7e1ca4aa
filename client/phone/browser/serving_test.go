//go:build browser

package browser

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"crypto/x509"
	"encoding/pem"
	"fmt"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"ampwright/server/pair"

	"github.com/stretchr/testify/require"
)

// program compiles ampwright, once for all tests.
var program = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "ampwright-program-")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "ampwright")
	out, err := exec.Command("go", "build", "-o", path, "ampwright/cmd/ampwright").CombinedOutput()
	if err != nil {
		err = fmt.Errorf("%w\n%s", err, out)
	}
	return path, err
})

var built atomic.Bool // the program was asked for

func TestMain(m *testing.M) {
	code := m.Run()
	if built.Load() {
		path, _ := program()
		os.RemoveAll(filepath.Dir(path))
	}
	os.Exit(code)
}

// A serving is ampwright serve itself, on the demo, and the screen of the laptop
// that it runs on.
type serving struct {
	t       *testing.T
	dir     string
	program string
	cmd     *exec.Cmd
	talk    *bytes.Buffer // what it says beside its address
	home    string
	screen  *tab
	name    string // garage-k3x7q2.local
	origin  string // https, with the port
	setup   string // the page on plain http
}

func newServing(t *testing.T) *serving {
	path, err := program()
	built.Store(true)
	require.NoError(t, err)
	s := &serving{t: t, dir: filepath.Join(t.TempDir(), "garage"), program: path}
	s.run("demo", s.dir)
	s.ownPort()
	s.start("--phone")
	t.Cleanup(s.stop)
	laptop := newPhone(t)
	page, err := laptop.browser.Open(laptop.ctx, s.home+"pair", nil)
	require.NoError(t, err)
	s.screen = &tab{Page: page, p: laptop}
	s.setup, s.origin = s.pictures()
	at, err := url.Parse(s.origin)
	require.NoError(t, err)
	s.name, s.origin = at.Hostname(), at.Scheme+"://"+at.Host
	return s
}

// ownPort gives the garage a port that no other test takes while it is stopped.
func (s *serving) ownPort() {
	l, err := net.Listen("tcp4", ":0")
	require.NoError(s.t, err)
	a, err := pair.NewAuthority("", false, time.Now())
	require.NoError(s.t, err)
	a.Port = l.Addr().(*net.TCPAddr).Port
	require.NoError(s.t, a.Write(s.dir))
	require.NoError(s.t, l.Close())
}

// run runs a command on the garage and returns what it writes.
func (s *serving) run(args ...string) string {
	s.t.Helper()
	out, err := exec.Command(s.program, args...).Output()
	require.NoError(s.t, err, args)
	return string(out)
}

func (s *serving) start(flags ...string) {
	s.t.Helper()
	s.talk = new(bytes.Buffer)
	s.cmd = exec.Command(s.program, append([]string{"serve", "--garage", s.dir, "--addr", "127.0.0.1:0"}, flags...)...)
	s.cmd.Stderr = s.talk
	out, err := s.cmd.StdoutPipe()
	require.NoError(s.t, err)
	require.NoError(s.t, s.cmd.Start())
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(s.t, err, "it did not start: %s", s.talk)
	s.home = strings.TrimSpace(line)
}

func (s *serving) stop() {
	if s.cmd == nil {
		return
	}
	s.cmd.Process.Signal(os.Interrupt)
	s.cmd.Wait() // its code is that of an interrupt
	s.cmd = nil
}

// pictures reads the two QR codes that are on the laptop's screen, once there are
// two.
func (s *serving) pictures() (setup, pair string) {
	s.t.Helper()
	s.screen.wait(`document.querySelectorAll("svg.code").length === 2`)
	var svgs []string
	s.screen.eval(`[...document.querySelectorAll("svg.code")].map(e => e.outerHTML)`, &svgs)
	return readQR(s.t, svgs[0]), readQR(s.t, svgs[1])
}

// press presses a button of the laptop's page.
func (s *serving) press(button string) {
	s.t.Helper()
	s.screen.wait(fmt.Sprintf(`!!document.querySelector("button[value=%s]")`, button))
	s.screen.eval(fmt.Sprintf(`document.querySelector("button[value=%s]").click()`, button), nil)
}

// logbook is the garage's logbook in words.
func (s *serving) logbook() string { return s.run("log", "--garage", s.dir, "-n", "0") }

// newHand returns a phone to pair: a browser that finds the garage's name at this
// machine, with a home of its own, in which what it trusts is kept.
func (s *serving) newHand(trusts ...*x509.Certificate) *phone {
	s.t.Helper()
	home := s.t.TempDir()
	db := filepath.Join(home, ".pki", "nssdb")
	require.NoError(s.t, os.MkdirAll(db, 0o700))
	certutil := func(args ...string) {
		out, err := exec.Command("certutil", append([]string{"-d", "sql:" + db}, args...)...).CombinedOutput()
		require.NoError(s.t, err, "certutil (package libnss3-tools): %s", out)
	}
	certutil("-N", "--empty-password")
	for _, c := range trusts {
		file := filepath.Join(home, "authority.crt")
		require.NoError(s.t, os.WriteFile(file, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: c.Raw}), 0o600))
		certutil("-A", "-n", "garage", "-t", "C,,", "-i", file)
	}
	s.t.Setenv("HOME", home)
	return newPhone(s.t, "--host-resolver-rules=MAP "+s.name+" 127.0.0.1")
}

// visit opens an address, whatever page comes of it.
func (p *phone) visit(address string) (*tab, error) {
	page, err := p.browser.Open(p.ctx, "about:blank", nil)
	require.NoError(p.t, err)
	p.pages = append(p.pages, page)
	return &tab{Page: page, p: p}, page.Go(p.ctx, address)
}

// fetchRoot loads the authority's certificate from the page on plain http, and
// compares it with the laptop's screen as a person does.
func (s *serving) fetchRoot(page *tab) *x509.Certificate {
	s.t.Helper()
	var der []byte
	page.eval(`(async () => {
		const r = await fetch(document.querySelector("a[download]").href);
		return btoa(String.fromCharCode(...new Uint8Array(await r.arrayBuffer())));
	})()`, &der)
	root, err := x509.ParseCertificate(der)
	require.NoError(s.t, err)
	sum := sha256.Sum256(root.Raw)
	hex := regexp.MustCompile(`[^0-9a-f]`).ReplaceAllString(strings.ToLower(s.screen.text(`document.querySelector(".hash").innerText`)), "")
	require.Equal(s.t, fmt.Sprintf("%x", sum), hex, "the fingerprint on the screen")
	return root
}

// pair goes from the page that the second picture leads to until the program is
// there: names are typed, six digits compared, the laptop says yes.
func (s *serving) pair(tab *tab, name, person string) {
	s.t.Helper()
	tab.wait(`!document.getElementById("ask").hidden`)
	require.Equal(s.t, "true", tab.text(`String(document.getElementById("typed").hidden)`), "the code is in the picture")
	tab.eval(fmt.Sprintf(`(() => {
		const f = document.getElementById("ask");
		f.elements.name.value = %q;
		f.elements.person.value = %q;
		f.requestSubmit();
	})()`, name, person), nil)
	tab.wait(`/^\d{6}$/.test(document.getElementById("digits").textContent)`)
	digits := tab.text(`document.getElementById("digits").textContent`)
	s.screen.wait(`/^\d{6}$/.test(document.querySelector(".digits")?.innerText.trim())`)
	require.Equal(s.t, digits, s.screen.text(`document.querySelector(".digits").innerText.trim()`))
	require.Contains(s.t, s.screen.text("main()"), "calls itself "+name)
	s.press("same")
	tab.wait(`location.pathname.startsWith("/phone/") && started()`)
	require.Equal(s.t, "", tab.text("location.hash"), "the invitation is out of the address")
}

// certutilThere says what is missing where it is.
func certutilThere(t *testing.T) {
	_, err := exec.LookPath("certutil")
	require.NoError(t, err, "certutil puts the garage's certificate where Chromium looks: install libnss3-tools")
}

func within(t *testing.T, d time.Duration, what string, done func() bool) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), d)
	defer cancel()
	for !done() {
		select {
		case <-time.After(50 * time.Millisecond):
		case <-ctx.Done():
			require.Fail(t, "in vain: "+what)
		}
	}
}
