package bring_test

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/bring"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// sheet draws an hours or a money sheet, or a list of things to do, with lines
// that repeat.
func sheet(t *rapid.T) []byte {
	var out bytes.Buffer
	kind := rapid.IntRange(0, 2).Draw(t, "kind")
	if kind == 2 {
		out.WriteString("to do,area,done,hours\n")
		for range rapid.IntRange(1, 30).Draw(t, "lines") {
			fmt.Fprintf(&out, "%s,%s,%s,%s\n", rapid.SampledFrom([]string{"turn a spacer", "paint it", "weld a lug"}).Draw(t, "what"), rapid.SampledFrom([]string{"brk", "brk-03", "har"}).Draw(t, "area"),
				rapid.SampledFrom([]string{"yes", "no"}).Draw(t, "done"), rapid.SampledFrom([]string{"", "1.5", "25"}).Draw(t, "hours"))
		}
		return out.Bytes()
	}
	hours := kind == 0
	out.WriteString(map[bool]string{true: "date,hours,what,area\n", false: "date,item,price,shop\n"}[hours])
	for range rapid.IntRange(1, 30).Draw(t, "lines") {
		day := rapid.IntRange(1, 28).Draw(t, "day")
		what := rapid.SampledFrom([]string{"drums", "linings", "bench"}).Draw(t, "what")
		n := rapid.IntRange(1, 4).Draw(t, "n")
		if hours {
			fmt.Fprintf(&out, "2026-09-%02d,%d,%s,%s\n", day, n, what, rapid.SampledFrom([]string{"brk", "brk-02", "", "har"}).Draw(t, "area"))
		} else {
			fmt.Fprintf(&out, "2026-09-%02d,%s,%d.50,%s\n", day, what, n, rapid.SampledFrom([]string{"", "tool shop"}).Draw(t, "shop"))
		}
	}
	return out.Bytes()
}

func (g *garage) bringAll(t require.TestingT, name string, data []byte) error {
	f, err := bring.CSV(name, data)
	require.NoError(t, err)
	b, err := g.Build(g.id)
	require.NoError(t, err)
	p, err := bring.Read(f, b, g.desk(), bring.Options{})
	require.NoError(t, err)
	w, err := p.Wish()
	require.NoError(t, err)
	_, err = g.Do(g.id, w, "")
	return err
}

// meet gives each of two garages what the other has.
func meet(t require.TestingT, a, b *garage) {
	for _, pair := range [][2]*garage{{a, b}, {b, a}} {
		var raws [][]byte
		pair[0].Read(func(l *model.Logbook) {
			require.NoError(t, l.All(func(raw []byte) error { raws = append(raws, raw); return nil }))
		})
		_, err := pair[1].Add(raws)
		require.NoError(t, err)
	}
}

func (g *garage) sums(t require.TestingT) [2]int64 {
	b, err := g.Build(g.id)
	require.NoError(t, err)
	for _, f := range b.Findings {
		require.NotEqual(t, model.FindingRow, f.Kind, f.Text)
	}
	return [2]int64{b.Hours.Logged, int64(b.Money.Net)}
}

// A sheet brought in twice, on two devices that then meet, after it has grown, or
// under another name counts once; struck out whole it counts nothing, on both.
func TestNoDoubles(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a := start(t)
		now := time.Date(2026, 11, 20, 19, 0, rapid.IntRange(0, 50).Draw(rt, "seconds"), 0, zone)
		b := open(t, 2, now)
		b.id = a.id
		meet(rt, a, b)
		data := sheet(rt)
		lines := bytes.SplitAfter(data, []byte("\n"))
		some := bytes.Join(lines[:rapid.IntRange(2, max(2, len(lines)-1)).Draw(rt, "at first")], nil)

		require.NoError(rt, a.bringAll(rt, "one.csv", some))
		if err := a.bringAll(rt, "grown.csv", data); len(some) < len(data) {
			require.NoError(rt, err)
		} else {
			require.ErrorContains(rt, err, "nothing is new")
		}
		want := a.sums(rt)
		require.ErrorContains(rt, a.bringAll(rt, "again.csv", data), "nothing is new")
		require.NoError(rt, b.bringAll(rt, "two.csv", data))
		require.Equal(rt, want, b.sums(rt), "in one act as in two")
		meet(rt, a, b)
		require.Equal(rt, want, a.sums(rt))
		require.Equal(rt, want, b.sums(rt))
		one, err := a.Build(a.id)
		require.NoError(rt, err)
		two, err := b.Build(a.id)
		require.NoError(rt, err)
		require.Equal(rt, said(one), said(two))
		a.Read(func(x *model.Logbook) {
			b.Read(func(y *model.Logbook) { require.Equal(rt, x.Digest(), y.Digest()) })
		})

		build, err := a.Build(a.id)
		require.NoError(rt, err)
		for _, s := range build.Brought {
			if l, _ := build.Entry(s.ID); !l.Struck {
				_, err := a.Do(a.id, model.Wish{Name: "strike", Values: map[string][]string{"entry": {s.ID.String()}, "reason": {"the wrong sheet"}}}, "")
				if err != nil { // struck out with the one before it, line for line
					require.ErrorContains(rt, err, "struck out already")
				}
			}
		}
		meet(rt, a, b)
		require.Equal(rt, [2]int64{}, a.sums(rt))
		require.Equal(rt, [2]int64{}, b.sums(rt))
		require.NoError(rt, a.bringAll(rt, "after all.csv", data), "what was struck out can be brought in again")
		require.Equal(rt, want, a.sums(rt))
	})
}

