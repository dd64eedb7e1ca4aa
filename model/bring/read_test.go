package bring_test

import (
	"bytes"
	"fmt"
	"slices"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/bring"
	"ampwright/model/tables"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// How columns and areas were taken is remembered, and shown as such.
func TestRemembered(t *testing.T) {
	g := start(t)
	first := []byte("when,how long,thing done,bit\n2026-09-01,2,welded,metal\n")
	f, err := bring.CSV("a.csv", first)
	require.NoError(t, err)
	said := bring.Options{Kind: bring.Hours, Columns: map[string]string{"hours": "B", "what": "thing done", "area": "D"}, Areas: map[string]string{"Metal": "enc-04"}}
	p, err := bring.Read(f, g.build(t), g.desk(), said)
	require.NoError(t, err)
	require.Empty(t, p.Questions)
	g.bring(t, p)

	f, err = bring.CSV("b.csv", append(first, "2026-09-02,1,drilled, METAL \n"...))
	require.NoError(t, err)
	p, err = bring.Read(f, g.build(t), g.desk(), bring.Options{})
	require.NoError(t, err)
	require.Empty(t, p.Questions)
	require.Equal(t, "as last time", p.Columns[1].Why)
	require.Equal(t, "as last time", p.Areas[0].Why)
	require.Equal(t, []bring.State{bring.Out, bring.Here, bring.New}, []bring.State{p.Lines[0].State, p.Lines[1].State, p.Lines[2].State})
	g.bring(t, p)
	require.EqualValues(t, 180, g.build(t).Task("enc-04").Logged)
}

// What a person says wrong is named.
func TestWrongOptions(t *testing.T) {
	g := start(t)
	f, err := bring.CSV("a.csv", []byte("date,hours,what\n2026-09-01,2,welded\n"))
	require.NoError(t, err)
	for _, tt := range []struct {
		o    bring.Options
		want string
	}{
		{bring.Options{Kind: "stamps"}, `kind "stamps": want one of hours, money, parts, sales, cells, torque, to-do, readings`},
		{bring.Options{Days: "week"}, `days "week": want day or month, whichever is written first`},
		{bring.Options{Sheet: "two"}, `sheet "two" is not in a.csv; there is `},
		{bring.Options{Head: 9}, `head 9: the sheet has 2 lines`},
		{bring.Options{Columns: map[string]string{"price": "B"}}, `column for "price": a sheet of hours has date, start, end, hours, minutes, break, what, area, who, note, entry`},
		{bring.Options{Columns: map[string]string{"hours": "Q"}}, `column "Q" for hours: want a letter from A to C, the words over it, or none`},
	} {
		_, err := bring.Read(f, g.build(t), g.desk(), tt.o)
		require.EqualError(t, err, tt.want)
	}
	for text, want := range map[string]string{"": "there is nothing in it", "a\x00b": "bytes that are no text"} {
		_, err := bring.CSV("x.csv", []byte(text))
		require.ErrorContains(t, err, want)
	}
}

// A line that somebody typed by hand before is pointed at.
func TestLikeTyped(t *testing.T) {
	g := start(t)
	_, err := g.Do(g.id, model.Wish{Name: "hours", Values: map[string][]string{"task": {"brk-02"}, "hours": {"2"}, "at": {"2026-09-01 18:00"}}}, "")
	require.NoError(t, err)
	f, err := bring.CSV("a.csv", []byte("date,hours,what,area\n2026-09-01,2,drums,brk-02\n"))
	require.NoError(t, err)
	p, err := bring.Read(f, g.build(t), g.desk(), bring.Options{})
	require.NoError(t, err)
	require.Equal(t, bring.Odd, p.Lines[1].State)
	require.Contains(t, p.Lines[1].Why[0], "the logbook has as many hours on that day")
}

// Nothing is written unless all of it can be.
func TestAllOrNothing(t *testing.T) {
	g := start(t)
	rows := []model.Row{
		{Key: model.RowKey("hours", []string{"a"}, 1), Line: 2, Wish: "hours", Values: map[string][]string{"hours": {"2"}, "at": {"2026-09-01 12:00"}}},
		{Key: model.RowKey("hours", []string{"b"}, 1), Line: 3, Wish: "hours", Values: map[string][]string{"hours": {"a while"}, "at": {"2026-09-01 12:00"}}},
	}
	w := model.Wish{Name: model.BringWish, Values: map[string][]string{"file": {"a.csv"}, "hash": {bring.Hash(nil)}, "what": {"hours"}}, Rows: rows}
	before := count(g)
	_, err := g.Do(g.id, w, "")
	require.EqualError(t, err, `line 3 is missing: hours "a while": is not a time worked, want one such as 2.5, 2h30, 150 min or 14:00-16:30`)
	require.Equal(t, before, count(g))
	for _, bad := range []model.Row{{Key: "x", Line: 4, Wish: "hours"}, {Key: rows[0].Key, Line: 4, Wish: "hours"}, {Key: rows[1].Key, Line: 4, Wish: "strike"}} {
		w.Rows = []model.Row{rows[0], bad}
		_, err := g.Do(g.id, w, "")
		require.ErrorContains(t, err, "line 4")
		require.Equal(t, before, count(g))
	}
}

func count(g *garage) (n int) {
	g.Read(func(l *model.Logbook) { n = l.Len() })
	return n
}

// What a build's tables say comes back the same in an empty garage: hours,
// purchases, sales and orders; and in its own garage it is known.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		g := start(t)
		do := func(name string, pairs ...string) model.ID {
			w := model.Wish{Name: name, Values: map[string][]string{}}
			for i := 0; i < len(pairs); i += 2 {
				w.Values[pairs[i]] = []string{pairs[i+1]}
			}
			out, err := g.Do(g.id, w, "")
			require.NoError(rt, err)
			return out.Entries[0]
		}
		text := rapid.SampledFrom([]string{"drums", "=1+1", "+49", "-x", "@you", "a; b, \"c\"", "née – ½", "two\nlines", "'=quoted", "total", "balance leads"})
		for range rapid.IntRange(1, 12).Draw(rt, "entries") {
			at := fmt.Sprintf("2026-09-%02d %02d:%02d", rapid.IntRange(1, 28).Draw(rt, "day"), rapid.IntRange(0, 23).Draw(rt, "hour"), rapid.IntRange(0, 59).Draw(rt, "minute"))
			amount := fmt.Sprintf("%d.%02d", rapid.IntRange(1, 5000).Draw(rt, "whole"), rapid.IntRange(0, 99).Draw(rt, "cents"))
			task := rapid.SampledFrom([]string{"", "brk-02", "enc-04"}).Draw(rt, "task")
			switch rapid.IntRange(0, 3).Draw(rt, "kind") {
			case 0:
				do("hours", "task", task, "hours", fmt.Sprintf("%d min", rapid.IntRange(1, 1440).Draw(rt, "min")), "at", at, "note", text.Draw(rt, "note"), "changes", "none")
			case 1:
				do("buy", "what", text.Draw(rt, "what"), "amount", amount, "at", at, "task", task, "vendor", text.Draw(rt, "vendor"), "receipt", "17")
			case 2:
				do("sell", "what", text.Draw(rt, "what"), "amount", amount, "fee", "0.50", "at", at, "task", task, "buyer", "R.")
			case 3:
				id := do("order", "what", text.Draw(rt, "what"), "amount", amount, "at", at, "task", task, "promised", "2026-10-02")
				if rapid.Bool().Draw(rt, "came") {
					do("arrive", "order", id.String(), "at", "2026-10-05 10:00")
				}
			}
		}
		mark := g.build(t).Settings.Style().Mark
		if rapid.Bool().Draw(rt, "comma") {
			mark = 1
		}
		other := start(t)
		for _, name := range []string{"hours", "money", "orders"} {
			tab, _ := tables.Of(g.build(t), name)
			if len(tab.Rows) == 0 {
				continue
			}
			var out bytes.Buffer
			require.NoError(rt, tables.WriteCSV(&out, tab, mark))
			f, err := bring.CSV(name+".csv", out.Bytes())
			require.NoError(rt, err)
			kind := map[string]string{"hours": bring.Hours, "money": bring.Money, "orders": bring.Parts}[name]
			p, err := bring.Read(f, g.build(t), g.desk(), bring.Options{})
			require.NoError(rt, err)
			require.Equal(rt, kind, p.Kind)
			require.Zero(rt, p.Count(bring.New)+p.Count(bring.Odd)+p.Count(bring.Wrong), "known in its own garage: %s", show(p))
			p, err = bring.Read(f, other.build(t), other.desk(), bring.Options{Changes: "none"})
			require.NoError(rt, err)
			w, err := p.Wish()
			require.NoError(rt, err, show(p))
			if len(w.Rows) == 0 {
				continue
			}
			_, err = other.Do(other.id, w, "")
			require.NoError(rt, err, show(p))
		}
		a, b := g.build(t), other.build(t)
		require.Equal(rt, said(a), said(b))
		require.Equal(rt, a.Hours.Logged, b.Hours.Logged)
		require.Equal(rt, a.Money.Net, b.Money.Net)
	})
}

