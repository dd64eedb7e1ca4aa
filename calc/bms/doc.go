// Package bms reads the logs that battery management systems write as text, one
// line a moment, and says what they show: the voltage of each group at rest, the
// spread at rest and under load, peaks of current either way, temperatures, sag
// and energy. It reads a stream once, in memory that does not grow with it.
//
// Such logs are untidy. A byte-order mark, commas, semicolons or tabs, a decimal
// comma, a header that comes again after a reconnection, columns in any order,
// values in V or mV, cells that are missing (0 or 65535), a clock that jumps, a
// last line cut short and either sign of the current are all read; what was odd
// is counted and the first line of each kind named (common practice, no published
// source).
//
// The order of the cells is that of the log's columns. Whether it is that of the
// pack is not known until the sense leads were proved.
package bms