// Put right before the other device's copy came, a line stays put right; taken
// for two things, it is a finding and the older stands.
func TestRowsApart(t *testing.T) {
	data := []byte("date,hours,what,area\n2026-09-01,2,drums skimmed,metal\n")
	a := start(t)
	b := open(t, 2, time.Date(2026, 11, 20, 19, 30, 0, 0, zone))
	b.id = a.id
	meet(t, a, b)
	bringAs := func(g *garage, task string) model.ID {
		f, err := bring.CSV("h.csv", data)
		require.NoError(t, err)
		p, err := bring.Read(f, g.build(t), g.desk(), bring.Options{Areas: map[string]string{"metal": task}})
		require.NoError(t, err)
		w, err := p.Wish()
		require.NoError(t, err)
		out, err := g.Do(g.id, w, "")
		require.NoError(t, err)
		return out.Entries[1]
	}
	one := bringAs(a, "brk-02")
	two := bringAs(b, "enc-04")
	meet(t, a, b)
	require.EqualValues(t, 120, a.build(t).Hours.Logged)
	require.EqualValues(t, 120, a.build(t).Task("brk-02").Logged, "the older stands")
	require.Equal(t, []model.ID{two}, a.build(t).Twins(one))
	apart := func(g *garage) (n int) {
		for _, f := range g.build(t).Findings {
			if f.Kind == model.FindingRow && f.Open {
				n++
			}
		}
		return n
	}
	require.Equal(t, 1, apart(a))
	_, err := a.Do(a.id, model.Wish{Name: "hours", Values: map[string][]string{"task": {"brk-03"}, "hours": {"1"}, "at": {"2026-09-01 12:00"}, "instead": {one.String()}}}, "")
	require.NoError(t, err)
	meet(t, a, b)
	require.EqualValues(t, 60, b.build(t).Hours.Logged, "what was put right goes before the copy")
	_, err = b.Do(b.id, model.Wish{Name: "strike", Values: map[string][]string{"entry": {two.String()}, "reason": {"taken wrong"}}}, "")
	require.NoError(t, err)
	require.Zero(t, apart(b))
	require.EqualValues(t, 60, b.build(t).Hours.Logged)
}

// An order of a parts sheet arrives in the act that books it, and once, though
// two devices bring it in and each names its own order.
func TestOrdersArrive(t *testing.T) {
	data := []byte("Item,Ordered,Promised,Came,Price\nhub motor 3 kW,2026-08-03,2026-08-21,2026-09-02,649\ndisplay,2026-08-15,2026-08-29,,79\n")
	a := start(t)
	b := open(t, 2, time.Date(2026, 11, 20, 18, 59, 0, 0, zone))
	b.id = a.id
	meet(t, a, b)
	require.NoError(t, a.bringAll(t, "p.csv", data))
	require.NoError(t, b.bringAll(t, "p.csv", data))
	meet(t, a, b)
	for _, g := range []*garage{a, b} {
		orders := g.build(t).Orders
		require.Len(t, orders, 2)
		require.NotNil(t, orders[0].Arrived)
		require.Equal(t, "2026-09-02", orders[0].Arrived.Time().Format(time.DateOnly))
		require.Nil(t, orders[1].Arrived)
		require.Equal(t, model.PartHere, g.build(t).Part("hub-motor").State)
		require.EqualValues(t, 72800, g.build(t).Money.Net)
	}
}

// A sheet of more than 16 lines is struck out in one act.
func TestStrikeWhole(t *testing.T) {
	var data bytes.Buffer
	data.WriteString("date,hours,what\n")
	for i := range 100 {
		fmt.Fprintf(&data, "2026-09-%02d,1,stint %d\n", 1+i%28, i)
	}
	g := start(t)
	require.NoError(t, g.bringAll(t, "h.csv", data.Bytes()))
	require.EqualValues(t, 6000, g.build(t).Hours.Logged)
	out, err := g.Do(g.id, model.Wish{Name: "strike", Values: map[string][]string{"entry": {g.build(t).Brought[0].ID.String()}, "reason": {"the wrong build"}}}, "")
	require.NoError(t, err)
	require.Len(t, out.Entries, 7, "101 entries, 16 to a strike")
	require.Zero(t, g.build(t).Hours.Logged)
	require.Empty(t, g.build(t).Brought)
}
