package figures

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// network draws tasks that come after earlier ones only.
var network = rapid.Custom(func(t *rapid.T) []Task {
	n := rapid.IntRange(1, 9).Draw(t, "n")
	tasks := make([]Task, n)
	for i := range tasks {
		low := float64(rapid.IntRange(0, 9).Draw(t, "low"))
		likely := low + float64(rapid.IntRange(0, 5).Draw(t, "likely"))
		tasks[i] = Task{Name: fmt.Sprint("T", i), Low: low, Likely: likely, High: likely + float64(rapid.IntRange(0, 9).Draw(t, "high"))}
		for j := range i {
			if rapid.IntRange(0, 2).Draw(t, "after") == 0 {
				tasks[i].After = append(tasks[i].After, j)
			}
		}
	}
	return tasks
})

// The obvious version: walk every path.
func TestPlanIsTheLongestPath(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tasks := network.Draw(t, "tasks")
		plan, err := Plan(tasks)
		require.NoError(t, err)
		paths, ok := plan.Paths(tasks)
		require.True(t, ok)
		longest := map[int]float64{} // through each task
		finish, variance := 0.0, 0.0
		for _, p := range paths {
			finish = max(finish, p.Mean)
			for _, i := range p.Tasks {
				longest[i] = max(longest[i], p.Mean)
			}
		}
		for _, p := range paths {
			if p.Critical {
				variance = max(variance, p.Variance)
			}
		}
		require.InDelta(t, finish, plan.Finish, 1e-9)
		require.InDelta(t, variance, plan.Variance, 1e-9)
		critical := 0
		for i, x := range plan.Times {
			require.InDelta(t, finish-longest[i], x.Float, 1e-9, "float is what the longest path through a task leaves")
			require.InDelta(t, x.ES+tasks[i].Mean(), x.EF, 1e-9)
			require.InDelta(t, x.LS+tasks[i].Mean(), x.LF, 1e-9)
			require.GreaterOrEqual(t, x.Float, 0.0)
			if plan.Critical(i) {
				critical++
			}
		}
		require.Positive(t, critical)
	})
}

// Written as text, the network is the same; a longer task never ends it sooner.
func TestNetworkAsText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tasks := network.Draw(t, "tasks")
		var lines []string
		for _, x := range tasks {
			line := fmt.Sprintf("%s %g/%g/%g", x.Name, x.Low, x.Likely, x.High)
			for k, j := range x.After {
				line += []string{" after ", ", "}[min(k, 1)] + tasks[j].Name
			}
			lines = append(lines, line)
		}
		sep := rapid.SampledFrom([]string{"\n", "; ", " ;\n"}).Draw(t, "sep")
		got, err := ParseNetwork(strings.Join(lines, sep), false, unit.Point)
		require.NoError(t, err)
		require.Equal(t, tasks, got)
		before, _ := Plan(tasks)
		i := rapid.IntRange(0, len(tasks)-1).Draw(t, "i")
		got[i].High += 6
		after, _ := Plan(got)
		require.GreaterOrEqual(t, after.Finish, before.Finish)
		require.LessOrEqual(t, after.Finish, before.Finish+1+1e-9)
	})
}

// A ladder of n steps has 2^n paths: they are not all walked, the times still are.
func TestManyPaths(t *testing.T) {
	var lines []string
	last := ""
	for i := range 40 {
		after := ""
		if i > 0 {
			after = " after " + last
		}
		lines = append(lines, fmt.Sprintf("A%d 1/2/3%s", i, after), fmt.Sprintf("B%d 1/2/3%s", i, after))
		last = fmt.Sprintf("A%d, B%d", i, i)
	}
	r := run(t, "critical-path", "tasks="+strings.Join(lines, "\n")+"; by=80")
	finish, _ := r.Get("finish")
	require.Equal(t, 80.0, finish.Number)
	sd, _ := r.Get("sd")
	require.InDelta(t, math.Sqrt(40)/3, sd.Number, 1e-12)
	_, ok := r.Get("p_all")
	require.False(t, ok)
	require.Contains(t, strings.Join(r.Notes, "\n"), "more than 1000 paths")
}

func TestParseNetworkRejects(t *testing.T) {
	for _, tt := range []struct {
		text string
		arcs bool
		want string
	}{
		{"", false, `no task, want lines such as "E 5/6/9 after C, D"`},
		{"A", false, `"A" has no time, want a name and hours, such as "E 5/6/9 after C, D"`},
		{"A 5; A 6", false, `A is there twice, want each name once`},
		{"A x", false, `A: "x" is not a number, want one such as 84.3`},
		{"A 5/6", false, `A: "5/6": want hours, or low/likely/high`},
		{"A 7/6/5", false, `A: "7/6/5": want low/likely/high in rising order`},
		{"A -1", false, `A: "-1": want 0 to 1000000 h`},
		{"A 5V", false, `A: "5V" where a time in h is wanted`},
		{"A 5 before B", false, `"A 5 before B" is not a task, want a line such as "E 5/6/9 after C, D"`},
		{"A 5 after", false, `"A 5 after" is not a task, want a line such as "E 5/6/9 after C, D"`},
		{"A 5 after B", false, `A comes after B, which is not there`},
		{"A 5 after C; B 1 after A; C 2 after B", false, `the tasks wait for each other: A after C after B after A`},
		{"A 5 after A", false, `the tasks wait for each other: A after A`},
		{"12 7", true, `"12" is not an arc, want two events such as 2-4`},
		{"1-1 7", true, `"1-1" is not an arc, want two events such as 2-4`},
		{"1-2 7 after 1", true, `"1-2 7 after 1" is not a task, want a line such as "2-4 6"`},
		{"1-2 7; 2-1 3", true, `the tasks wait for each other: 1-2 after 2-1 after 1-2`},
		{strings.Repeat("A 1; ", 1) + many(301), false, `more than 300 tasks`},
	} {
		_, err := ParseNetwork(tt.text, tt.arcs, unit.Point)
		require.EqualError(t, err, tt.want)
	}
}

func many(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "T%d 1\n", i)
	}
	return b.String()
}

func TestByThen(t *testing.T) {
	require.Equal(t, 1.0, ByThen(20, 20, 0))
	require.Equal(t, 0.0, ByThen(19.9, 20, 0))
	require.Equal(t, 0.5, ByThen(20, 20, 4))
	// By hand: one standard deviation, Φ(1) = 0.841345.
	require.InDelta(t, 0.841345, ByThen(22, 20, 4), 1e-6)
}

func FuzzParseNetwork(f *testing.F) {
	f.Add("A 5/6/7; B 3 after A", false)
	f.Add("1-2 7\n2-3 4", true)
	f.Fuzz(func(t *testing.T, text string, arcs bool) {
		tasks, err := ParseNetwork(text, arcs, unit.Comma)
		if err != nil {
			return
		}
		plan, err := Plan(tasks)
		if err != nil || !(plan.Finish >= 0 && plan.Variance >= 0) {
			t.Fatalf("%q: %+v, %v", text, plan, err)
		}
	})
}
