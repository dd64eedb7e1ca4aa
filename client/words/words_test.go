package words_test

import (
	"flag"
	"fmt"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"ampwright/calc/unit"
	"ampwright/client/words"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/modeltest"
	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write testdata/heron.txt anew")

// heron is the demo's logbook at its end, and what its entries are read beside.
func heron(t *testing.T) (*model.Logbook, words.Context) {
	t.Helper()
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	l := model.NewLogbook()
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	b, err := l.Build(demo.Build, demo.End, plan.Builtin)
	require.NoError(t, err)
	return l, words.Context{Build: b, Entry: b.Entry, Devices: b.Devices}
}

// every returns an empty body of every kind, by the kinds that model's source
// declares: one that modeltest does not draw is an error here.
func every(t *testing.T) map[string]model.Body {
	t.Helper()
	source, err := os.ReadFile("../../model/bodies.go")
	require.NoError(t, err)
	kinds := regexp.MustCompile(`\) Kind\(\) string +\{ return "([^"]+)" \}`).FindAllStringSubmatch(string(source), -1)
	require.GreaterOrEqual(t, len(kinds), 26)
	drawn := map[string]model.Body{}
	for seed := range 2000 {
		b := modeltest.Bodies().Example(seed)
		if _, newer := b.(*model.Unknown); !newer {
			drawn[b.Kind()] = reflect.New(reflect.TypeOf(b).Elem()).Interface().(model.Body)
		}
	}
	for _, k := range kinds {
		require.Contains(t, drawn, k[1], "model knows the kind, modeltest does not draw it")
	}
	require.Len(t, drawn, len(kinds))
	return drawn
}

// Every kind has words, whatever is in it and whatever is known beside it.
func TestEveryKind(t *testing.T) {
	_, known := heron(t)
	comma := known
	comma.Style = unit.Style{Mark: unit.Comma, US: true}
	comma.Day = func(d time.Time) string { return d.Format("2 Jan") }
	for name, b := range every(t) {
		for _, c := range []words.Context{{}, known, comma} {
			s := words.Of(c, model.Entry{Body: b})
			require.NotEmpty(t, s.Kind, name)
			require.NotContains(t, s.Full(), words.Newer, "%s has no words", name)
		}
	}
	for seed := range 1000 {
		e := modeltest.Entries().Example(seed)
		for _, c := range []words.Context{{}, known, comma} {
			s := words.Of(c, e)
			require.NotEmpty(t, s.Full(), "%#v", e.Body)
			_, newer := e.Body.(*model.Unknown)
			require.Equal(t, newer, s.Text == words.Newer, "%#v", e.Body)
		}
	}
}

// aside are the texts an entry's words leave out; they stand on the page of what
// the entry made, and in the entry's bytes.
var aside = []string{
	"BuildStart.Donor", "BuildStart.Currency", // the second stands beside a ceiling
	"Nonconformance.Finding",
	"AddTask.After", "AddTask.Skill", "Bring.Pieces",
	"AddCheck.InvalidatedBy", "AddCheck.CheckKind", "AddCheck.Unit", "AddCheck.Min", "AddCheck.Max", "AddCheck.Instrument", "AddCheck.Basis",
}

// What a person typed stands in the words or among the keys, of whatever kind
// the entry is.
func TestNothingTypedIsLost(t *testing.T) {
	_, known := heron(t)
	for _, body := range every(t) {
		v := reflect.ValueOf(body).Elem()
		typed := map[string]string{}
		for i := range v.NumField() {
			name := v.Type().Name() + "." + v.Type().Field(i).Name
			token := fmt.Sprintf("q%dx", i)
			switch p := v.Field(i).Addr().Interface().(type) {
			case *string:
				*p, typed[name] = token, token
			case *[]string:
				*p, typed[name] = []string{token}, token
			case *[]int64:
				*p = []int64{7}
			}
		}
		for _, name := range aside {
			delete(typed, name)
		}
		for _, c := range []words.Context{{}, known} {
			s := words.Of(c, model.Entry{Body: body})
			all := s.Full() + " " + strings.Join(s.Keys(), " ")
			for name, token := range typed {
				require.Contains(t, all, token, name)
			}
		}
	}
}

// The demo's logbook, oldest first. The expected words are ours; that they say
// what was written is for a person to read.
func TestHeron(t *testing.T) {
	l, c := heron(t)
	var got strings.Builder
	for _, build := range []uuid.UUID{uuid.Nil, demo.Build} {
		lines := l.Lines(build, 0, 0)
		for i := len(lines) - 1; i >= 0; i-- {
			s := words.Of(c, lines[i].Entry)
			fmt.Fprintf(&got, "%s  %s  [%s]\n", lines[i].ID.Short(), s.Full(), strings.Join(s.Keys(), " "))
		}
	}
	const file = "testdata/heron.txt"
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(got.String()), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got.String(), "run go test ./client/words -update and read the difference")
}

