package bolt

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// What a child process is told.
const (
	childDir  = "AMPWRIGHT_TEST_CHILD_DIR"  // the folder to append to
	childMode = "AMPWRIGHT_TEST_CHILD_MODE" // one of the following
)

const (
	untilKilled = "until killed"
	boastful    = "until killed, printing first" // the wrong way round
	twenty      = "twenty appends"
)

// TestChild is the other process of the tests below, and does nothing by itself.
func TestChild(t *testing.T) {
	dir, mode := os.Getenv(childDir), os.Getenv(childMode)
	if dir == "" {
		return
	}
	s := open(t, dir)
	l := model.NewLogbook()
	require.NoError(t, s.Runs(l.AddRun))
	pen, err := l.Pen(uuid.UUID{1})
	require.NoError(t, err)
	for n := 0; mode != twenty || n < 20; n++ {
		drafts := make([]model.Draft, 1+n%4)
		for i := range drafts {
			drafts[i].Body = &model.Note{Text: fmt.Sprintf("batch %d, note %d", n, i)}
		}
		raws, err := pen.Write(drafts, model.StampAt(time.Now()))
		require.NoError(t, err)
		if mode == boastful {
			acknowledge(raws)
		}
		require.NoError(t, s.Append(raws))
		if mode != boastful {
			acknowledge(raws)
		}
	}
	require.NoError(t, s.Close())
}

// acknowledge prints the names of entries, each batch in one write.
func acknowledge(raws [][]byte) {
	var b strings.Builder
	for _, raw := range raws {
		fmt.Fprintln(&b, model.IDOf(raw))
	}
	fmt.Print(b.String())
}

func child(dir, mode string, before ...string) *exec.Cmd {
	args := append(before, os.Args[0], "-test.run=^TestChild$")
	cmd := exec.Command(args[0], args[1:]...)
	cmd.Env = append(os.Environ(), childDir+"="+dir, childMode+"="+mode)
	return cmd
}

// kill lets a child append and kills it after 30 to 150 ms, round after round;
// f gets the names it had printed up to then in all rounds, and what is there.
func kill(t *testing.T, mode string, rounds int, f func(round int, printed map[model.ID]bool, there map[model.ID]string) (more bool)) {
	dir := t.TempDir()
	r := rand.New(rand.NewPCG(1, 2))
	printed := map[model.ID]bool{}
	for round := range rounds {
		child := child(dir, mode)
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
			printed[id] = true
			fresh++
		}
		require.Error(t, child.Wait(), "round %d: the child was not killed", round)
		require.Positive(t, fresh, "round %d", round)

		h, err := ReadHolder(dir)
		require.NoError(t, err)
		require.Equal(t, child.Process.Pid, h.PID, "the note of the killed is still there")
		requireWhole(t, dir)
		s := open(t, dir)
		there := names(t, s)
		require.NoError(t, s.Close())
		if !f(round, printed, there) {
			return
		}
	}
}

// TestKilled kills a program that appends, again and again: what it had
// acknowledged must be there. (This cannot see a missing fsync, only a missing
// commit: the system keeps what it was given. See TestFlushes.)
func TestKilled(t *testing.T) {
	t.Parallel()
	n := 0
	kill(t, untilKilled, 60, func(round int, printed map[model.ID]bool, there map[model.ID]string) bool {
		for id := range printed {
			require.NotEmpty(t, there[id], "round %d: entry %s is lost", round, id)
		}
		n = len(printed)
		return true
	})
	t.Logf("%d entries were acknowledged and are there", n)
}

// TestKilledControl does the same to a program that acknowledges before it
// stores: the loop must see that.
func TestKilledControl(t *testing.T) {
	t.Parallel()
	lost, rounds := 0, 0
	kill(t, boastful, 60, func(_ int, printed map[model.ID]bool, there map[model.ID]string) bool {
		rounds++
		for id := range printed {
			if there[id] == "" {
				lost++
			}
		}
		return lost == 0
	})
	require.Positive(t, lost, "in %d rounds no entry that was acknowledged too early was lost", rounds)
	t.Logf("%d entries that were acknowledged too early were lost in %d rounds", lost, rounds)
}

var (
	flushed = regexp.MustCompile(`\b(fdatasync|fsync)\b.* = 0$`)
	said    = regexp.MustCompile(`\bwrite\(1, "[0-9a-f]{32}`)
)

// TestFlushes counts what the system is asked to put on the disk: before every
// acknowledgement two flushes, the pages and then the meta page.
func TestFlushes(t *testing.T) {
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Log("not run: there is no strace here")
		return
	}
	if err := exec.Command(strace, "-f", "-o", os.DevNull, os.Args[0], "-test.list=^$").Run(); err != nil {
		t.Logf("not run: strace may not trace here: %v", err)
		return
	}
	trace := filepath.Join(t.TempDir(), "trace")
	out, err := child(t.TempDir(), twenty, strace, "-f", "-e", "trace=fdatasync,fsync,write", "-o", trace).CombinedOutput()
	require.NoError(t, err, string(out))
	data, err := os.ReadFile(trace)
	require.NoError(t, err)
	acknowledged, flushes, total := 0, 0, 0
	for line := range strings.Lines(string(data)) {
		line = strings.TrimSpace(line)
		switch {
		case flushed.MatchString(line):
			flushes++
		case said.MatchString(line):
			acknowledged++
			require.GreaterOrEqual(t, flushes, 2, "acknowledgement %d", acknowledged)
			if acknowledged > 1 { // the first has those of the opening too
				total += flushes
			}
			flushes = 0
		}
	}
	require.Equal(t, 20, acknowledged)
	t.Logf("%d flushes for 19 acknowledgements", total)
}
