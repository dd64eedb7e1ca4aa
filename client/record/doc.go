// Package record makes the build record: the paper that an inspector, an
// insurer or the next owner is handed. A [Record] is a document as data, made
// from a build and its logbook by [Make] and painted by others, as a page or
// as a PDF. It is a log of what was measured and no approval.
//
// Every figure names the entries of the logbook it comes from. [Verify] holds a
// record against a logbook: whether those entries are there byte for byte and
// still stand, and whether the figures follow from them. The heads of the
// logbook's chains stand in the record, and in short in its QR codes, see
// [Record.Codes]: with them anyone who kept the paper can tell later whether the
// logbook was written anew.
//
// The package does no I/O and reads no clock.
package record