// Entries the demo has none of, and those that name others.
func TestOf(t *testing.T) {
	l, c := heron(t)
	order := c.Build.Orders[6]
	require.Equal(t, "O7", order.Label)
	ncr, punch := c.Build.NCRs[0], c.Build.Punches[0]
	var bought, laptop model.Entry
	for _, line := range l.Lines(demo.Build, 0, 0) {
		if _, ok := line.Body.(*model.Purchase); ok {
			bought = line.Entry // the oldest
		}
	}
	for _, line := range l.Lines(uuid.Nil, 0, 0) {
		if r, ok := line.Body.(*model.Replica); ok && r.Device == "garage laptop" {
			laptop = line.Entry
		}
	}
	at := func(minute int64) model.When { return model.When{Unix: 1_795_000_000/60*60 + 60*minute, Offset: 60} }
	clock := model.ID{1}
	c.Entry = func(id model.ID) (model.Line, bool) {
		if id == clock {
			return model.Line{Entry: model.Entry{Body: &model.ClockOn{At: at(0), Task: "mot-07"}}}, true
		}
		return l.Line(id)
	}
	comma := c
	comma.Style.Mark = unit.Comma
	comma.Day = func(d time.Time) string { return d.Format("2 Jan") }
	away := model.ID{0xab, 0xcd, 0xef, 0x01, 2}

	for _, tt := range []struct {
		c    words.Context
		body model.Body
		want string
		keys string
	}{
		// 1795000000 s after 1970 is 2026-11-18 11:06:40 UTC, by the date program.
		{c, &model.ClockOff{At: at(40), On: clock, Answered: true}, "clock off: 0.67 h on mot-07 from 2026-11-18 12:06; changed nothing that matters to a reading", "mot-07"},
		{comma, &model.ClockOff{At: at(90), On: clock, Note: "tired"}, "clock off: 1,5 h on mot-07 from 18 Nov 12:06; tired", "mot-07"},
		{c, &model.ClockOff{At: at(2000), On: clock, Minutes: 120, Changes: []string{"motor-leads"}}, "clock off: counted as 2.0 h on mot-07 from 2026-11-18 12:06; changed: phase or hall lead moved", "mot-07"},
		{c, &model.ClockOff{At: at(-5), On: clock}, "clock off: 0.0 h on mot-07 from 2026-11-18 12:06", "mot-07"},
		{c, &model.ClockOff{At: at(40), On: away, Minutes: 120}, "clock off: counted as 2.0 h", ""},
		{c, &model.ClockOff{At: at(40), On: away}, "clock off", ""},
		{c, &model.ClockOn{Task: "mot-07", Who: "Kim"}, "clock on: mot-07; by Kim", "mot-07"},
		{words.Context{}, &model.Work{Minutes: 50, Changes: []string{"motor-leads"}}, "hours: 0.83 h on no task; changed: motor-leads", ""},
		{c, &model.Change{Changes: []string{"pack-opened", "not-in-the-plan"}, Task: "pkb-05"}, "changed: pack case opened, not-in-the-plan; on pkb-05", "pkb-05"},

		{c, &model.Reading{Check: "title-clear", Answer: model.AnswerNo, Seen: "papers of another frame"}, "reading: title-clear: no, papers of another frame", "title-clear"},
		{c, &model.Reading{Check: "title-clear", Seen: "papers read"}, "reading: title-clear: papers read", "title-clear"},
		{c, &model.Reading{Check: "weld-photos", Answer: model.AnswerPhoto, Photo: []byte{0xde, 0xad, 0xbe, 0xef}}, "reading: weld-photos: photo deadbeef", "weld-photos"},
		{c, &model.Reading{Check: "weld-photos", Answer: model.AnswerPhoto, Note: "on the red stick"}, "reading: weld-photos: photo taken, kept elsewhere; on the red stick", "weld-photos"},
		{c, &model.Reading{Check: "motor-iso", Values: []int64{82}, Exp: 5, Unit: "ohm", Photo: []byte{0xde, 0xad}}, "reading: motor-iso: 8.2 Mohm, photo dead", "motor-iso"},
		{comma, &model.Reading{Check: "wheel-offset", Values: []int64{-12, 5}, Exp: -1, Unit: "mm"}, "reading: wheel-offset: -1,2 mm, 0,5 mm", "wheel-offset"},
		{c, &model.Reading{Check: "joint-drop", Values: []int64{5, -3, 9, 7, 7}, Unit: "mV"}, "reading: joint-drop: -3 mV to 9 mV, 5 points", "joint-drop"},
		{c, &model.Reading{Check: "motor-iso"}, "reading: motor-iso: no value", "motor-iso"},

		{c, &model.Arrival{Order: order.ID}, "came: O7: " + order.What, "O7"},
		{c, &model.Arrival{Order: away, Note: "late"}, "came: entry abcdef01; late", ""},
		{c, &model.Refund{Cents: 1250, Of: order.ID, What: "wrong plug"}, "money back: EUR 12.50 on O7; wrong plug", "O7"},
		{comma, &model.Refund{Cents: 125000, Of: bought.ID}, "money back: EUR 1.250,00 on donor motorcycle, complete, not run since 2011", ""},
		{words.Context{}, &model.Purchase{What: "nuts", Cents: 420}, "bought: nuts for 420 minor units", ""},
		{c, &model.Order{Label: "O9", What: "paint", Cents: 4000, Unpaid: true, Parts: []string{"paint-kit", "masking"}}, "ordered: O9: paint for EUR 40.00; not paid yet", "O9 paint-kit masking"},
		{comma, &model.Order{Label: "O9", What: "paint", Cents: 4000, Promised: "2026-12-04"}, "ordered: O9: paint for EUR 40,00; promised for 4 Dec", "O9"},
		{c, &model.Sale{What: "cover", Cents: 4000, Fee: 200, Post: 550, Buyer: "a neighbour", Part: "cover"}, "sold: cover for EUR 40.00; fees and post EUR 7.50; to a neighbour", "cover"},

		{c, &model.Close{Of: ncr.ID, Evidence: "0.8 mm", Disposition: "rework: trued"}, "closed: NC-1: 0.8 mm; rework: trued", "NC-1"},
		{c, &model.Close{Of: punch.ID, Evidence: "filed"}, "closed: " + punch.Text + ": filed", ""},
		{c, &model.Close{Finding: "early:elm-01>har-01", Evidence: "drawn again"}, "closed: early:elm-01>har-01: drawn again", "early:elm-01>har-01"},
		{c, &model.Concession{Check: "motor-iso", Reason: "dry test only", Second: "Kim"}, "concession: motor-iso: dry test only; second name Kim", "motor-iso"},
		{c, &model.Release{Point: "coupon-passed", Witness: "Kim"}, "released: coupon-passed; witness Kim", "coupon-passed"},
		{c, &model.Release{Point: "road-range", Limits: []string{"energy-per-km max 38.7946666667 Wh/km", "motor-iso min 42000 ohm"}}, "released: road-range; under energy-per-km max 38.8 Wh/km, motor-iso min 42.0 kohm", "road-range"},
		{c, &model.Resume{List: "commissioning", Check: "visual-pass"}, "taken up again: commissioning; from visual-pass; it was looked at again", "visual-pass"},
		{c, &model.Resume{List: "commissioning", Check: "precharge-level", Again: true}, "taken up again: commissioning; from precharge-level; it and all after it are taken again", "precharge-level"},
		{c, &model.Reading{Check: "dead-at-controller", Values: []int64{4}, Exp: -1, Unit: "V", Proof: []int64{126, 125}, ProofExp: -1}, "reading: dead-at-controller: 0.4 V; on the known source 12.6 V before, 12.5 V after", "dead-at-controller"},
		{c, &model.Note{Text: "left <lug> tacked", Task: "brk-02"}, "note: brk-02: left <lug> tacked", "brk-02"},
		{c, &model.Note{Text: "rain"}, "note: rain", ""},
		{c, &model.Purchase{What: "fuse", Cents: 1200, Receipt: "photo", Photo: []byte{0xde, 0xad}}, "bought: fuse for EUR 12.00; receipt photo dead", ""},
		{c, &model.Purchase{What: "fuse", Cents: 1200, Receipt: "R-17", Photo: []byte{0xde, 0xad}}, "bought: fuse for EUR 12.00; receipt R-17, photo dead", ""},
		{c, &model.Photo{Hash: []byte{0xde, 0xad}, Part: "hub-motor"}, "photo: dead of hub-motor", "hub-motor"},
		{c, &model.Photo{Hash: []byte{0xde, 0xad}, Bytes: 2_345_678, Type: "image/jpeg", Task: "brk-02"}, "photo: dead of brk-02; image/jpeg, 2345 kB", "brk-02"},
		{c, &model.Strike{Reason: "entered twice"}, "struck out: abcdef01, " + order.ID.Short() + "; entered twice", ""},

		{c, &model.Meet{With: laptop.Replica, Offset: 1_400}, "devices met: garage laptop, its clock 1 s ahead", ""},
		{c, &model.Meet{With: uuid.UUID{0xfe, 0xdc}, Offset: 0}, "devices met: fedc0000, its clock the same to the second", ""},
		{words.Context{}, &model.BuildStart{Title: "Kart", Plan: "kart-chain", PlanVersion: 1, Currency: "JPY", Ceiling: 150000, Target: "2027-05-01"}, "build started: Kart; plan kart-chain.1; ceiling JPY 150,000; to ride on 2027-05-01", ""},
		{c, &model.AddStage{Key: "seat", Title: "Seat"}, "stage added: seat: Seat", "seat"},
		{c, &model.AddTask{Key: "brk-turn", Stage: "brk", Title: "Turn the drum", Note: "it is scored"}, "task added: brk-turn to brk: Turn the drum; it is scored", "brk-turn"},
		{c, &model.AddPart{Key: "linings", Task: "brk-02", Title: "linings", Qty: 2}, "part added: linings to brk-02: 2 linings", "brk-02 linings"},
		{c, &model.AddCheck{Key: "drum-round", Task: "brk-02", Title: "Drum roundness"}, "check added: drum-round to brk-02: Drum roundness", "brk-02 drum-round"},

		{c, set("task", "brk-02", "state", "finished"), "task finished: brk-02", "brk-02"},
		{c, set("task", "brk-02", "state", "not needed"), "task not needed: brk-02", "brk-02"},
		{c, set("task", "brk-02", "state", "open"), "task taken up: brk-02", "brk-02"},
		{comma, set("task", "brk-02", "estimate", "0.5/1/2.25"), "estimate: brk-02: 0,5 / 1 / 2,25 h", "brk-02"},
		{c, set("spec", "cells_series", "value", "20"), "spec sheet: cells_series, " + words.Lower(c.Build.Spec.Get("cells_series").Title) + ": 20", "cells_series"},
		{words.Context{}, set("spec", "mass_bike_kg", "value", "126"), "spec sheet: mass_bike_kg: 126", "mass_bike_kg"},
		{c, set("check", "axle-nut-torque", "min", "80"), "limit: axle-nut-torque: at least 80 N·m", "axle-nut-torque"},
		{c, set("check", "axle-nut-torque", "max", "1.05 * spec_axle_nut_Nm"), "limit: axle-nut-torque: at most 1.05 * spec_axle_nut_Nm", "axle-nut-torque"},
		{c, set("check", "axle-nut-torque", "max", "none"), "limit: axle-nut-torque: no upper limit", "axle-nut-torque"},
		{comma, set("order", order.ID.String(), "promised", "2026-12-04"), "order: O7: promised for 4 Dec", "O7"},
		{c, set("order", order.ID.String(), "paid", "yes"), "order: O7: paid", "O7"},
		{c, set("order", away.String(), "paid", "no"), "order: entry abcdef01: not paid", ""},
		{c, set("edge", "brk-01>enc-05", "on", "on"), "order of tasks: brk-01 before enc-05", "enc-05 brk-01"},
		{c, set("edge", "brk-01>enc-05", "on", "off"), "order of tasks: brk-01 before enc-05 no longer", "enc-05 brk-01"},
		{c, set("part", "boxes", "state", "here"), "part: boxes: here", "boxes"},
		{c, set("part", "boxes", "price", "2000/3500"), "part: boxes price: EUR 20.00 to EUR 35.00", "boxes"},
		{c, set("part", "boxes", "price", "2000/2000"), "part: boxes price: EUR 20.00", "boxes"},
		{c, set("build", "", "ceiling", "540000"), "build: ceiling: EUR 5,400.00", ""},
		{c, set("build", "", "week", "480"), "build: hours a week: 8.0 h", ""},
		{comma, set("build", "", "target", "2027-05-01"), "build: to ride on: 1 May", ""},
		{c, set("instrument", "meter 2", "checked", "2026-01-31"), "instrument: meter 2 last check: 2026-01-31", "meter 2"},
		{words.Context{}, set("garage", "", "mark", "comma"), "garage: decimal mark: comma", ""},
		// Values that no version writes are shown as they are.
		{c, set("build", "", "ceiling", "much"), "build: ceiling: much", ""},
		{c, set("part", "boxes", "price", "cheap"), "part: boxes price: cheap", "boxes"},
		{c, set("order", "O7", "paid", "yes"), "order: O7: paid", "O7"},
		{c, set("edge", "brk-01", "on", "on"), "order of tasks: brk-01", "brk-01"},

		{words.Context{}, set("device", "4845524f-4e00-4000-8000-00000000000b", "name", "shed phone"), "device: 4845524f is called shed phone", "4845524f-4e00-4000-8000-00000000000b"},

		{c, &model.Unknown{Name: "x-ride"}, "x-ride: from a newer version of the program; kept and passed on", ""},
		{words.Context{}, &model.Unknown{Name: "work"}, "work: from a newer version of the program; kept and passed on", ""},
	} {
		s := words.Of(tt.c, model.Entry{Body: tt.body, Over: []model.ID{away, order.ID}})
		require.Equal(t, tt.want, s.Full())
		require.Equal(t, tt.keys, strings.Join(s.Keys(), " "), tt.want)
	}
}

