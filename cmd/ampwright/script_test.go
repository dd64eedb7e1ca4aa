package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"ampwright/model"
	"ampwright/server/bolt"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestScripts plays console dialogues. Beside the usual commands they have
//
//	exit CODE PROGRAM ARGS...  run it and require the exit code
//	keep NAME                  put what the last command answered into $NAME
//	serving ARGS...            start ampwright serve, wait until it listens; $ADDRESS, $HOST
//	interrupt CODE             interrupt it and require the exit code
//	terminate CODE             the same, told by the system
//	get URL                    fetch a page as a browser does; with ! it must be refused
//	hold FOLDER                keep the logbook open here, as a program that serves nobody
//	same FOLDER FOLDER         require that two logbooks hold the same entries in the same standing
//	forge FILE WORD            flip a bit of the first word like it in the bytes of an exported entry
//	picture FILE WIDTH HEIGHT  write a JPEG
//	damage FILE                flip the bits of a byte in the middle of a file
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(env *testscript.Env) error {
			env.Setenv(clockKey, "2026-11-21T10:00:00+01:00")
			env.Values[serverKey{}] = new(server)
			env.Setenv("ESCAPE", "red \x1b[31mpaint")
			env.Setenv(placeKey, filepath.Join(env.WorkDir, "garage"))
			return nil
		},
		RequireUniqueNames: true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exit": exits, "keep": keepAnswer, "serving": serving, "interrupt": ending(os.Interrupt), "terminate": ending(syscall.SIGTERM),
			"get": get, "hold": hold, "same": same, "damage": damage, "forge": forge, "picture": pictureFile,
		},
	})
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exit CODE PROGRAM ARGS...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

func pictureFile(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: picture FILE WIDTH HEIGHT")
	}
	w, err := strconv.Atoi(args[1])
	ts.Check(err)
	h, err := strconv.Atoi(args[2])
	ts.Check(err)
	f, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(jpeg.Encode(f, image.NewGray(image.Rect(0, 0, w, h)), nil))
	ts.Check(f.Close())
}

func keepAnswer(ts *testscript.TestScript, _ bool, args []string) {
	ts.Setenv(args[0], strings.TrimSpace(ts.ReadFile("stdout")))
}

// A server is a process under a script's control.
type server struct {
	cmd  *exec.Cmd
	rest chan string // what it wrote after the first line
}

type serverKey struct{} // of the script's server among its values

func serving(ts *testscript.TestScript, _ bool, args []string) {
	program, err := lookIn(ts.Getenv("PATH"), "ampwright")
	ts.Check(err)
	cmd := exec.Command(program, append([]string{"serve"}, args...)...)
	cmd.Dir = ts.MkAbs(".")
	for _, key := range []string{"PATH", "HOME", clockKey, placeKey} {
		cmd.Env = append(cmd.Env, key+"="+ts.Getenv(key))
	}
	out, err := cmd.StdoutPipe()
	ts.Check(err)
	var talk bytes.Buffer
	cmd.Stderr = &talk
	ts.Check(cmd.Start())
	s := ts.Value(serverKey{}).(*server)
	*s = server{cmd, make(chan string, 1)}
	ts.Defer(func() { cmd.Process.Kill() })
	in := bufio.NewReader(out)
	line, err := in.ReadString('\n') // comes when it listens
	if err != nil {
		cmd.Wait()
		ts.Fatalf("serve ended: %v\n%s", err, talk.String())
	}
	go func() {
		rest, _ := io.ReadAll(in)
		s.rest <- string(rest)
	}()
	ts.Setenv("ADDRESS", strings.TrimSpace(line))
	u, err := url.Parse(strings.TrimSpace(line))
	ts.Check(err)
	ts.Setenv("HOST", u.Host)
}

// ending returns a command that sends the server a signal and waits for its end.
func ending(signal os.Signal) func(*testscript.TestScript, bool, []string) {
	return func(ts *testscript.TestScript, _ bool, args []string) {
		s := ts.Value(serverKey{}).(*server)
		ts.Check(s.cmd.Process.Signal(signal))
		<-s.rest
		err := s.cmd.Wait()
		var exit *exec.ExitError
		if err != nil && !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		if got := strconv.Itoa(s.cmd.ProcessState.ExitCode()); got != args[0] {
			ts.Fatalf("exit code %s, want %s", got, args[0])
		}
	}
}

func get(ts *testscript.TestScript, neg bool, args []string) {
	resp, err := http.Get(args[0])
	ts.Check(err)
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	ts.Check(err)
	if (resp.StatusCode != http.StatusOK) != neg {
		ts.Fatalf("%s: %s", resp.Status, body)
	}
	fmt.Fprintf(ts.Stdout(), "%s", body)
}

func lookIn(path, program string) (string, error) {
	for _, dir := range filepath.SplitList(path) {
		name := filepath.Join(dir, program)
		if info, err := os.Stat(name); err == nil && !info.IsDir() {
			return name, nil
		}
	}
	return "", errors.New(program + " is not on the path")
}

func hold(ts *testscript.TestScript, _ bool, args []string) {
	s, err := bolt.Open(ts.MkAbs(args[0]), bolt.Config{Program: "another program"})
	ts.Check(err)
	ts.Defer(func() { s.Close() })
}

func same(ts *testscript.TestScript, neg bool, args []string) {
	a, b := digest(ts, args[0]), digest(ts, args[1])
	if (a == b) == neg {
		ts.Fatalf("%s has digest %x, %s has %x", args[0], a, args[1], b)
	}
}

func digest(ts *testscript.TestScript, dir string) uint64 {
	s, err := bolt.Open(ts.MkAbs(dir), bolt.Config{})
	ts.Check(err)
	defer s.Close()
	l := model.NewLogbook()
	ts.Check(s.Runs(l.AddRun))
	return l.Digest()
}

func damage(ts *testscript.TestScript, _ bool, args []string) {
	path := ts.MkAbs(args[0])
	data, err := os.ReadFile(path)
	ts.Check(err)
	at := strings.Index(string(data), "phase W nicked") // in the middle of an entry
	if at < 0 {
		ts.Fatalf("no place to damage")
	}
	data[at] ^= 0xff
	ts.Check(os.WriteFile(path, data, 0o600))
}