// said is what a build's hours, money and orders say, without the names of
// entries.
func said(b *model.Build) []string {
	var all []string
	for _, w := range b.Hours.Work {
		all = append(all, fmt.Sprint("hours ", w.At.Time().Format("2006-01-02 15:04"), w.Minutes, w.Task, w.Who, w.Note, w.Changes))
	}
	for _, l := range b.Money.Lines {
		task := ""
		if l.Task != nil {
			task = l.Task.ID
		}
		all = append(all, fmt.Sprint("money ", l.At.Time().Format(time.DateOnly), l.Kind, l.What, l.Amount, l.Net, task, l.With, l.Receipt))
	}
	for _, o := range b.Orders {
		came := ""
		if o.Arrived != nil {
			came = o.Arrived.Time().Format(time.DateOnly)
		}
		all = append(all, fmt.Sprint("order ", o.What, o.Label, o.PromiseAt, came))
	}
	slices.Sort(all)
	return all
}

// A following build takes over what the first one taught, and its own additions.
func TestSecondBuild(t *testing.T) {
	g := start(t)
	do := func(id uuid.UUID, name string, pairs ...string) error {
		w := model.Wish{Name: name, Values: map[string][]string{}}
		for i := 0; i < len(pairs); i += 2 {
			w.Values[pairs[i]] = []string{pairs[i+1]}
		}
		_, err := g.Do(id, w, "")
		return err
	}
	require.NoError(t, do(g.id, "estimate", "task", "brk-02", "estimate", "1/2/4"))
	require.NoError(t, do(g.id, "hours", "task", "brk-02", "hours", "3", "at", "2026-09-01 12:00", "changes", "none", "finish", "yes"))
	require.NoError(t, do(g.id, "hours", "task", "brk-02", "hours", "1", "at", "2026-09-03 12:00", "changes", "none"))
	require.NoError(t, do(g.id, "add-task", "stage", "brk", "title", "Turn the drum", "estimate", "1/2/3", "key", "turn"))
	require.NoError(t, do(g.id, "order", "what", "motor", "amount", "649", "parts", "hub-motor", "at", "2026-08-03 12:00"))
	require.NoError(t, do(g.id, "arrive", "order", "O1", "at", "2026-09-02 12:00"))
	require.ErrorContains(t, do(uuid.Nil, "start", "plan", "small-motorcycle-hub", "title", "wren", "currency", "EUR", "from", "moon"), "is no build of this garage")
	require.ErrorContains(t, do(uuid.Nil, "start", "plan", "kart-chain", "title", "wren", "currency", "EUR", "from", "heron"), "stands on the plan small-motorcycle-hub")
	require.ErrorContains(t, do(uuid.Nil, "start", "plan", "small-motorcycle-hub", "title", "wren", "currency", "EUR", "from", "heron", "learning", "0.3"), "want 0.5 to 1")
	second := open(t, 9, g.Now())
	meet(t, g, second)
	out, err := second.Do(uuid.Nil, model.Wish{Name: "start", Values: map[string][]string{
		"plan": {"small-motorcycle-hub"}, "title": {"wren"}, "currency": {"EUR"}, "from": {"heron"}, "learning": {"0.8"},
	}}, "")
	require.NoError(t, err)
	second.id = out.Build
	b := second.build(t)
	// by hand: 3 h first time at 0.8 is 2.4 h; low and high as 1/2 and 4/2 of it,
	// and high is above (3 + 1) 0.8 = 3.2 h
	require.Equal(t, model.Hours3{Low: 1.2, Likely: 2.4, High: 4.8}, b.Task("brk-02").Estimate)
	require.NotNil(t, b.Task("turn"))
	require.EqualValues(t, 64900, b.Part("hub-motor").PriceHigh)
	require.Equal(t, 30, b.Part("hub-motor").LeadHigh)
	require.Equal(t, model.PartWanted, b.Part("hub-motor").State)
	require.Zero(t, b.Hours.Logged)
	require.Zero(t, b.Money.Net)
	require.Empty(t, b.Clashes)
}

