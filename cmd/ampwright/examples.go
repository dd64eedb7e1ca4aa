package main

// examples are the examples of writing commands, by the name of the wish.
var examples = map[string]string{
	"start": `  ampwright start small-motorcycle-hub "Trail bike" --currency EUR --ceiling 5200 --target 2027-03-20
  ampwright start kart-chain Club kart --currency GBP
  ampwright start small-motorcycle-hub "Second bike" --from heron --learning 0.85 --currency EUR`,
	"hours": `  ampwright hours mot-05 1.5
  ampwright hours mot-05 14:00-16:30 --note "leads through the axle" --changes axle-disturbed
  ampwright hours mot-05 2h30 --finish --changes none
  ampwright hours 0.5 --note "tidied the bay"        hours on no task
  ampwright hours mot-05 2 --instead 3fa9c2d1        typed wrong before`,
	"on": `  ampwright on pkb-05
  ampwright on pkb-05 --at 19:05`,
	"off": `  ampwright off
  ampwright off --note "sensor 2 is in" --changes pack-opened
  ampwright off pkb-05 --hours 1.5                   the clock was forgotten`,
	"finish": `  ampwright finish brk-01
  ampwright finish brk-01 --at "2026-11-20 19:30"`,
	"reopen": `  ampwright reopen pkb-05 --note "sensor 2 reads high"`,
	"drop":   `  ampwright drop chs-04 --note "the shocks are new"`,
	"read": `  ampwright read motor-iso 8.2M --instrument "insulation tester"
  ampwright read dead-at-controller 0.4 --before 12.6 --after 12.6   prove, test, prove
  ampwright read axle-runout-found 0.08
  ampwright read pinch-torque 14.5 15 15.2 14.8          as many as it has points
  ampwright read title-clear yes
  ampwright read frame-number-photo --photo frame.jpg
  ampwright read pack-label-photo photo                  where the photo is kept elsewhere
  ampwright read frame-offset -- -1.2                a value below zero comes after --`,
	"change": `  ampwright change axle-disturbed --task mot-03
  ampwright change pack-opened,bms-wiring --note "sensor 2 changed"`,
	"buy": `  ampwright buy "crimp lugs 25 mm2" 18.90 --task har-01 --vendor "tool shop"
  ampwright buy "fuse 125 A" 24.50 --photo receipt.jpg
  ampwright buy "donor, complete" 780 --part donor-bike --receipt none`,
	"order": `  ampwright order "hub motor 3 kW" 649.00 --parts hub-motor --promised 2026-10-02
  ampwright order "display" 79 --unpaid`,
	"arrive":   `  ampwright arrive O7`,
	"promise":  `  ampwright promise O7 2026-11-27`,
	"pay":      `  ampwright pay O8`,
	"sell":     `  ampwright sell "engine, runs" 240 --fee 12.50 --post 18.90 --task str-05`,
	"refund":   `  ampwright refund O1 35 --what "allowance for late delivery"`,
	"estimate": `  ampwright estimate pkb-04 3/8/14`,
	"spec":     `  ampwright spec pack_mass_kg 37 --note "weighed"`,
	"limit":    `  ampwright limit axle-nut-torque --min "0.95 * spec_axle_nut_Nm" --note "manual of the motor, page 12"`,
	"due":      `  ampwright due retorque-moved --km 500 --note "own choice"`,
	"ride":     `  ampwright ride 312.5`,
	"photo": `  ampwright photo lug.jpg --task har-01 --note "crimped"
  ampwright photo label.jpg --part hub-motor`,
	"note": `  ampwright note spoke key is in the red drawer --task chs-03`,
	"raise": `  ampwright raise "sense leads 7 and 8 crossed" --check tap-step --disposition rework --how "leads changed over" --changes bms-wiring
  ampwright raise "cell 12 swollen" --disposition scrap --replacement "spare 3"`,
	"close": `  ampwright close NC-4 "retest within limits"`,
	"punch": `  ampwright punch A insulation to be measured again after the sensor change --task pkb-10
  ampwright punch B "side cover rubs the right shock"`,
	"concede": `  ampwright concede frame-offset "2 mm, runs true by hand" --second Ina`,
	"resume":  `  ampwright resume commissioning`,
	"release": `  ampwright release iso-pack --witness Ina`,
	"strike":  `  ampwright strike 3fa9c2d1 "booked twice"`,
	"settle":  `  ampwright settle task/pkb-04/estimate 3/8/14`,
	"sequence": `  ampwright sequence enc-04 enc-05
  ampwright sequence enc-04 enc-05 --off             no longer`,
	"add-stage": `  ampwright add-stage paint "Paint and trim"`,
	"add-task":  `  ampwright add-task enc "Cut the side covers" --estimate 1/2/4 --after enc-04`,
	"add-part":  `  ampwright add-part har-01 "cable gland M20" --qty 4 --low 2 --high 4`,
	"add-check": `  ampwright add-check har-01 "Gland nut torque" --kind measurement --unit Nm --min 5 --max 7 --hold`,
	"part":      `  ampwright part hub-motor fitted`,
	"build":     `  ampwright build --ceiling 5600 --note "the charger cost more"`,
	"away": `  ampwright away 2026-12-24 2027-01-03 --note "with the family"
  ampwright away 2026-12-24 --off                    no longer`,
	"shared": `  ampwright shared "second person" "sat sun"
  ampwright shared "insulation tester" 2026-12-04..2026-12-06
  ampwright shared "insulation tester" --off         it is bought`,
	"for-sale":    `  ampwright for-sale "wheels, pair" 60 --high 90`,
	"settings":    `  ampwright settings --mark comma --units metric`,
	"name-device": `  ampwright name-device "pocket phone" "shed phone"`,
	"strike-off": `  ampwright strike-off "pocket phone" "lost on the train"
  ampwright strike-off "pocket phone" "sold" --upto 3fa9c2d1   what it wrote later does not count`,
	"let-in": `  ampwright let-in 3fa9c2d1 --reason "written before the phone was lost"
  ampwright let-in --device "pocket phone" --reason "it was found"`,
	"instrument": `  ampwright instrument "insulation tester" --accuracy "3 % + 0.1 Mohm" --checked 2026-05-02`,
}

// also is what the help of some commands adds.
var also = map[string]string{
	"hours": "When it began is taken to be so that it ends now, unless --at says otherwise.",
	"read": "A reading keeps the limit it was taken under. What is out of limits is kept too.\n" +
		"A value 8 times the expected one or more, or an eighth or less, is read back and\nasked again before it is written; --yes says that the instrument does say so.\n" +
		"To look at a check: ampwright check CHECK.",
	"strike-off": "What is kept on the device cannot be called back. What it writes from now on is\nkept here but held back: it counts for nothing until it is let in. Of two who\nstrike a device off the lower cut holds; to move a cut, write it --instead of\nthe first; to undo it, strike its entry out.",
	"let-in":     "The device stays struck off.",
	"strike":     "The entry stays readable, marked as struck out. To write it right at once, use\n--instead with the command that wrote it.",
}

// reading names the command to look with, where its name is close to that of
// the one to write with.
var reading = map[string]string{
	"order":      "to look at orders: ampwright orders",
	"part":       "to look at parts: ampwright parts",
	"build":      "to look at builds: ampwright builds",
	"spec":       "to look at the spec sheet: ampwright sheet",
	"start":      "to look at the plans: ampwright plans",
	"strike-off": "to look at devices: ampwright devices",
	"let-in":     "to look at what is held: ampwright findings",
	"close":      "to look at what is open: ampwright findings",
}
