package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is typed wrong gets exit code 2, a line for each wrong value, a hint, and
// nothing is written.
func TestWrongValues(t *testing.T) {
	dir := heron(t)
	before := answer[buildsJSON](t, exitDone, "builds", "--garage", dir)
	for _, tt := range []struct {
		args []string
		want []string // without the name of the command in front of those that are no hint
	}{
		{[]string{"hours"}, []string{
			"hours is missing: want hours such as 0.5, 2h30, 150 min or 14:00-16:30",
			"hint: type ampwright hours [TASK] HOURS",
		}},
		{[]string{"hours", "mot-5", "1.5"}, []string{
			`task "mot-5": is not a task of this build; there is mot-01, mot-02, mot-03`,
			"hint: ampwright tasks lists the tasks",
		}},
		{[]string{"hours", "mot-05", "1.5", "rewound"}, []string{
			`hours "1.5 rewound": is not a time worked, want one such as 2.5, 2h30, 150 min or 14:00-16:30`,
			"hint: ampwright hours --help shows examples",
		}},
		{[]string{"hours", "mot-05", "30"}, []string{
			`hours "30": is 30.0 h, want 1 min to 24 h; minutes are typed as in 150 min`,
			"hint: ampwright hours --help shows examples",
		}},
		{[]string{"hours", "mot-05", "1", "--at", "noon", "--changes", "axle"}, []string{
			`at "noon": want a moment such as 2026-11-20 19:30, 19:30 (today) or 2026-11-20T19:30:00+01:00`,
			`changes "axle": is not a kind of change; there is axle-disturbed; or none`,
			"hint: ampwright task TASK shows what work on it may change",
		}},
		{[]string{"hours", "mot-05", "1", "--instead", "1111"}, []string{
			`instead "1111": want the name of an entry of this build as the logbook shows it, at least its first 4 letters`,
			"hint: ampwright log shows the entries",
		}},
		{[]string{"on", "mot-06"}, []string{
			`task "mot-06": is not needed: take it up again first`,
			"hint: ampwright on --help shows examples",
		}},
		{[]string{"off"}, []string{"no clock is running here", "hint: ampwright off --help shows examples"}},
		{[]string{"finish", "asm-01"}, []string{`task "asm-01": is finished already`, "hint: ampwright finish --help shows examples"}},
		{[]string{"drop", "str-05"}, []string{"note is missing: want the reason why the task is not needed", "hint: type ampwright drop TASK NOTE"}},
		{[]string{"read"}, []string{"check is missing: want the check that was taken", "hint: type ampwright read CHECK [VALUE]..."}},
		{[]string{"read", "iso-pak", "3M"}, []string{
			`check "iso-pak": is not a check of this build; there is iso-pack`, "hint: ampwright checks lists the checks",
		}},
		{[]string{"read", "parallel-delta", "1", "2", "3"}, []string{
			`value "1 2 3": want 20 values, got 3`, "hint: ampwright read --help shows examples",
		}},
		{[]string{"read", "title-clear", "perhaps"}, []string{`value "perhaps": want yes or no`, "hint: ampwright read --help shows examples"}},
		{[]string{"buy", "M8", "nuts", "4.20"}, []string{
			`"4.20" is one word too many: want ampwright buy WHAT AMOUNT`,
			"hint: put words that belong together in quotes; ampwright buy --help shows examples",
		}},
		{[]string{"buy", "nuts", "$4", "--part", "forks", "--task", "bar-1"}, []string{
			`amount "$4": has "$" where an amount in EUR is wanted`,
			`task "bar-1": is not a task of this build`,
			`part "forks": is not a part of this build; there is fork-seals`,
			"hint: ampwright tasks lists the tasks; ampwright parts lists the parts",
		}},
		{[]string{"sell", "tank", "-20"}, []string{
			"unknown shorthand flag: '2' in -20", "hint: put -- before a value below zero: ampwright sell ... -- -20",
		}},
		{[]string{"sell", "tank", "--", "-20"}, []string{
			`amount "-20": want an amount above zero: money that comes back is a refund, money earned a sale`,
			"hint: ampwright sell --help shows examples",
		}},
		{[]string{"order", "O7"}, []string{
			"amount is missing: want the amount of the order",
			"hint: type ampwright order WHAT AMOUNT; to look at orders: ampwright orders",
		}},
		{[]string{"order", "display", "12", "--promised", "tomorrow"}, []string{
			`promised "tomorrow": want a day written as 2026-11-20`, "hint: ampwright order --help shows examples",
		}},
		{[]string{"arrive", "O1"}, []string{`order "O1": came on 2026-10-21 already`, "hint: ampwright arrive --help shows examples"}},
		{[]string{"arrive", "O9"}, []string{
			`order "O9" is not in this build; there are O1, O2, O3, O4, O5, O6, O7`, "hint: ampwright arrive --help shows examples",
		}},
		{[]string{"refund", "O1", "7000"}, []string{`amount "7000": is more than was paid`, "hint: ampwright refund --help shows examples"}},
		{[]string{"estimate", "pkb-04", "8/3/14"}, []string{
			`estimate "8/3/14": want low/likely/high hours in ascending order, 0 to 10000, such as 3/8/14`,
			"hint: ampwright estimate --help shows examples",
		}},
		{[]string{"spec", "pack_mas", "3"}, []string{
			`name "pack_mas": is not an input of the spec sheet; there is pack_mass_kg`, "hint: ampwright sheet lists the inputs",
		}},
		{[]string{"punch", "C", "cover", "rubs"}, []string{`class "C": want one of A, B`, "hint: ampwright punch --help shows examples"}},
		{[]string{"concede", "iso-pack", "3.1", "Mohm", "is", "enough", "--second", "Builder"}, []string{
			`second "Builder": is the first name too: a concession is signed by two people`, "hint: ampwright concede --help shows examples",
		}},
		{[]string{"release", "iso-pack"}, []string{
			`point "iso-pack": stays shut: iso-pack is stale: Pack case opened`, "hint: ampwright release --help shows examples",
		}},
		{[]string{"strike", "12"}, []string{
			"reason is missing: want the reason",
			`entry "12": want the name of an entry of this build as the logbook shows it, at least its first 4 letters`,
			"hint: type ampwright strike ENTRY REASON; ampwright log shows the entries",
		}},
		{[]string{"start", "moped", "Moped"}, []string{
			"currency is missing: want an ISO 4217 code such as EUR", `plan "moped": is not a plan this program has`,
			"hint: add --currency; ampwright plans lists the plans",
		}},
		{[]string{"settings", "--mark", "semicolon"}, []string{
			`mark "semicolon": want one of point, comma`, "hint: ampwright settings --help shows examples",
		}},
		{[]string{"hours", "mot-05", "1", "--as-of", "2026-11-20"}, []string{
			`--as-of "2026-11-20" is for looking only`, "hint: say with --at when it was",
		}},
		{[]string{"hours", "mot-05", "1", "--tsk", "x"}, []string{"unknown flag: --tsk", "hint: ampwright hours --help lists the flags"}},
		{[]string{"task", "pkb"}, []string{
			`task "pkb" is not in this build`, "hint: there is pkb-01, pkb-02, pkb-03, pkb-04; ampwright tasks lists them",
		}},
		{[]string{"check", "iso"}, []string{
			`check "iso" is not in this build`, "hint: there is iso-harness, iso-live, iso-pack, iso-phases; ampwright checks lists them",
		}},
		{[]string{"tasks", "wheel"}, []string{
			`stage "wheel" is not in this build`,
			"hint: the stages are asm, str, chs, mot, brk, pkd, cel, pkb, enc, elm, har, lvs, cmb, cms, rdt, pap, aft",
		}},
		{[]string{"orders", "O9"}, []string{
			`order "O9" is not in this build; there are O1, O2, O3, O4, O5, O6, O7`, "hint: ampwright orders lists them",
		}},
		{[]string{"log", "nothing"}, []string{
			`nothing in the logbook is about "nothing"`,
			"hint: want the key of a task, check, part or order, or at least 4 letters of an entry's name",
		}},
		{[]string{"next", "--fit", "30"}, []string{`--fit "30" is 30.0 h, want 1 min to 24 h; minutes are typed as in 150 min`}},
		{[]string{"may"}, []string{"TASK is missing: want ampwright may TASK", "hint: ampwright may --help shows how it is used"}},
		{[]string{"show", "me"}, []string{`"me" is one word too many: want ampwright show`, "hint: ampwright show --help shows how it is used"}},
	} {
		code, out, talk := amp(t, append([]string{"--garage", dir}, tt.args...)...)
		require.Equal(t, exitUsage, code, tt.args)
		require.Empty(t, out, tt.args)
		var want []string
		for _, line := range tt.want {
			if !strings.HasPrefix(line, "hint: ") {
				line = "ampwright " + tt.args[0] + ": " + line
			}
			want = append(want, line)
		}
		require.Equal(t, want, strings.Split(strings.TrimSuffix(strings.TrimSuffix(talk, "\n"), "\nnothing was written"), "\n"), tt.args)
	}
	require.Equal(t, before, answer[buildsJSON](t, exitDone, "builds", "--garage", dir))
}
