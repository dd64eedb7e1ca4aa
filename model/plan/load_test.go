package plan

import (
	"strings"
	"testing"

	"ampwright/calc/formula"
)

// small is a valid plan that each case below breaks in one place. All of it
// is invented.
const small = `{
 "format": "ampwright-plan/1",
 "id": "garden-cart",
 "version": 1,
 "title": "Garden cart",
 "notes": "Invented.",
 "inputs": [
  {"id": "cells", "title": "Cells in series", "unit": "count", "default": 4, "basis": "own"},
  {"id": "cell_V", "title": "Cell voltage", "unit": "V", "default": 3.5, "basis": "manual"}
 ],
 "derived": [
  {"id": "half_V", "title": "Half the pack", "unit": "V", "formula": "pack_V / 2"},
  {"id": "pack_V", "title": "Pack voltage", "unit": "V", "formula": "cells * cell_V"}
 ],
 "changes": [
  {"id": "rewired", "title": "Wiring changed"},
  {"id": "crash", "title": "Crash"}
 ],
 "stages": [
  {"id": "el", "title": "Electrics"},
  {"id": "tr", "title": "Trial"}
 ],
 "tasks": [
  {
   "id": "el-01",
   "stage": "el",
   "title": "Build the pack",
   "hours": {"low": 1, "likely": 2, "high": 4},
   "wait_hours": {"low": 0, "likely": 8, "high": 8},
   "skill": "bench",
   "min_block_min": 30,
   "changes": ["rewired"],
   "checks": [
    {
     "id": "cell-volts",
     "kind": "measurement",
     "title": "Voltage of each cell",
     "point": "hold",
     "basis": "own",
     "source": "builder's own limit",
     "quantity": "each_V",
     "unit": "V",
     "min": {"of": "cell_V", "factor": 0.9},
     "max": {"of": "cell_V", "offset": 0.7},
     "point_count": "cells",
     "screen_need": "cells - 1",
     "example": {"pass": 3.5, "fail": 3},
     "invalidated_by": ["rewired", "crash"],
     "valid_days": 90,
     "valid_km": 500
    },
    {
     "id": "cell-spread",
     "kind": "measurement",
     "title": "Highest less lowest cell",
     "basis": "recall",
     "source": "workshop habit",
     "quantity": "spread_mV",
     "unit": "mV",
     "max": {"offset": 30, "strict": true},
     "target": {"max": {"offset": 10}},
     "derive": {"check": "cell-volts", "op": "spread", "scale": 1000}
    },
    {
     "id": "label",
     "kind": "photo",
     "title": "Label in place",
     "basis": "own",
     "source": "builder's own rule"
    }
   ]
  },
  {
   "id": "tr-01",
   "stage": "tr",
   "title": "Roll",
   "hours": {"low": 0.5, "likely": 0.5, "high": 1},
   "after": ["el-01"],
   "skill": "riding",
   "min_block_min": 30,
   "competent": "second person",
   "strict": true,
   "tools": ["tape"],
   "hazards": ["crush"],
   "parts": [
    {"id": "motor", "title": "Hub motor", "qty": 1, "unit": "pc", "price_minor": {"low": 100, "high": 200}, "lead_days": {"low": 3, "high": 9}, "used_ok": true, "order_after": ["cell-volts"]}
   ],
   "steps": ["Clear the yard", "Roll and stop"],
   "checks": [
    {
     "id": "stops",
     "kind": "yes-no",
     "title": "Stops when the lever is pulled",
     "point": "witness",
     "basis": "read:S1",
     "source": "builder's own rule",
     "points": ["left", "right"],
     "applies_if": "pack_V > 10",
     "instrument": "eyes",
     "ppe": "gloves",
     "stop_if": "it rolls on",
     "on_fail": "adjust",
     "depends_on": ["cell-volts", "label"]
    }
   ]
  }
 ],
 "milestones": [
  {"id": "rolls", "title": "First roll", "after": ["tr-01"]}
 ],
 "lists": [
  {
   "id": "trial",
   "title": "Trial",
   "mode": "read-do",
   "rule": "one item at a time",
   "chunks": [
    {"id": "a", "title": "A. All of it", "release": "name, time", "steps": ["cell-volts", "label", "stops"]}
   ]
  }
 ]
}
`

