package main

import (
	"bufio"
	"encoding/json"
	"os"
	"testing"

	"ampwright/server/garage"

	"github.com/stretchr/testify/require"
)

// Both copies are served: the server of the one makes the exchange that a command
// beside it asks for, and the command says what came of it.
func TestSyncBesideServe(t *testing.T) {
	dir := heron(t)
	server := served(t, dir)
	phone := joined(t, dir, server.address)
	beside := served(t, phone)
	noteIn(t, dir, "said at the bench")
	noteIn(t, phone, "said in the yard")
	code, answer, talk := syncs(t, "", server.address, "--garage", phone)
	require.Equal(t, exitDone, code, talk)
	require.Equal(t, []int{1, 1}, []int{answer.In, answer.Out})
	require.Empty(t, talk)
	code, out, talk := amp(t, "sync", server.address, "--garage", phone)
	require.Equal(t, exitDone, code, talk)
	require.Regexp(t, `^exchanged with \S+ \([0-9a-f]{8}\): 0 entries in, 0 out, `, out)

	// What goes wrong there is said here, with its code.
	code, _, talk = amp(t, "sync", "127.0.0.1:1", "--garage", phone)
	require.Equal(t, exitFailed, code)
	require.Regexp(t, `^ampwright sync: connect to 127.0.0.1:1: .*connection refused\nhint: is ampwright serve running there\?\n$`, talk)
	code, _, talk = syncs(t, "AAAA\n", server.address, "--garage", phone, "--invitation", "--yes")
	require.Equal(t, exitUsage, code)
	require.Equal(t, "ampwright sync: invitation of 4 characters, want 26, or 77 with a garage on the local network\nhint: ampwright invite prints one, on the other side\n", talk)
	code, _, talk = syncs(t, "", server.address, "--garage", phone, "--invitation")
	require.Equal(t, exitFailed, code)
	require.Contains(t, talk, "this logbook holds 1 build already, and would become one with the other for good")

	// An invitation goes along.
	third := t.TempDir() + "/third"
	code, _, talk = amp(t, "start", "kart-chain", "Club kart", "--currency", "EUR", "--garage", third)
	require.Equal(t, exitDone, code, talk)
	alone := served(t, third)
	v, err := garage.Invite(dir)
	require.NoError(t, err)
	code, answer, talk = syncs(t, v.Text+"\n", server.address, "--garage", third, "--invitation", "--yes")
	require.Equal(t, exitDone, code, talk)
	require.Greater(t, answer.In, 255)
	alone.end(t, os.Interrupt, exitInterrupted)

	// It stays as long as the command does.
	stay := another(t, "sync", server.address, "--garage", phone, "--stay", "--json")
	said, err := stay.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, stay.Start())
	t.Cleanup(func() { stay.Process.Kill() })
	lines := bufio.NewScanner(said)
	next := func(event string) (j stayJSON) {
		t.Helper()
		for j.Event != event {
			require.True(t, lines.Scan(), "it has ended")
			require.NoError(t, json.Unmarshal(lines.Bytes(), &j))
		}
		return j
	}
	require.NotEmpty(t, next("linked").Device)
	noteIn(t, dir, "said at the bench again")
	require.Positive(t, next("came").In)
	require.NoError(t, stay.Process.Signal(os.Interrupt))
	stay.Wait()
	require.Equal(t, exitInterrupted, stay.ProcessState.ExitCode())

	// And ends in order when the server does.
	stay = another(t, "sync", server.address, "--garage", phone, "--stay", "--json")
	said, err = stay.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, stay.Start())
	t.Cleanup(func() { stay.Process.Kill() })
	lines = bufio.NewScanner(said)
	next("linked")
	beside.end(t, os.Interrupt, exitInterrupted)
	stay.Wait()
	require.Equal(t, exitInterrupted, stay.ProcessState.ExitCode())
	code, _, talk = syncs(t, "", server.address, "--garage", phone)
	require.Equal(t, exitDone, code, talk)
	server.end(t, os.Interrupt, exitInterrupted)
	requireSameGarage(t, dir, phone)
}
