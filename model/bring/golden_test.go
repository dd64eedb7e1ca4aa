package bring_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/bring"
	"ampwright/model/plan"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files of testdata/sheets anew; read the difference")

const folder = "../../testdata/sheets"

var zone = time.FixedZone("", 2*3600)

// A garage is a logbook in memory with one build.
type garage struct {
	*book.Book
	id uuid.UUID
}

func open(t testing.TB, replica byte, now time.Time) *garage {
	b, err := book.Open(keep.NewMemory(), book.Config{
		Replica: uuid.UUID{0: replica, 15: 1}, Device: fmt.Sprintf("device %d", replica), Person: "Kim",
		Now: func() time.Time { return now }, NewID: func() uuid.UUID { return uuid.UUID{0: 0xb0, 15: replica} }, Plans: plan.Builtin,
	})
	require.NoError(t, err)
	return &garage{Book: b}
}

func start(t testing.TB) *garage {
	g := open(t, 1, time.Date(2026, 11, 20, 19, 0, 0, 0, zone))
	out, err := g.Do(uuid.Nil, model.Wish{Name: "start", Values: map[string][]string{
		"plan": {"small-motorcycle-hub"}, "title": {"heron"}, "currency": {"EUR"}, "ceiling": {"5200"}, "at": {"2026-08-01 10:00"},
	}}, "")
	require.NoError(t, err)
	g.id = out.Build
	return g
}

func (g *garage) build(t testing.TB) *model.Build {
	b, err := g.Build(g.id)
	require.NoError(t, err)
	return b
}

func (g *garage) desk() bring.Desk {
	return bring.Desk{Now: g.Now(), Columns: func(head string) (columns string) {
		g.Read(func(l *model.Logbook) { columns = l.Columns(head) })
		return columns
	}}
}

// answers are what a person says where a sheet leaves a question open.
var answers = map[string]bring.Options{
	"06-hours-ask-day.csv":     {Days: bring.DayFirst},
	"11-hours-unreadable.csv":  {Without: []int{2, 3, 4, 5, 6, 7, 8}},
	"13-hours-areas-asked.csv": {Areas: map[string]string{"metalwork": "enc", "pack": "cel-02", "lights": "none"}},
	"20-money-totals.csv":      {Without: []int{6, 7, 8}},
	"23-parts.csv":             {Without: []int{6, 7}},
	"26-cells-missing.csv":     {Without: []int{4, 5}},
	"27-torque.csv":            {Without: []int{6, 7}},
	"17-hours-disagree.csv":    {Without: []int{4}},
	"33-todo-columns.csv":      {Areas: map[string]string{"electrics": "har", "paintwork": "asm", "polish the tank": "none"}, Without: []int{9, 10}},
	"34-todo-boxes.csv":        {Areas: map[string]string{"odds and ends": "none"}},
	"35-todo-long-hours.csv":   {Areas: map[string]string{"lines without an area": "cel", "read the manual": "asm-01"}},
	"29-nothing-known.csv":     {Kind: bring.Money, Columns: map[string]string{"item": "A", "price": "C"}},
}

// Every sheet of the folder becomes what its golden file says. The sheets are
// made up; each has a trap that such sheets are known for (common practice, no
// published source). What a golden file says was read by a person.
func TestSheets(t *testing.T) {
	files, err := filepath.Glob(folder + "/*.csv")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 25)
	for _, path := range files {
		name := filepath.Base(path)
		t.Run(name, func(t *testing.T) {
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			f, err := bring.CSV(name, data)
			require.NoError(t, err)
			g := start(t)
			p, err := bring.Read(f, g.build(t), g.desk(), bring.Options{})
			require.NoError(t, err)
			got := show(p)
			if o, ok := answers[name]; ok {
				_, err = p.Wish()
				require.Error(t, err)
				p, err = bring.Read(f, g.build(t), g.desk(), o)
				require.NoError(t, err)
				got += "\nanswered:\n" + show(p)
			}
			got += "\nwritten:\n" + g.bring(t, p)
			golden := strings.TrimSuffix(path, ".csv") + ".golden"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), got)
		})
	}
}

// bring writes a preview down and says what came of it.
func (g *garage) bring(t testing.TB, p *bring.Preview) string {
	w, err := p.Wish()
	if err != nil {
		return err.Error() + "\n"
	}
	out, err := g.Do(g.id, w, "")
	if err != nil {
		return err.Error() + "\n"
	}
	b := g.build(t)
	return fmt.Sprintf("%d entries; hours %d min; spent %d; sold %d; orders %d; notes %d\n",
		len(out.Entries), b.Hours.Logged, b.Money.Gross, b.Money.SalesNet, len(b.Orders), len(b.Notes))
}

// show writes a preview as text.
func show(p *bring.Preview) string {
	var out strings.Builder
	fmt.Fprintf(&out, "kind %s: %s\nheader in line %d\n", p.Kind, p.Why, p.Head)
	for _, c := range p.Columns {
		fmt.Fprintf(&out, "column %s %q: %s (%s)\n", c.Letter, c.Header, c.Field, c.Why)
	}
	for _, a := range p.Areas {
		fmt.Fprintf(&out, "area %q: %s (%s), %d lines\n", a.Text, a.Is, a.Why, a.Lines)
	}
	for _, q := range p.Questions {
		fmt.Fprintf(&out, "question %s: %s [%s]\n", q.Name, q.Text, strings.Join(q.Choices, " "))
	}
	for _, l := range p.Lines {
		fmt.Fprintf(&out, "%d %s: %s\n", l.Number, l.State, l.Says)
		for _, why := range l.Why {
			fmt.Fprintf(&out, "    %s\n", why)
		}
	}
	return out.String()
}
