package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/server/garage"
	"ampwright/server/socket/proxytest"

	"github.com/stretchr/testify/require"
)

// A process is a program under a test's control that goes on until it is ended.
type process struct {
	*exec.Cmd
	address string       // where it serves, if it does
	home    string       // address of its pages, key and all, without the slash at its end
	talk    bytes.Buffer // read it after Wait
}

// served starts a server of the garage in dir, as a process.
func served(t *testing.T, dir string) *process {
	t.Helper()
	p := &process{Cmd: another(t, "serve", "--garage", dir, "--addr", "127.0.0.1:0")}
	p.Stderr = &p.talk
	out, err := p.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, p.Start())
	t.Cleanup(func() { p.Process.Kill(); p.Wait() })
	line, err := bufio.NewReader(out).ReadString('\n') // comes when it listens
	require.NoError(t, err)
	u, err := url.Parse(strings.TrimSpace(line))
	require.NoError(t, err)
	p.address, p.home = u.Host, strings.TrimSuffix(u.String(), "/")
	return p
}

func (p *process) end(t *testing.T, signal os.Signal, want int) {
	t.Helper()
	require.NoError(t, p.Process.Signal(signal))
	p.Wait()
	require.Equal(t, want, p.ProcessState.ExitCode(), p.talk.String())
}

// syncs runs one exchange as a process.
func syncs(t *testing.T, in string, args ...string) (code int, answer syncJSON, talk string) {
	t.Helper()
	c := another(t, append([]string{"sync", "--json"}, args...)...)
	var out, errs bytes.Buffer
	c.Stdin, c.Stdout, c.Stderr = strings.NewReader(in), &out, &errs
	err := c.Run()
	if c.ProcessState == nil {
		t.Fatal(err)
	}
	if code = c.ProcessState.ExitCode(); code == exitDone {
		require.NoError(t, json.Unmarshal(out.Bytes(), &answer), out.String())
	}
	return code, answer, errs.String()
}

// held returns what the garage in dir holds; nobody may have it open.
func held(t *testing.T, dir string) (v model.Vector, digest uint64) {
	t.Helper()
	g, err := garage.Open(dir, garage.Config{})
	require.NoError(t, err)
	require.NoError(t, g.Read(func(l *model.Logbook) error { v, digest = l.Vector(), l.Digest(); return nil }))
	require.NoError(t, g.Close())
	return v, digest
}

func requireSameGarage(t *testing.T, a, b string) {
	t.Helper()
	av, ad := held(t, a)
	bv, bd := held(t, b)
	require.Equal(t, av, bv)
	require.Equal(t, ad, bd)
}

// joined makes a second copy of a served garage through address.
func joined(t *testing.T, served, address string) string {
	t.Helper()
	dir := t.TempDir() + "/joined"
	v, err := garage.Invite(served)
	require.NoError(t, err)
	code, answer, talk := syncs(t, v.Text+"\n", address, "--garage", dir, "--invitation")
	require.Equal(t, exitDone, code, talk)
	require.GreaterOrEqual(t, answer.In, 255) // the demo, the server's own first entry and the meeting
	return dir
}

// noteIn writes a note in a garage, served or not.
func noteIn(t *testing.T, dir, text string) {
	t.Helper()
	code, _, talk := amp(t, "note", text, "--garage", dir)
	require.Equal(t, exitDone, code, talk)
}

// Two processes exchange what both write, over connections that are slow and cut
// wherever it hurts; nothing is lost and both end with the same.
func TestSyncOverBadConnections(t *testing.T) {
	dir := heron(t)
	server := served(t, dir)
	var faults proxytest.Faults
	proxy := proxytest.Start(t, server.address, func(int) proxytest.Faults { return faults })
	faults = proxytest.Faults{Latency: 5 * time.Millisecond}
	phone := joined(t, dir, proxy.Address)
	broken := 0
	for i, cut := range []int64{1, 150, 400, 600, 700, 800, 900, 1000, 1100, 1200, 1300, 1400, 1600, 2000} {
		faults = proxytest.Faults{Cut: cut, Latency: time.Duration(i%3) * time.Millisecond}
		noteIn(t, dir, fmt.Sprint("said at the bench ", i))
		noteIn(t, phone, fmt.Sprint("said in the yard ", i))
		code, _, talk := syncs(t, "", proxy.Address, "--garage", phone)
		if code != exitDone {
			require.Equal(t, exitFailed, code, talk)
			broken++
		}
	}
	require.Greater(t, broken, 5)
	faults = proxytest.Faults{Rate: 200_000}
	code, _, talk := syncs(t, "", proxy.Address, "--garage", phone)
	require.Equal(t, exitDone, code, talk)
	server.end(t, os.Interrupt, exitInterrupted)
	requireSameGarage(t, dir, phone)
	t.Logf("%d of %d connections were cut", proxy.Hurt(), proxy.Made())
}

// A side that hears nothing any more can still be interrupted, and the server
// serves others meanwhile.
func TestSyncStalled(t *testing.T) {
	dir := heron(t)
	server := served(t, dir)
	phone := joined(t, dir, server.address)
	proxy := proxytest.Start(t, server.address, func(int) proxytest.Faults { return proxytest.Faults{Stall: 500} })
	c := another(t, "sync", proxy.Address, "--garage", phone)
	require.NoError(t, c.Start())
	require.Eventually(t, func() bool { return proxy.Hurt() == 1 }, 10*time.Second, time.Millisecond)
	other := joined(t, dir, server.address)
	require.NoError(t, c.Process.Signal(os.Interrupt))
	c.Wait()
	require.Equal(t, exitInterrupted, c.ProcessState.ExitCode())
	code, _, talk := syncs(t, "", server.address, "--garage", phone)
	require.Equal(t, exitDone, code, talk)
	code, _, talk = syncs(t, "", server.address, "--garage", other)
	require.Equal(t, exitDone, code, talk)
	server.end(t, os.Interrupt, exitInterrupted)
	requireSameGarage(t, dir, other)
}

// --stay connects again when it is cut, says so, and brings what is written on the
// other side.
func TestSyncStay(t *testing.T) {
	dir := heron(t)
	server := served(t, dir)
	proxy := proxytest.Start(t, server.address, func(int) proxytest.Faults { return proxytest.Faults{} })
	phone := joined(t, dir, proxy.Address)
	stay := another(t, "sync", proxy.Address, "--garage", phone, "--stay", "--json")
	out, err := stay.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, stay.Start())
	t.Cleanup(func() { stay.Process.Kill() })
	said := bufio.NewScanner(out)
	next := func(event string) (j stayJSON) {
		t.Helper()
		require.True(t, said.Scan(), "it has ended")
		require.NoError(t, json.Unmarshal(said.Bytes(), &j))
		require.Equal(t, event, j.Event, j.Why)
		return j
	}
	for i := range 4 {
		require.NotEmpty(t, next("linked").Device)
		noteIn(t, dir, fmt.Sprint("said at the bench ", i)) // goes over without being asked for
		require.Equal(t, 1, next("came").In)
		if i < 3 {
			proxy.CutAll()
			require.Contains(t, next("parted").Why, "the connection broke")
		}
	}
	require.NoError(t, stay.Process.Signal(os.Interrupt))
	stay.Wait()
	require.Equal(t, exitInterrupted, stay.ProcessState.ExitCode())
	server.end(t, os.Interrupt, exitInterrupted)
	requireSameGarage(t, dir, phone)
}
