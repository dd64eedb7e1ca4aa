// Package plan holds the built-in plans, the data files a build starts from,
// and reads plan files of the same format.
//
// # The file
//
// A plan file is one JSON object (RFC 8259, UTF-8), named ID.VERSION.json. It
// is edited by hand. A published version is never changed: builds name it by
// the SHA-256 of its bytes, so an edit is a new version in a new file. A field
// that is not listed here, a field given twice and null are errors. Fields
// marked ? may be left out, which means empty, zero or false.
//
//	format       text     "ampwright-plan/2"; in files of "ampwright-plan/1" no value
//	                      comes from a calculation and no part has qty_of
//	id           id       names the plan
//	version      whole    1 or more
//	title        text
//	notes ?      text     to be read before the build begins
//	inputs ?     list     the spec sheet: what a person types
//	derived ?    list     the spec sheet: what follows from it
//	changes ?    list     kinds of change that can make a reading stale
//	stages       list     areas of work, in the order they are shown
//	tasks        list     the work, at least one
//	milestones ? list     moments a person cares about
//	lists ?      list     checklists
//
// An id is of lower-case letters, digits and hyphens (that of a check may
// hold capitals, for a unit in it) and unique among its kind in the whole
// plan; chunks only within their list. A name is of letters, digits and
// underscores without a digit first, and unique among inputs and derived
// values. A unit is one that calc/unit knows. A formula is in the grammar of
// calc/formula; its names are inputs and derived values. With the defaults
// every formula and calculation must have a value.
//
// Text must not hold the words safe, safely, OK or okay, and the title of a
// check not the word checked: a plan asks for what is measured or seen, and
// promises nothing.
//
// # Inputs, derived values, changes, stages
//
//	inputs[]   id name, title, unit, default number, basis
//	derived[]  id name, title, unit; and formula, or calc with output ? and with ?
//	changes[]  id, title
//	stages[]   id, title
//
// A basis says where a number is from: "read:S1" was read in source S1,
// "recall" is trade memory that nobody has looked up, "own" is the builder's
// choice, "manual" belongs to the manual of the part, the default being a
// placeholder. The sources are listed below. Derived values may stand in any
// order but must not be computed from each other in a circle.
//
// A derived value comes from a calculation of the engineering desk wherever one
// gives it: value, working and source are then the calculation's.
//
//	calc      text    name of the calculation, as "ampwright calc --list" has it
//	output ?  name    of its outputs; the id if left out
//	with ?    object  input of the calculation: name on this sheet, where they differ
//
// An input that the output rests on is taken from the sheet's value of the same
// name, or of the name in with; if the sheet has neither the calculation takes
// its default, and if it has no default that is an error. Units must be the same
// on both sides. So
//
//	{"id": "stop_max_m", ..., "calc": "stop-distance", "output": "stop_front_max_m",
//	 "with": {"brake_front_min_ms2": "brake_min_ms2"}}
//
// A formula is for what belongs to one plan alone: in the built-in ones the laps
// of a kart on its track. Version 1 of both has formulas throughout.
//
// # Tasks
//
//	id             id
//	stage          id       of a stage
//	title          text
//	hours          object   low, likely, high: hands-on hours, 0 <= low <= likely <= high
//	wait_hours ?   object   the same for unattended hours after the work
//	after ?        ids      tasks to be finished first; no circle
//	skill          id       such as bench, machining, electrical-hv
//	min_block_min  whole    shortest useful stint in minutes, 1 to 1440
//	competent ?    text     whom local rules or prudence ask for
//	strict ?       bool     no hold opens here while one upstream is not current or conceded
//	tools ?        texts
//	hazards ?      texts
//	changes ?      ids      kinds of change the work may cause
//	parts ?        list
//	steps ?        texts    what the hands do, in order, each under 90 characters
//	checks ?       list     in the order they are taken
//
// # Parts
//
//	id             id
//	title          text
//	qty            whole    1 or more
//	qty_of ?       name     of the input or derived value that says how many, a part of
//	                        one counted whole; it must be qty with the defaults
//	unit           unit
//	price_minor    object   low, high: whole minor units of the currency, for one
//	lead_days      object   low, high: days from order to arrival
//	used_ok ?      bool     may be bought used
//	order_after ?  ids      holds to be passed before it is ordered
//
// # Checks
//
//	id               id
//	kind             "measurement", "yes-no" or "photo"
//	title            text
//	point ?          "hold": nothing after it begins before it is released;
//	                 "witness": a hold that a named second person sees;
//	                 "review": a hold on documents alone
//	basis            as for inputs
//	source           text     what the limit or the rule rests on
//	applies_if ?     formula  the check is asked for where this is not 0
//	points ?         texts    labels of separate readings
//	point_count ?    formula  or their number, a whole one from 1
//	instrument ?     text
//	ppe ?            text
//	stop_if ?        text     what ends the step at once
//	on_fail ?        text     what to do after a failure
//	depends_on ?     ids      gate: checks to be current and passed first, all of
//	                          them earlier in the same task or in a task upstream
//	invalidated_by ? ids      kinds of change that make the reading stale
//	valid_days ?     whole    days and
//	valid_km ?       whole    kilometres after which it is stale anyway
//
// and for measurements only
//
//	quantity         name     of what is measured
//	unit             unit     the reading is recorded in
//	min, max         bound    at least one of them
//	target ?         object   min or max: a bound better than the limit
//	screen_need ?    formula  sorting: a point out of limits rejects its item, and
//	                          the check passes when this many are good
//	derive ?         object   the value follows from the points of another check:
//	                          check id, op "spread" (highest less lowest), scale
//	                          (by which it is multiplied to come out in unit)
//	example ?        object   pass, fail: readings that pass and fail with the defaults
//	proof ?          bool     the tester is proved on a known source before and after, and
//	                          must show there what the limit would not let pass
//
// A bound is factor times the value of, plus offset, in the unit of the check:
//
//	factor ?  number  1 if left out
//	of ?      name    of an input or derived value
//	offset ?  number
//	strict ?  bool    the bound itself does not pass
//
// So {"of": "spec_stud_Nm", "factor": 0.95} is 95 % of the torque on the spec
// sheet, and {"offset": 5, "strict": true} as max is "below 5".
//
// # Milestones and lists
//
//	milestones[]  id, title, after: the tasks that make it
//	lists[]       id, title, mode, rule, chunks
//	chunks[]      id, title, steps, release
//
// The mode is "read-do" (read one item, do it, read the next) or "do-confirm".
// The steps of a chunk are 3 to 9 ids of checks, none twice in a list, and
// release says what the release of the chunk must name.
//
// # Sources
//
// Public pages and papers, read in excerpt and told in our words; editions
// and dates were not verified.
//
//	S1   UN R100, isolation resistance
//	S2   UN R100.02, annex on measuring with the vehicle's own battery, and a draft of 2019 in its form
//	S3   the same draft: bonding, orange cover of high-voltage cables
//	S4   UN R100, method of measuring: test voltage
//	S5   an article on UN R136 for category L; its clauses were not read
//	S6   a contactor maker's note on pre-charge and tacked contacts
//	S7   a resistor maker's and a student team's page on pre-charge
//	S8   pages on the breaking capacity, pulses and sizing of fuses
//	S9   BS 638 welding-cable table, in the appendix of a handbook
//	S10  two articles on the order of sense leads
//	S11  arXiv 2203.12376 and two pages on sorting used cells
//	S12  a pack maker's page and a how-to on joining cells in parallel
//	S13  a controller manual and a forum thread on throttle and hall leads
//	S14  controller documentation and a forum on regeneration into a full pack
//	S15  an article on hub-motor axles
//	S16  service manuals: run-out of axles and rims
//	S17  an article on checking axles again
//	S18  articles on hold and witness points
//	S19  a book excerpt on read-do and do-confirm
//	S20  pages on learning curves and three-point means
//	S21  a teaching exercise on road load; World Electr. Veh. J. 17 (2026) 90
//	S22  fire-service pages on charging and storing lithium cells
//	S23  a transport-training page on damaged cells
//	S24  AIS-123 part 3, amendment; a page on altered vehicles
//	S25  articles on proving dead
//	S26  ISO 6469-3:2021, scope
package plan
