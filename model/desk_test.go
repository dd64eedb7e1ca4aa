package model_test

import (
	"strings"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// A bench is one replica at work in a test. Its clock only moves when told.
type bench struct {
	t    testing.TB
	log  *model.Logbook
	pen  model.Pen
	id   uuid.UUID
	now  time.Time
	raws [][]byte

	plans model.PlanSource
}

// start opens a build from a plan on a replica of its own.
func start(t testing.TB, planID string) *bench { return startFrom(t, plan.Builtin, planID) }

func startFrom(t testing.TB, plans model.PlanSource, planID string) *bench {
	b := &bench{t: t, plans: plans, log: model.NewLogbook(), pen: model.Pen{Replica: uuid.UUID{15: 1}}, id: uuid.UUID{0: 9},
		now: time.Date(2026, 9, 1, 8, 0, 0, 0, time.UTC)}
	b.write(&model.Replica{Device: "laptop", Person: "builder"})
	b.do("start", "plan", planID, "title", "trial", "currency", "EUR", "ceiling", "1000")
	return b
}

// join makes a second replica that has heard all of b.
func (b *bench) join(n byte) *bench {
	o := &bench{t: b.t, plans: b.plans, log: model.NewLogbook(), pen: model.Pen{Replica: uuid.UUID{15: n}}, id: b.id, now: b.now}
	o.hear(b)
	o.write(&model.Replica{Device: "phone", Person: "builder"})
	return o
}

func (b *bench) hear(o *bench) {
	for _, raw := range o.raws {
		_, err := b.log.Add(raw)
		require.NoError(b.t, err)
	}
	b.pen.High = b.log.High()
}

func (b *bench) write(body model.Body, over ...model.ID) model.ID {
	return b.store([]model.Draft{{Body: body, Over: over}})
}

func (b *bench) store(drafts []model.Draft) model.ID {
	raws, err := b.pen.Write(drafts, model.StampAt(b.now))
	require.NoError(b.t, err)
	for _, raw := range raws {
		_, err := b.log.Add(raw)
		require.NoError(b.t, err)
	}
	b.raws = append(b.raws, raws...)
	return model.IDOf(raws[0])
}

func (b *bench) try(name string, pairs ...string) ([]model.Draft, error) {
	w := model.Wish{Name: name, Values: map[string][]string{}}
	for i := 0; i < len(pairs); i += 2 {
		w.Values[pairs[i]] = append(w.Values[pairs[i]], pairs[i+1])
	}
	var build *model.Build
	if len(b.log.BuildIDs()) > 0 {
		build = b.build()
	}
	return b.log.Write(build, w, model.Desk{
		Now: b.now, Person: "builder", Owner: "builder", Plans: b.plans, NewID: func() uuid.UUID { return b.id },
	})
}

// do makes a wish and returns the name of its first entry.
func (b *bench) do(name string, pairs ...string) model.ID {
	b.t.Helper()
	drafts, err := b.try(name, pairs...)
	require.NoError(b.t, err)
	return b.store(drafts)
}

func (b *bench) build() *model.Build {
	b.t.Helper()
	build, err := b.log.Build(b.id, b.now, b.plans)
	require.NoError(b.t, err)
	return build
}

func (b *bench) later(d time.Duration) { b.now = b.now.Add(d) }

const hub, kart = "small-motorcycle-hub", "kart-chain"

// Every wrong value is named, with what would have been accepted, and nothing
// is written.
func TestWrongWishes(t *testing.T) {
	b := start(t, hub)
	b.do("order", "what", "motor", "amount", "689", "parts", "hub-motor", "promised", "2026-10-09")
	n := len(b.raws)
	for _, tt := range []struct{ wish, values, want string }{
		{"hours", "task=mot-99|hours=1", `task "mot-99": is not a task of this build; there is mot-01, mot-02, mot-03`},
		{"hours", "task=mot-01", `hours is missing: want hours such as 0.5, 2h30, 150 min or 14:00-16:30`},
		{"hours", "task=mot-01|hours=two", `hours "two"`},
		{"hours", "task=mot-01|hours=26", `hours "26"`},
		{"hours", "task=mot-01|hours=-2", `hours "-2": is -2.00 h, want 1 min to 24 h`},
		{"hours", "task=mot-01|hours=1|at=yesterday", `at "yesterday": want a moment such as 2026-11-20 19:30`},
		{"hours", "task=mot-01|hours=1|at=2027-11-20", `at "2027-11-20": is more than a day ahead of this device's clock`},
		{"hours", "task=mot-01|hours=1|at=1926-11-20", `before the year 2000`},
		{"hours", "task=mot-01|hours=1|changes=wheel-off", `changes "wheel-off": is not a kind of change; there is wheel-removed`},
		{"hours", "task=mot-01|hours=1|changes=none,axle-disturbed", `changes "none": was given beside axle-disturbed`},
		{"hours", "hours=1|finish=yes", `finish "yes": needs a task`},
		{"hours", "hours=1|finish=perhaps", `finish "perhaps": want yes or no`},
		{"hours", "hours=1|colour=red", `colour "red": is not asked for by hours`},
		{"off", "", `no clock is running here`},
		{"drop", "task=chs-05", `note is missing: want the reason why the task is not needed`},
		{"reopen", "task=chs-05", `task "chs-05": is waiting already`},
		{"read", "check=axle-nut|value=105", `check "axle-nut": is not a check of this build; there is axle-nut-torque`},
		{"read", "check=axle-nut-torque|value=105", `want 2 values (left, right), got 1`},
		{"read", "check=motor-iso|value=45 V", `value "45 V": a resistance in ohm is wanted here`},
		{"read", "check=motor-iso|value=1,234", `value "1,234"`},
		{"read", "check=motor-iso|value=1.2.3", `value "1.2.3"`},
		{"read", "check=motor-iso|value=--5", `value "--5"`},
		{"read", "check=motor-iso", `value is missing: want what the instrument says, in ohm`},
		{"read", "check=halls-toggle|value=OK", `value "OK": want yes or no`},
		{"read", "check=weld-photos|value=1", `value "1": want photo`},
		{"read", "check=weld-photos|value=photo|photo=abc", `photo "abc": want the SHA-256 of the photo`},
		{"change", "changes=", `changes is missing: want at least one kind of change`},
		{"buy", "what=bolts|amount=12.345", `amount "12.345"`},
		{"buy", "what=bolts|amount=USD 12", `amount "USD 12"`},
		{"buy", "what=bolts|amount=-3", `amount "-3": want an amount above zero`},
		{"buy", "amount=3", `what is missing: want what was bought`},
		{"buy", "what=bolts|amount=3|part=bolt", `part "bolt": is not a part of this build`},
		{"order", "what=x|amount=3|promised=tomorrow", `promised "tomorrow": want a day written as 2026-11-20`},
		{"order", "what=x|amount=3|label=o1", `label "o1": is the number of another order`},
		{"arrive", "order=O9", `order "O9" is not in this build; there are O1`},
		{"refund", "of=O1|amount=700", `amount "700": is more than was paid`},
		{"refund", "of=beef|amount=7", `of "beef": want the name of an entry`},
		{"estimate", "task=mot-01|estimate=3/2/1", `estimate "3/2/1": want low/likely/high hours in ascending order`},
		{"estimate", "task=mot-01|estimate=-1/2/3", `estimate "-1/2/3": want low/likely/high hours in ascending order, 0 to 10000`},
		{"estimate", "task=mot-01|estimate=a/b/c", `estimate "a/b/c"`},
		{"spec", "name=pack_max_V|value=84", `name "pack_max_V": is computed: pack_max_V of pack-window`},
		{"spec", "name=cell_v|value=4", `name "cell_v": is not an input of the spec sheet; there is cell_v_max`},
		{"spec", "name=cell_V_max|value=4.2 Nm", `value "4.2 Nm"`},
		{"limit", "check=motor-iso|min=500 * pack_max_W|note=x", `"pack_max_W" is not on the spec sheet`},
		{"limit", "check=motor-iso|min=a lot|note=x", `min "a lot": want a number, or factor * name + offset`},
		{"limit", "check=halls-toggle|min=1|note=x", `check "halls-toggle": has no limit`},
		{"raise", "text=bent|disposition=shrug", `disposition "shrug": want one of rework, repair, scrap, concession`},
		{"close", "item=NC-7|evidence=x", `item "NC-7": want the name of an entry`},
		{"punch", "class=C|text=x", `class "C": want one of A, B`},
		{"concede", "check=motor-iso|reason=x|second=Builder", `second "Builder": is the first name too: a concession is signed by two people`},
		{"release", "point=motor-width-fits", `point "motor-width-fits": is not a hold point`},
		{"release", "point=dead-mechanical", `stays shut: dead-at-controller is not taken`},
		{"strike", "entry=zz|reason=x", `entry "zz": want the name of an entry of this build`},
		{"settle", "field=task/mot-01/estimate|value=1", `field "task/mot-01/estimate": was not written apart`},
		{"sequence", "before=mot-02|after=mot-02", `after "mot-02": comes before mot-02 already: the order would close a circle`},
		{"sequence", "before=mot-02|after=mot-01", `after "mot-01": comes before mot-02 already: the order would close a circle`},
		{"add-task", "stage=mox|title=x", `stage "mox": is not a stage of this build; there is mot`},
		{"add-check", "task=mot-01|title=x|kind=measurement|unit=furlong|min=1", `unit "furlong": want a unit this program knows`},
		{"add-check", "task=mot-01|title=x|kind=measurement|unit=V", `min is missing: want a lower or an upper limit`},
		{"add-part", "task=mot-01|title=x|qty=many", `qty "many": want a whole number from 1 to 10000`},
		{"add-part", "task=mot-01|title=x|low=9|high=3", `low "9": is above the highest price`},
		{"settings", "mark=semicolon", `mark "semicolon": want one of point, comma`},
		{"settings", "currency=gold", `currency "GOLD": want an ISO 4217 code such as EUR`},
		{"start", "plan=" + kart + "|title=x", `currency is missing: want an ISO 4217 code such as EUR`},
		{"instrument", "name=meter|accuracy=good", `accuracy "good": want a share and a step, such as 0.5 % + 0.02 V`},
		{"build", "", `nothing was filled in`},
		{"build", "week=200", `week "200": want hours a week above 0 and at most 168`},
		{"start", "plan=rocket|title=x|currency=EUR", `plan "rocket": is not a plan this program has`},
		{"start", "plan=" + kart + "|title=x|currency=XXY", `currency "XXY": want an ISO 4217 code such as EUR`},
		{"fly", "", `"fly" is nothing that can be written down here`},
	} {
		var pairs []string
		for _, p := range strings.Split(tt.values, "|") {
			if k, v, ok := strings.Cut(p, "="); ok {
				pairs = append(pairs, k, v)
			}
		}
		drafts, err := b.try(tt.wish, pairs...)
		require.ErrorContains(t, err, tt.want, "%s %s", tt.wish, tt.values)
		require.Empty(t, drafts)
	}
	require.Len(t, b.raws, n)
}

// The garage's currency is that of a new build that names none.
func TestCurrencyOfTheGarage(t *testing.T) {
	b := start(t, hub)
	b.do("settings", "currency", "jpy")
	drafts, err := b.try("start", "plan", kart, "title", "second")
	require.NoError(t, err)
	require.Equal(t, "JPY", drafts[0].Body.(*model.BuildStart).Currency)
}

// Several wrong values are named together, each with its field.
func TestAllErrorsAtOnce(t *testing.T) {
	b := start(t, hub)
	_, err := b.try("buy", "amount", "lots", "task", "nope")
	var w *model.WishError
	require.ErrorAs(t, err, &w)
	fields := map[string]bool{}
	for _, f := range w.Fields {
		fields[f.Field] = true
	}
	require.Equal(t, map[string]bool{"what": true, "amount": true, "task": true}, fields)
}
