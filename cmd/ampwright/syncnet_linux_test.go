package main

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// in returns a program in a network namespace.
func in(t *testing.T, space, program string, args ...string) *exec.Cmd {
	path, err := exec.LookPath(program)
	require.NoError(t, err)
	c := another(t)
	ip, err := exec.LookPath("ip")
	require.NoError(t, err)
	c.Path, c.Args = ip, append([]string{"ip", "netns", "exec", space, path}, args...)
	return c
}

// goOn starts a program in a namespace and waits for its first line.
func goOn(t *testing.T, c *exec.Cmd) (line string, end func(os.Signal)) {
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	t.Cleanup(func() { c.Process.Kill(); c.Wait() })
	line, err = bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	return strings.TrimSpace(line), func(s os.Signal) { c.Process.Signal(s); c.Wait() }
}

// wired makes two computers, as far as the kernel can tell, with a wire between
// them: 10.99.0.1 and 10.99.0.2. ok is false where that cannot be done.
func wired(t *testing.T, name string) (a, b string, ok bool) {
	a, b = fmt.Sprintf("amp%s%da", name, os.Getpid()), fmt.Sprintf("amp%s%db", name, os.Getpid())
	for _, line := range []string{
		"netns add " + a, "netns add " + b, "-n " + a + " link add wire type veth peer name wire netns " + b,
		"-n " + a + " addr add 10.99.0.1/24 dev wire", "-n " + b + " addr add 10.99.0.2/24 dev wire",
		"-n " + a + " link set wire up", "-n " + b + " link set wire up", "-n " + a + " link set lo up", "-n " + b + " link set lo up",
	} {
		if out, err := exec.Command("ip", strings.Fields(line)...).CombinedOutput(); err != nil {
			exec.Command("ip", "netns", "del", a).Run()
			exec.Command("ip", "netns", "del", b).Run()
			t.Logf("not run: this machine makes no network namespaces: ip %s: %v %s", line, err, out)
			return a, b, false
		}
	}
	t.Cleanup(func() {
		exec.Command("ip", "netns", "del", a).Run()
		exec.Command("ip", "netns", "del", b).Run()
	})
	return a, b, true
}

// Two laptops on one network, with nothing between them but its https: the one
// invites the other, which knows it again by its certificate, not by its address,
// and nobody else.
func TestSyncLaptops(t *testing.T) {
	a, b, ok := wired(t, "l")
	if !ok {
		return
	}
	dir, second := heron(t), t.TempDir()+"/second"
	_, end := goOn(t, in(t, a, "ampwright", "serve", "--garage", dir))
	run := func(stdin string, space string, args ...string) (code int, out, talk string) {
		c := in(t, space, "ampwright", args...)
		var stdout, stderr bytes.Buffer
		c.Stdin, c.Stdout, c.Stderr = strings.NewReader(stdin), &stdout, &stderr
		c.Run()
		return c.ProcessState.ExitCode(), stdout.String(), stderr.String()
	}
	const at = "wss://10.99.0.1:7342"
	code, _, talk := run("", b, "sync", at, "--garage", second, "--invitation")
	require.Equal(t, exitUsage, code, talk)
	code, plain, talk := run("", a, "invite", "--garage", dir)
	require.Equal(t, exitDone, code, talk)
	code, _, talk = run(plain, b, "sync", at, "--garage", second, "--invitation")
	require.Equal(t, exitFailed, code)
	require.Contains(t, talk, "connection refused", "nothing listens until somebody asks for it")

	code, invitation, talk := run("", a, "invite", "--network", "--garage", dir)
	require.Equal(t, exitDone, code, talk)
	require.Regexp(t, `^[A-Z2-7]{77}\n$`, invitation)
	require.Contains(t, talk, "there: ampwright sync "+at+" --invitation")
	code, _, talk = run(invitation[:26]+"\n", b, "sync", at, "--garage", second, "--invitation")
	require.Equal(t, exitFailed, code)
	require.Contains(t, talk, "certificate", "the secret alone does not say whom to trust")
	require.NoDirExists(t, second)
	code, out, talk := run(invitation, b, "sync", at, "--garage", second, "--invitation")
	require.Equal(t, exitDone, code, talk)
	require.Contains(t, out, "255 entries in, 1 out")
	noteIn(t, second, "said at the second bench")
	code, out, talk = run("", b, "sync", at, "--garage", second)
	require.Equal(t, exitDone, code, talk)
	require.Contains(t, out, "0 entries in, 1 out")

	// It is served again, by another address, and known again.
	end(os.Interrupt)
	ip := func(line string) {
		out, err := exec.Command("ip", strings.Fields(line)...).CombinedOutput()
		require.NoError(t, err, string(out))
	}
	ip("-n " + a + " addr del 10.99.0.1/24 dev wire")
	ip("-n " + a + " addr add 10.99.0.7/24 dev wire")
	_, end = goOn(t, in(t, a, "ampwright", "serve", "--garage", dir))
	noteIn(t, second, "said at the second bench again")
	code, out, talk = run("", b, "sync", "wss://10.99.0.7:7342", "--garage", second)
	require.Equal(t, exitDone, code, talk)
	require.Contains(t, out, "1 out")
	requireTurnedAway := func(want, why string, args ...string) {
		t.Helper()
		code, _, talk := run(want, b, append([]string{"sync"}, args...)...)
		require.Equal(t, exitFailed, code)
		require.Contains(t, talk, why)
	}
	requireTurnedAway(invitation, "shows no invitation that is open", "wss://10.99.0.7:7342", "--garage", t.TempDir()+"/third", "--invitation")
	other := heron(t) // another garage at that address is not taken for this one
	end(os.Interrupt)
	_, end = goOn(t, in(t, a, "ampwright", "serve", "--garage", other))
	code, _, talk = run("", a, "invite", "--network", "--garage", other)
	require.Equal(t, exitDone, code, talk)
	requireTurnedAway("", "certificate", "wss://10.99.0.7:7342", "--garage", second)
	code, _, talk = run("", a, "invite", "--network=false", "--garage", other)
	require.Equal(t, exitDone, code, talk)
	requireTurnedAway("", "connection refused", "wss://10.99.0.7:7342", "--garage", second)
	end(os.Interrupt)
	requireSameGarage(t, dir, second)
}

