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

// Two computers, as far as the kernel can tell, on a wire between them that is
// unplugged, and one of which gets another address.
func TestSyncAcrossComputers(t *testing.T) {
	a, b := fmt.Sprintf("amp%da", os.Getpid()), fmt.Sprintf("amp%db", os.Getpid())
	for _, line := range []string{
		"netns add " + a, "netns add " + b, "-n " + a + " link add wire type veth peer name wire netns " + b,
		"-n " + a + " addr add 10.99.0.1/24 dev wire", "-n " + b + " addr add 10.99.0.2/24 dev wire",
		"-n " + a + " link set wire up", "-n " + b + " link set wire up", "-n " + a + " link set lo up", "-n " + b + " link set lo up",
	} {
		if out, err := exec.Command("ip", strings.Fields(line)...).CombinedOutput(); err != nil {
			exec.Command("ip", "netns", "del", a).Run()
			exec.Command("ip", "netns", "del", b).Run()
			t.Logf("not run: this machine makes no network namespaces: ip %s: %v %s", line, err, out)
			return
		}
	}
	t.Cleanup(func() {
		exec.Command("ip", "netns", "del", a).Run()
		exec.Command("ip", "netns", "del", b).Run()
	})
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
	code, talk = exchange(nil)
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
