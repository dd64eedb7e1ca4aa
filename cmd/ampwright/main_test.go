package main

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"
	"time"

	"ampwright/model/demo"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"
)

// clockKey names the environment variable that holds the clock of a script.
const clockKey = "SCRIPT_CLOCK"

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"ampwright": scripted, "relay": relay})
}

// scripted is main with the clock of the script.
func scripted() {
	ctx, stop := untilSignal()
	at, err := time.Parse(time.RFC3339, os.Getenv(clockKey))
	if err != nil {
		panic(err)
	}
	p := &program{in: os.Stdin, out: os.Stdout, err: os.Stderr, now: func() time.Time { return at }}
	code := p.run(ctx, os.Args[1:])
	stop()
	os.Exit(code)
}

// amp runs one command at the end of the demo and returns what it wrote.
func amp(t *testing.T, args ...string) (code int, out, talk string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	p := &program{in: strings.NewReader(""), out: &stdout, err: &stderr, now: func() time.Time { return demo.End }}
	code = p.run(t.Context(), args)
	return code, stdout.String(), stderr.String()
}

// answer runs a reading command and decodes its answer.
func answer[T any](t *testing.T, wantCode int, args ...string) (v T) {
	t.Helper()
	code, out, talk := amp(t, append(args, "--json")...)
	require.Equal(t, wantCode, code, talk)
	require.Empty(t, talk)
	require.NoError(t, json.Unmarshal([]byte(out), &v), out)
	return v
}

// heron makes the demo's garage and returns its folder.
func heron(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	code, _, talk := amp(t, "demo", dir)
	require.Equal(t, exitDone, code, talk)
	return dir
}
