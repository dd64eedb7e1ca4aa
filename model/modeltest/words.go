package modeltest

// Keys and words as they stand in the plan "small-motorcycle-hub".
var (
	tasks = []string{
		"asm-03", "asm-04", "str-01", "str-03", "str-05", "chs-01", "chs-05", "chs-07", "mot-02", "mot-04",
		"mot-05", "mot-06", "mot-07", "mot-08", "brk-02", "brk-04", "cel-03", "cel-05", "cel-06", "cel-08",
		"pkb-01", "pkb-03", "pkb-04", "pkb-05", "pkb-06", "pkb-07", "enc-02", "enc-03", "elm-02", "har-02",
		"har-04", "har-05", "cms-04", "cms-07", "rdt-03",
	}
	changes = []string{
		"hv-wiring", "hv-joint-opened", "cell-joint-opened", "pack-opened", "bms-wiring", "bms-config", "fuse-changed",
		"chassis-fastener", "axle-disturbed", "motor-leads", "wheel-removed", "brake-opened", "lv-wiring", "frame-weld",
	}
	checks = []check{
		{key: "tap-step", unit: "V", exp: -3, points: 20, low: 3550, high: 3600},
		{key: "bms-vs-meter", unit: "mV", points: 20, low: 1, high: 11},
		{key: "cell-ir", unit: "mohm", exp: -2, points: 20, low: 55, high: 90},
		{key: "joint-resistance", unit: "ratio", exp: -2, points: 21, low: 100, high: 140},
		{key: "front-load-found", unit: "kg", exp: -1, points: 1, low: 500, high: 700},
		{key: "rim-runout-rear", unit: "mm", exp: -1, points: 1, low: 1, high: 20},
		{key: "axle-nut-torque", unit: "Nm", points: 2, low: 70, high: 95},
		{key: "pinch-torque", unit: "Nm", points: 4, low: 18, high: 27},
		{key: "crimp-drop", unit: "uohm", points: 4, low: 20, high: 90},
		{key: "wheel-offset", unit: "mm", exp: -1, points: 1, low: 1, high: 40},
		{key: "motor-iso", unit: "ohm", exp: 6, points: 1, low: 20, high: 500},
		{key: "iso-pack", unit: "ohm", exp: 5, points: 1, low: 20, high: 5000},
		{key: "pack-capacity", unit: "Ah", exp: -1, points: 1, low: 450, high: 520},
		{key: "cutoff-time", unit: "s", exp: -2, points: 5, low: 5, high: 40},
		{key: "arm-margin", unit: "ratio", exp: -1, points: 1, low: 30, high: 60},
		{key: "title-clear"}, {key: "frame-no-cracks"}, {key: "arm-no-rock"}, {key: "leads-free"},
		{key: "alarm-tested"}, {key: "hose-dry"}, {key: "earth-bond", unit: "ohm", exp: -3, points: 1, low: 10, high: 100},
	}
	instruments = []string{"meter 2", "four-wire meter", "dial gauge 1", "torque wrench 1", "two bathroom scales", "insulation tester"}
	remarks     = []string{
		"radius the slot, new sleeve", "left arm first, right one tomorrow", "seat was tight, eased with the file",
		"second joint looked dull, redone", "cable clears the swingarm now", "waiting for the longer bolts",
		"leads pulled through the slot for the trial fit", "front rim moves axially", "reviewer's comments closed",
		"lower left was loose", "cell 7 runs warm, watch it", "paint under the earth strap scraped off",
	}
	reasons = []string{"wrong task", "entered twice", "was on the other bike"}
	specs   = []string{"cells_series", "cells_parallel", "motor_kv", "axle_flat_mm", "mass_bike_kg", "pack_mass_kg", "batt_cont_A"}
	vendors = []string{"hardware shop", "metal yard", "electrical shop", "private seller", "cell breaker"}
	sold    = []string{"complete engine", "exhaust", "carburettor", "fuel tank", "loom and switches", "kick lever"}
	parts   = []part{
		{"bms", "pkd-05", "BMS 20 series with log output"},
		{"hub-motor", "mot-02", "hub motor 205 mm"},
		{"controller", "elm-01", "motor controller 90 V, programmable"},
		{"main-fuse", "pkb-07", "DC fuse and holder"},
		{"contactor", "pkb-07", "contactor with economiser"},
		{"busbar-copper", "pkb-03", "copper bar and insulation"},
		{"joining-kit", "pkb-04", "terminal hardware, joint paste"},
		{"sense-kit", "pkb-05", "sense leads, sensors, plugs"},
		{"enclosure-sheet", "enc-03", "aluminium sheet, angle, gasket"},
		{"steel-stock", "chs-02", "tube and plate"},
		{"cleaning-supplies", "str-04", "degreaser, bags"},
		{"traction-cable", "har-02", "traction cable 25 mm2"},
		{"tyres", "chs-07", "pair of tyres"},
		{"torque-arm-hw", "mot-05", "torque arm plate and bolts"},
	}
)

// A check is a plan's check with values that a reading of it may have.
type check struct {
	key, unit string
	exp       int64
	points    int
	low, high int64
}

type part struct{ key, task, title string }