// The curve of a second unit: 80 % in the unit form, 60 % in the cumulative-average
// form, as the domain brief has it (its source S20, read in excerpt).
func TestCurve(t *testing.T) {
	for form, want := range map[string]float64{"": 0.8, model.UnitForm: 0.8, model.AverageForm: 0.6} {
		got, err := model.Curve{Rate: 0.8, Form: form}.Second()
		require.NoError(t, err)
		require.InDelta(t, want, got, 1e-12)
	}
	for _, c := range []model.Curve{{}, {Rate: 0.4}, {Rate: 1.1}, {Rate: 0.8, Form: "s"}, {Rate: 0.5, Form: model.AverageForm}} {
		_, err := c.Second()
		require.Error(t, err)
	}
}

// A check falls due again by kilometres and by days, and the reading is stale
// then.
func TestService(t *testing.T) {
	now := time.Date(2026, 11, 20, 19, 0, 0, 0, zone)
	g := start(t)
	do := func(name string, pairs ...string) error {
		w := model.Wish{Name: name, Values: map[string][]string{}}
		for i := 0; i < len(pairs); i += 2 {
			w.Values[pairs[i]] = []string{pairs[i+1]}
		}
		_, err := g.Do(g.id, w, "")
		return err
	}
	require.NoError(t, do("ride", "km", "12000", "at", "2026-09-01 12:00"))
	require.NoError(t, do("read", "check", "stem-torque", "value", "22", "at", "2026-09-02 12:00"))
	require.NoError(t, do("due", "check", "stem-torque", "km", "500", "days", "100", "note", "own choice"))
	require.ErrorContains(t, do("ride", "km", "11000", "at", "2026-09-05 12:00"), "is less than the 12000 km it showed before")
	require.ErrorContains(t, do("ride", "km", "far"), "km")
	require.NoError(t, do("ride", "km", "12480", "at", "2026-10-01 12:00"))
	c := g.build(t).Check("stem-torque")
	require.NotEqual(t, model.Stale, c.Verdict)
	s := g.build(t).Services()
	require.Len(t, s, 1)
	require.InDelta(t, 20, s[0].KmLeft, 1e-9)
	require.True(t, s[0].Soon(now), "20 of 500 km are left")
	require.Equal(t, "2026-12-11", s[0].On.Format(time.DateOnly))
	require.NoError(t, do("ride", "km", "12501", "at", "2026-10-05 12:00"))
	c = g.build(t).Check("stem-torque")
	require.Equal(t, model.Stale, c.Verdict)
	require.Equal(t, "more than 500 km ago", c.Cause.Title)
	require.NoError(t, do("read", "check", "stem-torque", "value", "22", "at", "2026-10-06 12:00"))
	require.NotEqual(t, model.Stale, g.build(t).Check("stem-torque").Verdict)
}

