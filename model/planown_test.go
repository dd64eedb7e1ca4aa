package model_test

import (
	"bytes"
	"compress/flate"
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// own starts a build on the kart's plan with a logbook that reads plans of one's
// own.
func own(t testing.TB) *bench {
	b := start(t, kart)
	b.log.ReadPlans(plan.Load)
	return b
}

// kartFile is the file of the kart's newest plan as another version, with one
// piece of text put in another's place.
func kartFile(t testing.TB, version string, changes ...string) string {
	data, ok := plan.Source(kart, 0)
	require.True(t, ok)
	text := regexp.MustCompile(`"version": *\d+`).ReplaceAllString(string(data), `"version": `+version)
	for i := 0; i < len(changes); i += 2 {
		require.Contains(t, text, changes[i])
		text = strings.Replace(text, changes[i], changes[i+1], 1)
	}
	return text
}

// another opens a build beside the first; b is about it from then on.
func (b *bench) another(id uuid.UUID, planName, title string) {
	b.t.Helper()
	w := model.Wish{Name: "start", Values: map[string][]string{"plan": {planName}, "title": {title}, "currency": {"EUR"}}}
	drafts, err := b.log.Write(nil, w, model.Desk{Now: b.now, Person: "builder", Owner: "builder", Plans: b.plans, NewID: func() uuid.UUID { return id }})
	require.NoError(b.t, err)
	b.store(drafts)
	b.id = id
}

func refuses(t testing.TB, b *bench, want, wish string, pairs ...string) {
	t.Helper()
	_, err := b.try(wish, pairs...)
	require.ErrorContains(t, err, want)
}

// A plan of one's own is carried by the logbook, to the byte, and a version is
// never changed.
func TestOwnPlan(t *testing.T) {
	b := own(t)
	three := kartFile(t, "3")
	b.do(model.AddPlanWish, "file", three, "note", "slack on every ride")
	list := b.log.OwnPlans()
	require.Len(t, list, 1)
	require.NotNil(t, list[0].Plan, list[0].Why)
	require.Equal(t, "kart-chain@3", list[0].Ref.String())
	require.Equal(t, "slack on every ride", list[0].Note)
	require.Equal(t, three, string(b.log.PlanFile(list[0].Ref.Hash)))

	builtin, _ := plan.Source(kart, 2)
	refuses(t, b, "is in this logbook, to the byte", model.AddPlanWish, "file", three)
	refuses(t, b, "is built in, to the byte", model.AddPlanWish, "file", string(builtin))
	refuses(t, b, "kart-chain@3 is in this logbook with other bytes, and a version is never changed: give the file version 4", model.AddPlanWish, "file", three+"\n")
	refuses(t, b, "kart-chain@2 is built in with other bytes, and a version is never changed: give the file version 4", model.AddPlanWish, "file", string(builtin)+"\n")
	refuses(t, b, `plan: line 1: 'h', want a value`, model.AddPlanWish, "file", "hours")
	refuses(t, b, "want at most 512 kB", model.AddPlanWish, "file", strings.Repeat(" ", model.MaxPlan+1)+"x")
	refuses(t, b, "not UTF-8", model.AddPlanWish, "file", "\xff")

	// A build that starts now takes the newest; one that names a version takes that.
	for name, version := range map[string]int{kart: 3, kart + "@2": 2, kart + "@3": 3} {
		p, err := b.log.FindPlan(name, plan.Builtin)
		require.NoError(t, err)
		require.Equal(t, version, p.Version, name)
	}
	refuses(t, b, `plan "kart-chain@9": is not a plan this program has`, "start", "plan", kart+"@9", "title", "x", "currency", "EUR")
	refuses(t, b, "such as my-bike@3", "start", "plan", kart+"@new", "title", "x", "currency", "EUR")

	// Struck out it is no longer offered; what stands on it stands.
	b.another(uuid.UUID{0: 7}, kart+"@3", "second kart")
	b.do("strike", "entry", list[0].ID.String(), "reason", "not what was meant")
	require.Empty(t, b.log.OwnPlans())
	require.Equal(t, 3, b.build().Plan.Version)
}

// A replica that has not all of a plan's file says so in words, and makes the
// build once the rest comes, in whatever order.
func TestOwnPlanInPieces(t *testing.T) {
	data, _ := plan.Source(hub, 2)
	file := regexp.MustCompile(`"id": *"small-motorcycle-hub"`).ReplaceAllString(string(data), `"id": "my-bike"`)
	b := own(t)
	b.do(model.AddPlanWish, "file", file)
	b.another(uuid.UUID{0: 8}, "my-bike", "long trail")
	require.Equal(t, "my-bike", b.build().Plan.ID)

	pieces := 0
	var late [][]byte
	phone := model.NewLogbook()
	phone.ReadPlans(plan.Load)
	for _, raw := range b.raws {
		e, err := model.Decode(raw)
		require.NoError(t, err)
		if _, ok := e.Body.(*model.PlanFile); ok {
			if pieces++; pieces > 1 {
				late = append(late, raw)
				continue
			}
		}
		_, err = phone.Add(raw)
		require.NoError(t, err)
	}
	require.Greater(t, pieces, 2, "the file is long enough for several entries")
	_, err := phone.Build(b.id, b.now, plan.Builtin)
	require.EqualError(t, err, `build "long trail" stands on plan my-bike version 2, of whose file 1 of 3 pieces have come: bring the entries of the device that added it`)
	require.Equal(t, "1 of 3 pieces of its file have come", phone.OwnPlans()[0].Why)

	// One that was not told how to read plans, as none of an older version can be.
	blind := model.NewLogbook()
	for _, raw := range b.raws {
		_, err := blind.Add(raw)
		require.NoError(t, err)
	}
	_, err = blind.Build(b.id, b.now, plan.Builtin)
	require.ErrorContains(t, err, "which this program does not have: update the program")

	for i := range late {
		_, err := phone.Add(late[len(late)-1-i])
		require.NoError(t, err)
	}
	build, err := phone.Build(b.id, b.now, plan.Builtin)
	require.NoError(t, err)
	require.Equal(t, b.build().Plan.Hash, build.Plan.Hash)
}

// Whatever a piece holds, reading it is bounded and never takes wrong bytes for
// the file.
func TestOwnPlanDamaged(t *testing.T) {
	b := own(t)
	file := kartFile(t, "3")
	b.do(model.AddPlanWish, "file", file)
	var good model.PlanFile
	for _, raw := range b.raws {
		if e, _ := model.Decode(raw); e.Body.Kind() == "plan" {
			good = *e.Body.(*model.PlanFile)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		l := model.NewLogbook()
		l.ReadPlans(plan.Load)
		bad := good
		bad.Data = bytes.Clone(good.Data)
		i := rapid.IntRange(0, len(bad.Data)-1).Draw(t, "at")
		bad.Data[i] ^= byte(rapid.IntRange(1, 255).Draw(t, "bits"))
		bad.Pieces = rapid.Int64Range(0, 3).Draw(t, "pieces")
		e := model.Entry{Replica: uuid.UUID{15: 9}, Seq: 1, Stamp: 1, Body: &bad}
		raw, err := e.Encode()
		require.NoError(t, err)
		_, err = l.Add(raw)
		require.NoError(t, err)
		for _, o := range l.OwnPlans() {
			data := l.PlanFile(o.Ref.Hash) // DEFLATE has several ways to say the same
			require.True(t, data == nil || string(data) == file, "other bytes are taken for the file")
			require.Equal(t, data == nil, o.Plan == nil, o.Why)
			require.Equal(t, data == nil, o.Why != "", o.Why)
		}
	})

	// A small piece that unpacks to more than a plan may have.
	var packed bytes.Buffer
	w, err := flate.NewWriter(&packed, 9)
	require.NoError(t, err)
	_, err = w.Write(make([]byte, 4<<20))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	require.Less(t, packed.Len(), 15<<10)
	bomb := good
	bomb.Data, bomb.Pieces = packed.Bytes(), 1
	l := model.NewLogbook()
	l.ReadPlans(plan.Load)
	raw, err := (&model.Entry{Replica: uuid.UUID{15: 9}, Seq: 1, Stamp: 1, Body: &bomb}).Encode()
	require.NoError(t, err)
	_, err = l.Add(raw)
	require.NoError(t, err)
	require.Equal(t, "its file is larger than the 512 kB that are possible", l.OwnPlans()[0].Why)
}

// A build moves to a newer version of its plan as an act of its own. What it
// changes is told beforehand, and readings keep what they were judged by.
func TestMovePlan(t *testing.T) {
	b := own(t)
	for _, in := range [][2]string{{"chain-slack", "9 mm"}, {"pad-thickness", "2.5 mm"}, {"pedal-returns", "yes"}, {"chain-offset", "0.4 mm"}, {"fuel-out-kart", "yes"}, {"guard-photo", "photo"}} {
		b.later(time.Minute)
		b.do("read", "check", in[0], "value", in[1])
	}
	b.later(time.Minute)
	b.do("release", "point", "pedal-returns")
	require.Empty(t, b.build().Releases[0].Changed)

	find := func(check string) *model.Check { return b.build().Check(check) }
	require.Equal(t, model.Within, find("chain-slack").Verdict)
	require.Equal(t, model.Out, find("pad-thickness").Verdict)

	b.do(model.AddPlanWish, "file", editKart(t, func(checks map[string]map[string]any) {
		checks["chain-slack"]["min"] = map[string]any{"offset": 10}  // 9 mm is out now
		checks["pad-thickness"]["min"] = map[string]any{"offset": 2} // 2.5 mm would pass, and was out
		delete(checks["pad-thickness"], "example")
		checks["pedal-returns"]["title"] = "Pedal returns with either spring removed"
		checks["guard-photo"]["id"] = "guard-front-photo"
	}))
	to, err := b.log.FindPlan(kart+"@3", plan.Builtin)
	require.NoError(t, err)
	b.later(time.Minute)
	before := b.build()
	m, err := b.log.Moving(before, to)
	require.NoError(t, err)
	require.Empty(t, m.Faults)
	require.Equal(t, []string{
		"chain-slack: out of limits",
		"pedal-returns: stale: the plan kart-chain@3 asks for something else",
	}, m.Stale)
	require.Empty(t, m.Opened, "what was out of limits when it was taken is not let through by a looser limit")
	require.Equal(t, []string{"guard-photo: 1 reading"}, m.Left)
	require.Len(t, m.Releases, 1)
	require.Contains(t, m.Releases[0], "pedal-returns, signed by builder on 2026-09-01: pedal-returns: the plan kart-chain@3 asks for something else")
	require.Equal(t, []model.PlanDifference{
		{What: "check", ID: "pad-thickness", How: "changed", Text: "at least was 3, is 2"},
		{What: "check", ID: "chain-slack", How: "changed", Text: "at least was 8, is 10"},
		{What: "check", ID: "guard-front-photo", How: "added", Text: "Chain guard covers the run"},
		{What: "check", ID: "pedal-returns", How: "changed", Text: "title was Pedal returns with one spring removed, is Pedal returns with either spring removed"},
		{What: "check", ID: "guard-photo", How: "gone", Text: "Chain guard covers the run"},
	}, m.Differences)
	require.Equal(t, model.Within, find("chain-slack").Verdict, "nothing is written by looking")

	move := b.do(model.MovePlanWish, "plan", kart+"@3", "note", "slack was too small when warm")
	build := b.build()
	require.Equal(t, 3, build.Plan.Version)
	require.Equal(t, model.Out, build.Check("chain-slack").Verdict)
	require.Equal(t, before.Check("chain-slack").Current.Limit, build.Check("chain-slack").Current.Limit, "the limit it was judged by stays on it")
	require.Equal(t, model.Out, build.Check("pad-thickness").Verdict)
	require.True(t, build.Check("pad-thickness").Current.Kept)
	require.Equal(t, model.Stale, build.Check("pedal-returns").Verdict)
	require.Equal(t, move, build.Check("pedal-returns").Cause.Entry)
	require.Equal(t, model.Within, build.Check("chain-offset").Verdict)
	require.NotEmpty(t, build.Releases[0].Changed)
	line, ok := b.log.Line(move)
	require.True(t, ok)
	require.True(t, line.Must, "who does not know what a move is must not sign by the old limits")

	// Taken again it holds.
	b.later(time.Minute)
	b.do("read", "check", "pedal-returns", "value", "yes")
	require.Equal(t, model.Within, find("pedal-returns").Verdict)

	refuses(t, b, "the build stands on kart-chain@3 already", model.MovePlanWish, "plan", kart+"@3", "note", "x")
	refuses(t, b, "the build stands on kart-chain@3: want a newer version; to go back, strike out the move", model.MovePlanWish, "plan", kart+"@2", "note", "x")
	refuses(t, b, "want a version of it, not one of small-motorcycle-hub", model.MovePlanWish, "plan", hub, "note", "x")
	refuses(t, b, "note is missing", model.MovePlanWish, "plan", kart+"@3")

	b.do("strike", "entry", move.String(), "reason", "too early")
	require.Equal(t, 2, b.build().Plan.Version)
	require.Equal(t, model.Within, find("chain-slack").Verdict)
}

// What is on record of a task, a part or a measurement is not moved away from.
func TestMovePlanKeepsRecord(t *testing.T) {
	b := own(t)
	b.do("hours", "task", "dr-03", "hours", "2")
	b.do("read", "check", "chain-slack", "value", "9 mm")
	file := editKart(t, func(checks map[string]map[string]any) {
		checks["chain-slack"]["unit"] = "m"
		checks["chain-slack"]["min"], checks["chain-slack"]["max"] = map[string]any{"offset": 0.008}, map[string]any{"offset": 0.016}
		checks["chain-slack"]["example"] = map[string]any{"pass": 0.01, "fail": 0.02}
	})
	b.do(model.AddPlanWish, "file", strings.ReplaceAll(file, `"in-01"`, `"in-00"`))
	b.do("hours", "task", "in-01", "hours", "1")
	refuses(t, b, "task in-01 is gone from kart-chain@3 and has hours", model.MovePlanWish, "plan", kart+"@3", "note", "x")
	refuses(t, b, "check chain-slack has readings as measurement chain_slack_mm mm and would be measurement chain_slack_mm m: give it another ID in the file", model.MovePlanWish, "plan", kart+"@3", "note", "x")
}

// Two devices that move a build apart agree on where it stands, and say so.
func TestMovePlanApart(t *testing.T) {
	b := own(t)
	b.do(model.AddPlanWish, "file", kartFile(t, "3"))
	b.do(model.AddPlanWish, "file", kartFile(t, "4"))
	phone := b.join(2)
	phone.log.ReadPlans(plan.Load)
	b.do(model.MovePlanWish, "plan", kart+"@4", "note", "newest")
	phone.later(time.Second)
	phone.do(model.MovePlanWish, "plan", kart+"@3", "note", "next")
	b.hear(phone)
	phone.hear(b)
	for _, x := range []*bench{b, phone} {
		x.now = phone.now
		build := x.build()
		require.Equal(t, 3, build.Plan.Version)
		var said []string
		for _, f := range build.Findings {
			if f.Open && f.Kind == model.FindingClash {
				said = append(said, f.Text)
			}
		}
		require.Equal(t, []string{"the build was moved apart to kart-chain@4 (builder, laptop) and to kart-chain@3 (builder, phone): it stands on kart-chain@3 until it is moved again"}, said)
	}
	b.later(time.Minute)
	b.do(model.MovePlanWish, "plan", kart+"@4", "note", "that one")
	build := b.build()
	require.Equal(t, 4, build.Plan.Version)
	require.Len(t, build.Moves, 3)
	for _, f := range build.Findings {
		require.False(t, f.Open && f.Kind == model.FindingClash, f.Text)
	}
}

// editKart returns the kart's newest plan as version 3, with its checks edited.
func editKart(t testing.TB, edit func(checks map[string]map[string]any)) string {
	var f map[string]any
	require.NoError(t, json.Unmarshal([]byte(kartFile(t, "3")), &f))
	checks := map[string]map[string]any{}
	for _, x := range f["tasks"].([]any) {
		list, _ := x.(map[string]any)["checks"].([]any)
		for _, c := range list {
			checks[c.(map[string]any)["id"].(string)] = c.(map[string]any)
		}
	}
	edit(checks)
	data, err := json.Marshal(f)
	require.NoError(t, err)
	return string(data)
}