// A wire is unplugged, and one of the two computers gets another address.
func TestSyncAcrossComputers(t *testing.T) {
	a, b, ok := wired(t, "")
	if !ok {
		return
	}
	ip := func(line string) {
		out, err := exec.Command("ip", strings.Fields(line)...).CombinedOutput()
		require.NoError(t, err, string(out))
	}

	dir, phone := heron(t), t.TempDir()+"/phone"
	_, end := goOn(t, in(t, a, "ampwright", "serve", "--garage", dir)) // 127.0.0.1:7341 of a
	goOn(t, in(t, a, "relay", "0.0.0.0:7400", usualAddress))
	_, unplug := goOn(t, in(t, b, "relay", usualAddress, "10.99.0.1:7400")) // the same address, of b
	invitation, err := in(t, a, "ampwright", "invite", "--garage", dir).Output()
	require.NoError(t, err)
	exchange := func(stdin []byte, more ...string) (int, string) {
		c := in(t, b, "ampwright", append([]string{"sync", usualAddress, "--garage", phone}, more...)...)
		var talk bytes.Buffer
		c.Stdin, c.Stderr = bytes.NewReader(stdin), &talk
		c.Run()
		return c.ProcessState.ExitCode(), talk.String()
	}
	code, talk := exchange(invitation, "--invitation")
	require.Equal(t, exitDone, code, talk)

	ip("-n " + a + " link set wire down")
	noteIn(t, phone, "said with the wire unplugged")
	code, talk = exchange(nil)
	require.Equal(t, exitFailed, code, talk)
	ip("-n " + a + " link set wire up")
	for range 5 { // the kernel may take longer to find its neighbour again than the relay waits
		if code, talk = exchange(nil); code == exitDone {
			break
		}
	}
	require.Equal(t, exitDone, code, talk)

	ip("-n " + a + " addr del 10.99.0.1/24 dev wire")
	ip("-n " + a + " addr add 10.99.0.7/24 dev wire")
	noteIn(t, phone, "said before the new address was known")
	code, talk = exchange(nil)
	require.Equal(t, exitFailed, code, talk)
	unplug(os.Kill)
	goOn(t, in(t, b, "relay", usualAddress, "10.99.0.7:7400"))
	code, talk = exchange(nil)
	require.Equal(t, exitDone, code, talk)
	end(os.Interrupt)
	requireSameGarage(t, dir, phone)
}
