package bolt

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

const killedDir = "AMPWRIGHT_TEST_KILLED_DIR" // set in the child

// TestKilled kills a program that appends, again and again: what it had
// acknowledged must be there. (This cannot see a missing fsync, only a missing
// commit: the system keeps what it was given.)
func TestKilled(t *testing.T) {
	if dir := os.Getenv(killedDir); dir != "" {
		appendUntilKilled(t, dir)
		return
	}
	dir := t.TempDir()
	r := rand.New(rand.NewPCG(1, 2))
	acknowledged := map[model.ID]bool{}
	for round := range 10 {
		child := exec.Command(os.Args[0], "-test.run=^TestKilled$")
		child.Env = append(os.Environ(), killedDir+"="+dir)
		out, err := child.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, child.Start())
		lines := bufio.NewScanner(out)
		require.True(t, lines.Scan(), "round %d: the child said nothing", round)
		time.AfterFunc(time.Duration(30+r.IntN(120))*time.Millisecond, func() { child.Process.Kill() })
		fresh := 0
		for ok := true; ok; ok = lines.Scan() {
			id, err := model.ParseID(lines.Text())
			if err != nil {
				break // the last line may be cut
			}
			acknowledged[id] = true
			fresh++
		}
		require.Error(t, child.Wait(), "round %d: the child was not killed", round)
		require.Positive(t, fresh, "round %d", round)

		h, err := ReadHolder(dir)
		require.NoError(t, err)
		require.Equal(t, child.Process.Pid, h.PID, "the note of the killed is still there")
		requireWhole(t, dir)
		s := open(t, dir)
		got := names(t, s)
		for id := range acknowledged {
			require.NotEmpty(t, got[id], "round %d: entry %s is lost", round, id)
		}
		require.NoError(t, s.Close())
	}
	t.Logf("%d entries were acknowledged and are there", len(acknowledged))
}

// appendUntilKilled appends a few entries at a time and prints their names once
// they are stored.
func appendUntilKilled(t *testing.T, dir string) {
	s := open(t, dir)
	l := model.NewLogbook()
	require.NoError(t, s.Runs(l.AddRun))
	pen, err := l.Pen(uuid.UUID{1})
	require.NoError(t, err)
	for n := 0; ; n++ {
		drafts := make([]model.Draft, 1+n%4)
		for i := range drafts {
			drafts[i].Body = &model.Note{Text: fmt.Sprintf("batch %d, note %d", n, i)}
		}
		raws, err := pen.Write(drafts, model.StampAt(time.Now()))
		require.NoError(t, err)
		require.NoError(t, s.Append(raws))
		for _, raw := range raws {
			fmt.Println(model.IDOf(raw))
		}
	}
}