// Whatever a file holds, reading it ends, every line is told of once at least,
// and what is offered can be written.
func FuzzSheet(f *testing.F) {
	f.Add([]byte("date,hours,what,area\n2026-09-01,2h30,bench,brk\n,1,,\nTotal,3.5,,\n"))
	f.Add([]byte("Date;Item;Price;Post\n1.9.2026;x;1.234,50;3,-\n"))
	f.Add([]byte("Item,Ordered,Came,Price\nmotor,1/2/2026,3/4/2026,649\n"))
	f.Add([]byte("cell,V,IR,Ah,day 1,day 14\n1,3.65,0.8,48,3.6,3.5\n2,3.65,0.8,48,3.6,3.5\n"))
	f.Add([]byte("bolt,nm,date,mark\nstem nut,22,2026-09-01,x\n"))
	f.Add([]byte("to do,done,est,took,date\nTurn a spacer,x,1-2 h,25,2026-09-01\nbrk-02,90 %,90 min,,\nbrk:,,,,\nx y,3.9.2026,,1.5,\n"))
	f.Add([]byte("# brk\n- [x] drums, both\n- [ ] ½ cable\n☑ brk-03\n"))
	f.Add([]byte("\xff\xfea\x00,\x00b\x00\n\x00"))
	g := start(f)
	b := g.build(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := bring.CSV("f.csv", data)
		if err != nil {
			return
		}
		for _, kind := range append([]string{""}, bring.Kinds...) {
			p, err := bring.Read(file, b, bring.Desk{Now: g.Now()}, bring.Options{Kind: kind, Days: bring.DayFirst, Areas: map[string]string{"lines without an area": "brk"}})
			if err != nil {
				t.Fatal(err)
			}
			w, err := p.Wish()
			if err != nil || len(w.Rows) == 0 {
				continue
			}
			g.Read(func(l *model.Logbook) {
				d := model.Desk{Now: g.Now(), Person: "Kim", Owner: "Kim"}
				if _, err := l.Write(b, w, d); err != nil {
					t.Fatalf("%s: %v\n%s", kind, err, show(p))
				}
			})
		}
	})
}

// Benchmark of what a person waits for: a sheet of 10,000 lines, read and shown.
func BenchmarkPreview(b *testing.B) {
	var data bytes.Buffer
	data.WriteString("date,start,end,hours,what,area\n")
	for i := range 10_000 {
		fmt.Fprintf(&data, "%02d.%02d.2026,19:00,20:30,\"1,5\",stint %d on the drums,brk\n", 1+i%28, 1+i%10, i)
	}
	g := start(b)
	build := g.build(b)
	for b.Loop() {
		f, err := bring.CSV("h.csv", data.Bytes())
		require.NoError(b, err)
		p, err := bring.Read(f, build, g.desk(), bring.Options{})
		require.NoError(b, err)
		require.Zero(b, p.Count(bring.Wrong))
	}
}