func TestSmallIsValid(t *testing.T) {
	if _, err := Load("cart.json", []byte(small)); err != nil {
		t.Fatal(err)
	}
}

func TestFaults(t *testing.T) {
	for _, tt := range []struct {
		name     string
		old, new string // old is in small once
		want     string // lines without the file's name
	}{
		{"not JSON",
			`"version": 1,`,
			`"version": 1`,
			`line 5: '"', want a comma or }`},
		{"cut short",
			`"release": "name, time", "steps": ["cell-volts", "label", "stops"]}
   ]
  }
 ]
}
`,
			`"rel`,
			`line 118: the end, want a closing quote`},
		{"second value",
			`"stops"]}
   ]
  }
 ]
}
`,
			`"stops"]}
   ]
  }
 ]
}
{}`,
			`line 123: '{', want nothing more`},
		{"unknown field",
			`"used_ok": true`,
			`"used_okay": true`,
			`tasks[1].parts[0].used_okay: not a field of the format`},
		{"unknown field with content",
			`"competent": "second person"`,
			`"crew": {"a": [1, {"b": 2}]}`,
			`tasks[1].crew: not a field of the format`},
		{"field in another case",
			`"notes": "Invented."`,
			`"Notes": "Invented."`,
			`Notes: not a field of the format`},
		{"field twice",
			`"skill": "riding"`,
			`"skill": "riding", "skill": {"a": []}`,
			`tasks[1].skill: given twice`},
		{"field missing",
			`"skill": "riding",
`,
			``,
			`tasks[1].skill: missing`},
		{"two fields missing",
			`"price_minor": {"low": 100, "high": 200}, "lead_days": {"low": 3, "high": 9}`,
			`"price_minor": {"low": 100}, "lead_days": {"high": 9}`,
			`tasks[1].parts[0].price_minor.high: missing
tasks[1].parts[0].lead_days.low: missing`},
		{"null",
			`"notes": "Invented."`,
			`"notes": null`,
			`notes: null where text is wanted`},
		{"text for a number",
			`"default": 4`,
			`"default": "4"`,
			`inputs[0].default: "4" where a number is wanted`},
		{"number for text",
			`"title": "Roll"`,
			`"title": 7`,
			`tasks[1].title: 7 where text is wanted`},
		{"list for an object",
			`"hours": {"low": 0.5, "likely": 0.5, "high": 1}`,
			`"hours": [0.5, [0.5], {"high": 1}]`,
			`tasks[1].hours: a list where an object is wanted`},
		{"text for a list",
			`"tools": ["tape"]`,
			`"tools": "tape"`,
			`tasks[1].tools: "tape" where a list is wanted`},
		{"text for a switch",
			`"strict": true,
   "tools"`,
			`"strict": "yes",
   "tools"`,
			`tasks[1].strict: "yes" where true or false is wanted`},
		{"object for a list of text",
			`"hazards": ["crush"]`,
			`"hazards": [{"crush": true}]`,
			`tasks[1].hazards[0]: an object where text is wanted`},
		{"price not whole",
			`"price_minor": {"low": 100, "high": 200}`,
			`"price_minor": {"low": 1.5, "high": 200}`,
			`tasks[1].parts[0].price_minor.low: 1.5 is not a whole number`},
		{"number too large",
			`"default": 4`,
			`"default": 1e999`,
			`inputs[0].default: 1e999 is out of range`},
		{"other format",
			`ampwright-plan/1`,
			`ampwright-plan/3`,
			`format: "ampwright-plan/3", want one of ampwright-plan/1, ampwright-plan/2`},
		{"id of the plan",
			`"garden-cart"`,
			`"Garden cart"`,
			`id: "Garden cart" is not an id: want lower-case letters, digits and hyphens`},
		{"version",
			`"version": 1`,
			`"version": 0`,
			`version: 0, want 1 or more`},
		{"title empty",
			`"title": "Garden cart"`,
			`"title": " "`,
			`title: empty, want text`},
		{"promise in the notes",
			`"notes": "Invented."`,
			`"notes": "Perfectly safe."`,
			`notes: "safe" says nothing that can be seen or measured`},
		{"id used twice",
			`"id": "tr-01"`,
			`"id": "el-01"`,
			`tasks[1].id: "el-01" is already at tasks[0].id
milestones[0].after[0]: "tr-01" is not a task`},
		{"id of a check used twice",
			`"id": "stops"`,
			`"id": "label"`,
			`tasks[1].checks[0].id: "label" is already at tasks[0].checks[2].id
lists[0].chunks[0].steps[2]: "stops" is not a check`},
		{"id of a check",
			`"id": "stops"`,
			`"id": "it_stops"`,
			`tasks[1].checks[0].id: "it_stops" is not the id of a check: want letters, digits and hyphens
lists[0].chunks[0].steps[2]: "stops" is not a check`},
		{"name of an input",
			`"id": "cells", "title"`,
			`"id": "9cells", "title"`,
			`inputs[0].id: "9cells" is not a name: want letters, digits and underscores, no digit first
derived[1].formula: "cells" is not an input or derived value of the spec sheet
tasks[0].checks[0].point_count: "cells" is not an input or derived value of the spec sheet`},
		{"name the formula language needs",
			`"id": "half_V"`,
			`"id": "min"`,
			`derived[0].id: "min" is a word of the formula language`},
		{"name used twice",
			`"id": "half_V"`,
			`"id": "cell_V"`,
			`derived[0].id: "cell_V" is already at inputs[1].id
derived: a value is computed from itself: cell_V from pack_V from cell_V`},
		{"unknown unit",
			`"unit": "count"`,
			`"unit": "furlong"`,
			`inputs[0].unit: "furlong" is not a known unit`},
		{"basis",
			`"basis": "read:S1"`,
			`"basis": "read:page 4"`,
			`tasks[1].checks[0].basis: "read:page 4", want read:S and a number, recall, own or manual`},
		{"formula that does not parse",
			`"pack_V / 2"`,
			`"pack_V / "`,
			"derived[0].formula: " + formulaFault("pack_V / ")},
		{"formula with an unknown name",
			`"pack_V / 2"`,
			`"pack_W / cell_A"`,
			`derived[0].formula: "cell_A" is not an input or derived value of the spec sheet
derived[0].formula: "pack_W" is not an input or derived value of the spec sheet`},
		{"formula in a circle",
			`"cells * cell_V"`,
			`"2 * half_V"`,
			`derived: a value is computed from itself: half_V from pack_V from half_V`},
		{"formula without a value",
			`"pack_V / 2"`,
			`"pack_V / (cells - 4)"`,
			"derived[0].formula: with the defaults: " + formulaFault("pack_V / (cells - 4)")},
		{"stage",
			`"stage": "tr"`,
			`"stage": "rd"`,
			`tasks[1].stage: "rd" is not a stage`},
		{"estimate out of order",
			`"low": 1, "likely": 2, "high": 4`,
			`"low": 1, "likely": 5, "high": 4`,
			`tasks[0].hours: low 1, likely 5, high 4, want 0 <= low <= likely <= high`},
		{"estimate below zero",
			`"low": 1, "likely": 2, "high": 4`,
			`"low": -1, "likely": 2, "high": 4`,
			`tasks[0].hours: low -1, likely 2, high 4, want 0 <= low <= likely <= high`},
		{"waiting time out of order",
			`"low": 0, "likely": 8, "high": 8`,
			`"low": 0, "likely": 9, "high": 8`,
			`tasks[0].wait_hours: low 0, likely 9, high 8, want 0 <= low <= likely <= high`},
		{"task after an unknown one",
			`"after": ["el-01"]`,
			`"after": ["el-01", "el-02"]`,
			`tasks[1].after[1]: "el-02" is not a task`},
		{"task after one twice",
			`"after": ["el-01"]`,
			`"after": ["el-01", "el-01"]`,
			`tasks[1].after[1]: "el-01" is listed twice`},
		{"tasks in a circle",
			`"skill": "bench",`,
			`"skill": "bench", "after": ["tr-01"],`,
			`tasks: a task waits for itself: el-01 after tr-01 after el-01
tasks[1].parts[0].order_after[0]: "cell-volts" can only be taken once the part is there`},
		{"task after itself",
			`"after": ["el-01"]`,
			`"after": ["el-01", "tr-01"]`,
			`tasks: a task waits for itself: tr-01 after tr-01`},
		{"shortest stint",
			`"min_block_min": 30,
   "changes"`,
			`"min_block_min": 0,
   "changes"`,
			`tasks[0].min_block_min: 0, want minutes from 1 to 1440`},
		{"skill",
			`"riding"`,
			`"Riding"`,
			`tasks[1].skill: "Riding" is not a skill: want lower-case letters, digits and hyphens`},
		{"kind of change",
			`"changes": ["rewired"]`,
			`"changes": ["rewired", "repainted"]`,
			`tasks[0].changes[1]: "repainted" is not a kind of change`},
		{"promise in a tool",
			`"tools": ["tape"]`,
			`"tools": ["safe jack"]`,
			`tasks[1].tools[0]: "safe" says nothing that can be seen or measured`},
		{"step too long",
			`"Clear the yard"`,
			`"Clear the yard Clear the yard Clear the yard Clear the yard Clear the yard Clear the yard "`,
			`tasks[1].steps[0]: 90 characters, want fewer than 90`},
		{"quantity of parts",
			`"qty": 1`,
			`"qty": 0`,
			`tasks[1].parts[0].qty: 0, want 1 to 100000`},
		{"price the wrong way round",
			`"low": 100, "high": 200`,
			`"low": 300, "high": 200`,
			`tasks[1].parts[0].price_minor: low 300, high 200, want 0 <= low <= high <= 1000000000000`},
		{"lead time the wrong way round",
			`"low": 3, "high": 9`,
			`"low": -3, "high": 9`,
			`tasks[1].parts[0].lead_days: low -3, high 9, want 0 <= low <= high <= 3650`},
		{"order after what is no hold",
			`"order_after": ["cell-volts"]`,
			`"order_after": ["label"]`,
			`tasks[1].parts[0].order_after[0]: "label" is not a hold`},
		{"order after a check on the part",
			`"order_after": ["cell-volts"]`,
			`"order_after": ["stops"]`,
			`tasks[1].parts[0].order_after[0]: "stops" can only be taken once the part is there`},
		{"kind of check",
			`"kind": "photo"`,
			`"kind": "picture"`,
			`tasks[0].checks[2].kind: "picture", want one of measurement, yes-no, photo`},
		{"point",
			`"point": "witness"`,
			`"point": "witnessed"`,
			`tasks[1].checks[0].point: "witnessed", want one of hold, witness, review`},
		{"promise in a title",
			`"Stops when the lever is pulled"`,
			`"Brake OK"`,
			`tasks[1].checks[0].title: "OK" says nothing that can be seen or measured`},
		{"verdict in a title",
			`"Stops when the lever is pulled"`,
			`"Brake checked"`,
			`tasks[1].checks[0].title: "checked" is a verdict, want what is seen or measured`},
		{"limit of an unknown value",
			`"max": {"of": "cell_V", "offset": 0.7}`,
			`"max": {"of": "pack_max_W"}`,
			`tasks[0].checks[0].max.of: "pack_max_W" is not an input or derived value of the spec sheet`},
		{"factor of nothing",
			`"max": {"of": "cell_V", "offset": 0.7}`,
			`"max": {"factor": 2, "offset": 8}`,
			`tasks[0].checks[0].max.factor: 2 of nothing: want of as well`},
		{"factor 0",
			`"max": {"of": "cell_V", "offset": 0.7}`,
			`"max": {"factor": 0, "of": "cell_V", "offset": 8}`,
			`tasks[0].checks[0].max.factor: 0 takes nothing of "cell_V": want another factor, or offset alone`},
		{"limit too large",
			`"factor": 0.9`,
			`"factor": 1e308`,
			`tasks[0].checks[0].min: too large a number with the defaults`},
		{"limits that let nothing pass",
			`"max": {"of": "cell_V", "offset": 0.7}`,
			`"max": {"offset": 3}`,
			`tasks[0].checks[0]: nothing passes with the defaults: want >= 3.15 and <= 3
tasks[0].checks[0].example.pass: 3.5 fails with the defaults: want >= 3.15 and <= 3`},
		{"measurement without a limit",
			`"max": {"offset": 30, "strict": true},
     "target": {"max": {"offset": 10}},
`,
			``,
			`tasks[0].checks[1]: a measurement without a limit, want min, max or both`},
		{"measurement without a quantity",
			`"quantity": "each_V",
`,
			``,
			`tasks[0].checks[0].quantity: "" is not a name: want letters, digits and underscores, no digit first`},
		{"quantity of the spec sheet",
			`"quantity": "each_V"`,
			`"quantity": "cell_V"`,
			`tasks[0].checks[0].quantity: "cell_V" is already a value of the spec sheet`},
		{"yes-no with limits",
			`"kind": "yes-no",`,
			`"kind": "yes-no", "unit": "V", "min": {"offset": 1},`,
			`tasks[1].checks[0]: not a measurement, so leave out unit, min`},
		{"target outside the limit",
			`{"max": {"offset": 10}}`,
			`{"max": {"offset": 30}}`,
			`tasks[0].checks[1].target: <= 30 is outside the limit with the defaults: want < 30`},
		{"target on both sides",
			`{"max": {"offset": 10}}`,
			`{"min": {"offset": 5}, "max": {"offset": 10}}`,
			`tasks[0].checks[1].target: want either min or max`},
		{"example that should pass",
			`"pass": 3.5`,
			`"pass": 4.5`,
			`tasks[0].checks[0].example.pass: 4.5 fails with the defaults: want >= 3.15 and <= 4.2`},
		{"example that should fail",
			`"fail": 3}`,
			`"fail": 4.2}`,
			`tasks[0].checks[0].example.fail: 4.2 passes with the defaults: want other than >= 3.15 and <= 4.2`},
		{"points twice",
			`"points": ["left", "right"]`,
			`"points": ["left", "left"]`,
			`tasks[1].checks[0].points[1]: "left" is listed twice`},
		{"points and their number",
			`"points": ["left", "right"]`,
			`"points": ["left"], "point_count": "2"`,
			`tasks[1].checks[0]: points and point_count together, want one of them`},
		{"number of points not whole",
			`"point_count": "cells"`,
			`"point_count": "cells / 3"`,
			`tasks[0].checks[0].point_count: "cells / 3" is 1.3333333333333333 with the defaults, want a whole number from 1`},
		{"more good ones than points",
			`"cells - 1"`,
			`"cells + 1"`,
			`tasks[0].checks[0].screen_need: 5 with the defaults, want at most the 4 points`},
		{"derived from one point",
			`{"check": "cell-volts", "op"`,
			`{"check": "label", "op"`,
			`tasks[0].checks[1].derive.check: "label" is not a measurement with several points
tasks[0].checks[1].derive.check: "label" comes later in the same task`},
		{"derived by an unknown operation",
			`"op": "spread", "scale": 1000`,
			`"op": "mean", "scale": 0`,
			`tasks[0].checks[1].derive.op: "mean", want one of spread
tasks[0].checks[1].derive.scale: 0, want more than 0`},
		{"gate unknown",
			`"depends_on": ["cell-volts", "label"]`,
			`"depends_on": ["cell-volts", "sticker"]`,
			`tasks[1].checks[0].depends_on[1]: "sticker" is not a check`},
		{"gate later in the task",
			`"source": "workshop habit",`,
			`"source": "workshop habit", "depends_on": ["label"],`,
			`tasks[0].checks[1].depends_on[0]: "label" comes later in the same task`},
		{"gate on itself",
			`"depends_on": ["cell-volts", "label"]`,
			`"depends_on": ["stops"]`,
			`tasks[1].checks[0].depends_on[0]: "stops" is this check itself`},
		{"gate not upstream",
			`"source": "workshop habit",`,
			`"source": "workshop habit", "depends_on": ["stops"],`,
			`tasks[0].checks[1].depends_on[0]: "stops" is not upstream: this task does not come after its task`},
		{"stale by an unknown change",
			`["rewired", "crash"]`,
			`["rewired", "flood"]`,
			`tasks[0].checks[0].invalidated_by[1]: "flood" is not a kind of change`},
		{"stale by one change twice",
			`["rewired", "crash"]`,
			`["crash", "crash"]`,
			`tasks[0].checks[0].invalidated_by[1]: "crash" is listed twice`},
		{"valid for less than no time",
			`"valid_days": 90`,
			`"valid_days": -1`,
			`tasks[0].checks[0].valid_days: -1, want 0 or more`},
		{"valid for less than no way",
			`"valid_km": 500`,
			`"valid_km": -1`,
			`tasks[0].checks[0].valid_km: -1, want 0 or more`},
		{"applies_if",
			`"pack_V > 10"`,
			`"pack_V >"`,
			"tasks[1].checks[0].applies_if: " + formulaFault("pack_V >")},
		{"milestone without tasks",
			`"title": "First roll", "after": ["tr-01"]`,
			`"title": "First roll", "after": []`,
			`milestones[0].after: empty, want the tasks that make the milestone`},
		{"milestone after an unknown task",
			`"title": "First roll", "after": ["tr-01"]`,
			`"title": "First roll", "after": ["tr-02"]`,
			`milestones[0].after[0]: "tr-02" is not a task`},
		{"mode of a list",
			`"read-do"`,
			`"do-read"`,
			`lists[0].mode: "do-read", want one of read-do, do-confirm`},
		{"step that is no check",
			`["cell-volts", "label", "stops"]`,
			`["cell-volts", "label", "brakes"]`,
			`lists[0].chunks[0].steps[2]: "brakes" is not a check`},
		{"step twice",
			`["cell-volts", "label", "stops"]`,
			`["cell-volts", "label", "stops", "label"]`,
			`lists[0].chunks[0].steps[3]: "label" is listed twice`},
		{"step in two chunks",
			`"stops"]}`,
			`"stops"]},
    {"id": "b", "title": "B.", "release": "name", "steps": ["cell-spread", "label", "stops"]}`,
			`lists[0].chunks[1].steps[1]: "label" is already in an earlier chunk
lists[0].chunks[1].steps[2]: "stops" is already in an earlier chunk`},
		{"chunk too short",
			`["cell-volts", "label", "stops"]`,
			`["cell-volts", "stops"]`,
			`lists[0].chunks[0].steps: 2 steps, want 3 to 9`},
		{"several at once",
			`"skill": "bench",
   "min_block_min": 30,`,
			`"skill": "",
   "min_block_min": -5,`,
			`tasks[0].skill: "" is not a skill: want lower-case letters, digits and hyphens
tasks[0].min_block_min: -5, want minutes from 1 to 1440`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if n := strings.Count(small, tt.old); n != 1 {
				t.Fatalf("%q is %d times in the small plan, want once", tt.old, n)
			}
			_, err := Load("cart.json", []byte(strings.Replace(small, tt.old, tt.new, 1)))
			if err == nil {
				t.Fatalf("no error, want %s", tt.want)
			}
			want := "cart.json: " + strings.ReplaceAll(tt.want, "\n", "\ncart.json: ")
			if err.Error() != want {
				t.Errorf("got\n%v\nwant\n%s", err, want)
			}
		})
	}
}