func set(what, key, field, value string) model.Body {
	return &model.Set{What: what, Key: key, Field: field, Value: value}
}

// What a reading says in US units is what the pages say.
func TestUnits(t *testing.T) {
	_, c := heron(t)
	c.Style.US = true
	s := words.Of(c, model.Entry{Body: set("check", "axle-nut-torque", "min", "80")})
	// 80 N·m is 59.0 lbf·ft: by hand, 80 / 1.3558179 (0.3048 m, 0.45359237 kg, 9.80665 m/s²)
	require.Equal(t, "limit: axle-nut-torque: at least 59.0 lbf·ft", s.Full())
}

func TestFigures(t *testing.T) {
	require.Equal(t, "118.13", words.Figure(118.12499999999999, 2, unit.Point)) // a sum of sixths that is 118.125
	require.Equal(t, "-1,5", words.Figure(-1.5, 1, unit.Comma))
	require.Equal(t, "0.83 h", words.Hours(50, unit.Point))
	require.Equal(t, "113,0 h", words.Hours(6780, unit.Comma))
	require.Equal(t, "0.25", words.Short(0.25, unit.Point))
	require.Equal(t, "3", words.Short(3, unit.Comma))
	require.Equal(t, "10", words.Short(10, unit.Point))
	require.Equal(t, "0", words.Short(0, unit.Point))

	require.Equal(t, "4 min 05 s behind", words.Ahead(-245*time.Second))
	require.Equal(t, "4 min 00 s behind", words.Ahead(-239_600*time.Millisecond))
	require.Equal(t, "59 s ahead", words.Ahead(59*time.Second))
	require.Equal(t, "119 min 59 s ahead", words.Ahead(2*time.Hour-time.Second))
	require.Equal(t, "2 h 00 min behind", words.Ahead(-2*time.Hour))
	require.Equal(t, "47 h 59 min ahead", words.Ahead(48*time.Hour-time.Second))
	require.Equal(t, "5 days 2 h ahead", words.Ahead(7328*time.Minute+41*time.Second))
	require.Equal(t, "the same to the second", words.Ahead(-400*time.Millisecond))

	require.Equal(t, "pack case opened", words.Lower("Pack case opened"))
	require.Equal(t, "BMS limit changed", words.Lower("BMS limit changed"))
	require.Equal(t, "a power stud", words.Lower("A power stud"))
	require.Equal(t, "12 V wiring", words.Lower("12 V wiring"))
	require.Equal(t, "", words.Lower(""))
	require.Equal(t, "a; b", words.Join("; ", "", "a", "", "b"))
}
