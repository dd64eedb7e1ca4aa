package bring_test

import (
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/bring"

	"github.com/stretchr/testify/require"
)

// A list of things to do is kept up: brought in again it adds only the hours that
// came since, and the finish; on two devices that then meet it makes no doubles,
// and it can be struck out whole.
func TestTodoKeptUp(t *testing.T) {
	first := []byte("To do,Area,Done,Est,Hours,Date\nTurn a spacer,brk,no,2,1,2026-09-01\nPaint it,brk,no,1,,\nbrk-02,brk,yes,,,2026-09-03\n")
	later := []byte("To do,Area,Done,Est,Hours,Date\nTurn a spacer,brk,yes,2,12.5,2026-09-08\nPaint it,brk,no,1,,\nbrk-02,brk,yes,,,2026-09-03\nClean up,brk,no,1,,\n")
	a := start(t)
	b := open(t, 2, time.Date(2026, 11, 21, 9, 0, 0, 0, zone))
	b.id = a.id
	meet(t, a, b)
	tasks := len(a.build(t).Tasks)
	state := func(g *garage) (added int, minutes int64, spacer *model.Task) {
		build := g.build(t)
		for _, task := range build.Tasks {
			if task.Title == "Turn a spacer" {
				spacer = task
			}
		}
		return len(build.Tasks) - tasks, build.Hours.Logged, spacer
	}

	require.NoError(t, a.bringAll(t, "list.csv", first))
	added, minutes, spacer := state(a)
	require.Equal(t, 2, added)
	require.EqualValues(t, 60, minutes)
	require.Equal(t, model.Hours3{Low: 2, Likely: 2, High: 2}, spacer.Estimate)
	require.Equal(t, model.Finished, a.build(t).Task("brk-02").State)
	require.ErrorContains(t, a.bringAll(t, "list.csv", first), "nothing is new")

	require.NoError(t, b.bringAll(t, "list.csv", first), "before they meet")
	meet(t, a, b)
	for _, g := range []*garage{a, b} {
		added, minutes, _ = state(g)
		require.Equal(t, 2, added)
		require.EqualValues(t, 60, minutes)
		require.False(t, g.build(t).Task("brk-02").StateField.Clash())
	}

	require.NoError(t, b.bringAll(t, "list.csv", later))
	added, minutes, spacer = state(b)
	require.Equal(t, 3, added)
	require.EqualValues(t, 750, minutes, "11.5 h came since")
	require.Equal(t, model.Finished, spacer.State)
	require.ErrorContains(t, b.bringAll(t, "list.csv", later), "nothing is new")

	strike := func(g *garage) {
		_, err := g.Do(g.id, model.Wish{Name: "strike", Values: map[string][]string{"entry": {g.build(t).Brought[0].ID.String()}, "reason": {"the wrong list"}}}, "")
		require.NoError(t, err)
	}
	meet(t, a, b)
	for len(a.build(t).Brought) > 0 {
		n := len(a.build(t).Brought)
		strike(a)
		require.Less(t, len(a.build(t).Brought), n)
	}
	meet(t, a, b)
	for _, g := range []*garage{a, b} {
		added, minutes, _ = state(g)
		require.Zero(t, added)
		require.Zero(t, minutes)
		require.NotEqual(t, model.Finished, g.build(t).Task("brk-02").State, "also as the other device said it")
	}
	require.NoError(t, a.bringAll(t, "list.csv", later), "what was struck out can be brought in again")
	_, minutes, _ = state(a)
	require.EqualValues(t, 750, minutes)
}

// One act, struck out on the device that wrote it, also takes back what another
// device wrote of the same file.
func TestTodoStruckOnce(t *testing.T) {
	data := []byte("To do,Area,Done\nTurn a spacer,brk,yes\nbrk-02,brk,yes\n")
	a := start(t)
	b := open(t, 2, time.Date(2026, 11, 20, 20, 0, 0, 0, zone))
	b.id = a.id
	meet(t, a, b)
	require.NoError(t, a.bringAll(t, "list.csv", data))
	require.NoError(t, b.bringAll(t, "list.csv", data))
	meet(t, a, b)
	_, err := a.Do(a.id, model.Wish{Name: "strike", Values: map[string][]string{"entry": {a.build(t).Brought[0].ID.String()}, "reason": {"wrong"}}}, "")
	require.NoError(t, err)
	build := a.build(t)
	require.NotEqual(t, model.Finished, build.Task("brk-02").State)
	for _, task := range build.Tasks {
		require.NotEqual(t, "Turn a spacer", task.Title)
	}
}

// A task that was taken up again stays open, whatever the old list says.
func TestTodoTakenUp(t *testing.T) {
	data := []byte("To do,Area,Done\nbrk-02,brk,yes\n")
	g := start(t)
	require.NoError(t, g.bringAll(t, "list.csv", data))
	_, err := g.Do(g.id, model.Wish{Name: "reopen", Values: map[string][]string{"task": {"brk-02"}}}, "")
	require.NoError(t, err)
	require.ErrorContains(t, g.bringAll(t, "list.csv", data), "nothing is new")
	require.True(t, g.build(t).Task("brk-02").Open())
}

// What a line is taken for can be put right by its own words, and that is
// remembered.
func TestTodoLineOfItsOwn(t *testing.T) {
	data := []byte("To do,Area,Est\nSelf-discharge rest again,cel,2\n")
	g := start(t)
	f, err := bring.CSV("list.csv", data)
	require.NoError(t, err)
	p, err := bring.Read(f, g.build(t), g.desk(), bring.Options{})
	require.NoError(t, err)
	require.Equal(t, bring.Here, p.Lines[1].State)
	require.Contains(t, p.Lines[1].Why[0], "taken for cel-07")
	p, err = bring.Read(f, g.build(t), g.desk(), bring.Options{Areas: map[string]string{"Self-discharge rest again": "cel"}})
	require.NoError(t, err)
	w, err := p.Wish()
	require.NoError(t, err)
	_, err = g.Do(g.id, w, "")
	require.NoError(t, err)
	require.Equal(t, "cel", g.build(t).Area("self-discharge rest again"))
	require.ErrorContains(t, g.bringAll(t, "list.csv", data), "nothing is new")
}