// formulaFault is what the formula package says of a formula that has no
// value when every name stands for 4.
func formulaFault(text string) string {
	e, err := formula.Parse(text)
	if err == nil {
		_, err = e.Eval(func(string) (float64, bool) { return 4, true })
	}
	return err.Error()
}

func TestFaultsWithoutTasks(t *testing.T) {
	_, err := Load("none.json", []byte(`{"format": "ampwright-plan/1", "id": "none", "version": 1, "title": "None", "stages": [], "tasks": []}`))
	if want := "none.json: tasks: empty, want one task or more"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

func FuzzLoad(f *testing.F) {
	f.Add([]byte(small))
	f.Add([]byte(worked))
	f.Add([]byte(`{"tasks": [{"checks": [{"min": {"of": "x", "factor": null}}]}]}`))
	f.Add([]byte(`[[[`))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Load("fuzz.json", data)
		if (p == nil) == (err == nil) {
			t.Errorf("plan %v and error %v: want just one of them", p, err)
		}
		if err != nil && !strings.HasPrefix(err.Error(), "fuzz.json: ") {
			t.Errorf("error without the name of the file: %v", err)
		}
	})
}

// What is no JSON is all that is said: the rest may follow from it.
func TestNoJSON(t *testing.T) {
	for data, want := range map[string]string{
		"":                        "p: line 1: the end, want a value",
		"{\"colour\": 1,\n}":      "p: line 2: '}', want the name of a field, in quotes",
		"{\"colour\": [1,\n;]}":   "p: line 2: ';', want a value",
		"{\"version\": \"x\"}\n1": "p: line 2: '1', want nothing more",
	} {
		_, err := Load("p", []byte(data))
		if err == nil || err.Error() != want {
			t.Errorf("%q: %v, want %s", data, err, want)
		}
	}
}
