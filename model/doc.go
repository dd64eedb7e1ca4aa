// Package model holds the logbook of a conversion and what follows from it.
//
// Everything a person does is one immutable [Entry]; nothing is overwritten or
// erased. A [Logbook] folds a set of entries: the result is the same whatever
// order they come in and however often. A [Build] is all that they say of one
// build at one moment: tasks, checks, readings and their verdicts, what is
// stale and why, parts, money, hours, findings. What a person wants to write
// down is a [Wish]; [Logbook.Write] turns it into entries or says what is wrong
// with it. The package does no I/O and reads no clock.
//
// # Bytes of an entry, format 1
//
// An entry is one CBOR map in the core deterministic encoding of RFC 8949,
// section 4.2.1, of integers, texts, byte strings, arrays, maps and true only.
// Values that are zero, empty or false are left out, so that one entry has one
// encoding. At most 16 KiB.
//
//	1  replica   16 bytes   who wrote it; a UUID
//	2  number    unsigned   1, 2, 3, ... in this replica's chain
//	3  before    16 bytes   name of entry number-1; left out at 1
//	4  build     16 bytes   a UUID; left out for what concerns the whole garage
//	5  stamp     unsigned   hybrid clock: ms since 1970 UTC << 16 | counter
//	6  kind      text       at most 40 bytes
//	7  author    text       the person, if not the one who keeps the replica
//	8  over      array      names of the entries this one replaces or strikes out, at most 16
//	9  must      true       a reader that does not know the kind must not sign off on the build
//	10 body      map        by kind, see bodies.go; keys are small unsigned integers
//
// The name of an entry is the first 16 bytes of the SHA-256 of these bytes.
// Since key 3 names the entry before it, a chain is tamper-evident.
//
// In every body that has one, key 1 is the moment the entry speaks of, seconds
// since 1970 UTC, and key 2 the offset of the writer's clock face from UTC in
// minutes. Readings are integers times a power of ten, money is in minor units
// of the build's currency, work in minutes: equal means equal on every device.
//
// A kind, or a field of a known kind, that a program does not know is kept byte
// for byte, counted and passed on. Keys never change their meaning. The logbook
// testdata/logbook/heron-1.jsonl was written in this format and must open for
// ever.
//
// # What is in force
//
// An entry is struck out when a strike, itself not struck out, names it in its
// over. It is replaced when an entry of its kind (a set: of its field) that is
// not struck out names it. It is held when its device was closed before it, see
// held.go: then it is as if it were not there. What is none of these is in
// force. Fields keep every
// writing; those in force are the field's heads, and two heads that differ are
// a clash: the later stamp is shown, the other kept in sight until somebody
// writes over both.
//
// What stands against a reading or a sign-off may be struck out, and then it stands
// again; unless of several such things no one device took away all: each may have
// seen it shut to the last, and meeting opens nothing, see apart.go. Nor does a
// reading stand that was judged by an input or a limit that was struck out since.
// To let a reading in counts as taking away what held it, to strike out what let
// something in as taking that away; an input that counts again is one that changed.
//
// # Lines of sheets
//
// An entry brought in from a sheet keeps a key made from what its line says
// (row). Of the entries of one kind with one key, not struck out, one is counted:
// see rows.go. A sheet that two devices brought in counts once.
//
// # Plans of one's own
//
// The file of a plan that is not built in stands in entries of kind plan, compressed
// and in pieces, under its SHA-256, see planfile.go. A build names its plan by that
// hash. A plan-move, written with must, has it stand on another version; struck out,
// it stands on the one before again.
//
// # Sign-offs
//
// A signature is under a release or a concession of its own device, see
// signature.go. From the first one on in a replica's chain, a sign-off of that
// replica without it counts for nothing.
//
// # Fields
//
//	task/KEY/estimate    "low/likely/high" hours      task/KEY/state   "finished", "not needed", "open"
//	task/KEY/title       text                         edge/A>B/on      "on", "off": A comes before B
//	spec/NAME/value      number, in the input's unit  check/KEY/min, max   "factor * name + offset", "none"
//	part/KEY/state       a PartState                  part/KEY/price   "low/high", minor units
//	check/KEY/days, km   after which it is due again  odometer/SECONDS/km   what it showed then
//	part/KEY/lead        "low/high" days              area/AREA/is     a task, a stage or "none"
//	order/ENTRY/promised day                          order/ENTRY/paid "yes"
//	build//title, donor, target, ceiling, week        garage//mark, units, paper, theme, currency
//	instrument/NAME/accuracy, checked                 sheet/HEADER/columns   how a sheet's columns are taken
//	away/DAY/until      the last day away, "no"          shared/NAME/days     weekdays and DAY..DAY, "no"
//	sale/WHAT/expected  "low/high", minor units, "no"
package model
