//go:build browser

package browser

import "strings"

// An item is what is typed at one item of the commissioning list: values of a
// measurement, or what is seen. Of what follows from another reading neither is.
type item struct {
	check  string
	values []string
	seen   string
}

// proved is what a tester shows on a known source, before and after.
var proved = []string{"12.6", "12.5"}

// items are the 59 of the demo's list in their order. The figures are made up,
// inside the limits that the demo's spec sheet gives.
var items = []item{
	{"dead-at-controller", values("0.4"), ""},
	{"visual-pass", nil, "nothing loose, chafed, bare, pinched or missing; drawing of 12 Nov"},
	{"marks-unbroken", nil, "38 marks, every line whole"},
	{"pressures", values("190 210"), ""},
	{"polarity-dead", nil, "controller, DC-DC and charger each to the right pole"},
	{"no-short-bus", nil, "climbs from 90 ohm past 20 kohm"},
	{"bond-resistance", values("0.02 0.03 0.021 0.018 0.04"), ""},
	{"electronics-unplugged", nil, "five plugs out and tagged, contactor bridged"},
	{"iso-harness", values("6.8M"), ""},
	{"iso-phases", values("12M"), ""},
	{"reconnected-torqued", nil, "discharged, five plugs in, six studs marked"},
	{"disconnect-opens", nil, "open both sides, closed when in, reached in 3 s"},
	{"fuse-present", nil, "100 A, 150 V DC, 20 kA as on the sheet"},
	{"group-volts", values("3.71 3.71 3.70 3.71 3.72 3.71 3.71 3.70 3.71 3.714 3.71 3.71 3.71 3.72 3.71 3.71 3.70 3.71 3.71 3.71"), ""},
	{"group-spread", nil, ""},
	{"bms-order-and-limits", nil, "groups 1 to 20 in order, limits as in the table"},
	{"lv-no-smoke", nil, "0.31 A, nothing warm"},
	{"lamps-horn", nil, "all six work"},
	{"interlocks-lv", nil, "all five change input and coil as drawn"},
	{"first-live-ready", nil, "Ina at the lanyard, door open, wheel free, throttle out"},
	{"precharge-level", values("0.975"), ""},
	{"precharge-time", values("1.5"), ""},
	{"contactor-cycles", nil, "ten of ten, bus decays, no spark"},
	{"iso-live", values("2.9M"), ""},
	{"dcdc-volts", values("13.6"), ""},
	{"cfg-batt-limit", values("60"), ""},
	{"cfg-over-volt", values("83.5"), ""},
	{"cfg-under-volt", values("62.0"), ""},
	{"cfg-regen", values("10"), ""},
	{"cfg-backup", nil, ""},
	{"stand-secure", nil, "strapped to the bench, rear wheel 80 mm up"},
	{"learn-current", values("2.4"), ""},
	{"direction-forward", nil, "turns forwards"},
	{"idle-creep", values("0"), ""},
	{"throttle-rest", values("0.85"), ""},
	{"throttle-full", values("3.6"), ""},
	{"throttle-faults-safe", nil, "four faults, the wheel stops each time"},
	{"cutoff-time", values("0.2 0.18 0.21 0.3 0.2"), ""},
	{"regen-peak", values("9"), ""},
	{"regen-top-volts", values("83.1"), ""},
	{"lug-rise", values("9 11 8.5 7 12 9 10"), ""},
	{"marks-after-heat", nil, "every line whole after 20 min"},
	{"charge-stop", values("81.9"), ""},
	{"charge-cutoff-proved", nil, "BMS opens at the test limit, charger off"},
	{"drive-inhibit-on-charge", nil, "no drive with the plug in"},
	{"low-speed-pass", nil, "20 min, walking pace to 15 km/h, nothing odd"},
	{"after-low-look", nil, "marks whole, nothing warm"},
	{"stop-front", values("9.4"), ""},
	{"stop-rear", values("13.2"), ""},
	{"motor-temp-run", values("78"), ""},
	{"controller-temp-run", values("55"), ""},
	{"cell-temp-run", values("34"), ""},
	{"sag-check", values("2.4"), ""},
	{"regen-road", values("19"), ""},
	{"retorque-moved", values("1"), ""},
	{"spokes-even", nil, "36 ring alike, rim 0.8 mm"},
	{"energy-per-km", values("34"), ""},
	{"range-usable", values("63"), ""},
	{"punch-closed", nil, "no A open, two B with a date"},
}

func values(typed string) []string { return strings.Fields(typed) }

// upstream are the other checks that the list stands on: they are taken before it
// begins, but for stud-torque.
var upstream = []item{
	{"chassis-marks-photo", nil, ""}, {"axle-marks-photo", nil, ""}, {"axle-exit-photo", nil, ""},
	{"mount-torque", values("24 24.1 23.9 24"), ""}, {"pinlist-pass", nil, "32 of 32"}, {"coil-path", nil, "as drawn"},
	{"tap-step", values("3.71 3.71 3.70 3.71 3.72 3.71 3.71 3.70 3.71 3.71 3.71 3.71 3.71 3.72 3.71 3.71 3.70 3.71 3.71 3.71"), ""},
	{"iso-pack", values("3.2M"), ""}, {"dye-clean", nil, "no line"}, {"head-no-play", nil, "none"}, {"leads-free", nil, "free lock to lock"},
	{"axle-nut-torque", values("105 105"), ""}, {"two-independent-brakes", nil, "front disc, rear drum"}, {"stay-load-path", nil, "as drawn"},
	{"no-leak-hold", nil, "dry after 5 min"}, {"switch-before-bite", nil, "both"}, {"terminal-torque", values(strings.Repeat("6.0 ", 80)), ""},
	{"mount-load", values("3000"), ""}, {"sweep-gap", values("11"), ""}, {"throttle-snaps-back", nil, "at once, both locks"},
	{"disconnect-reach", nil, "left side, under the seat"}, {"ready-lamp", nil, "lit when ready"}, {"earth-bond", values("0.03"), ""},
	{"static-hold", values("420"), ""}, {"lining-thickness", values("3.2 3.2"), ""}, {"rim-runout-rear", values("0.8"), ""},
	{"record-complete", nil, "all sheets there"}, {"inspection-passed", nil, "by the inspector, no remarks"},
	{"registered-electric", nil, "papers of 18 Nov"}, {"insured-as-converted", nil, "letter of 19 Nov"},
}

// strengths is what stud-torque shows.
const strengths = "9.0 9.1 9.0 8.9 9.0 9.0 9.1 9.0 9.0 9.0"
