// Package bolt keeps the logbook in one bbolt file, for the laptop and the
// command line.
//
// # The folder
//
// A folder (mode 0700) holds the file logbook.db (mode 0600) and, while a program
// has it open, held.json (mode 0600), which says who. One program at a time may
// write; bbolt's file lock sees to that.
//
// # The file
//
// Bucket "about": key "schema" holds the version of this layout in decimal, 1;
// key "made by" the program that made the file.
//
// Buckets "loose" and "packed": the key is a [keep.Key], 16 bytes replica, 8
// bytes number of the first entry (big endian), 16 bytes name of the first
// entry; the value is a run (see [model.PackRun]). A bucket's sequence is the
// number of entries in it, so that a run cannot vanish unnoticed.
//
// An append puts one run for each chain it touches into "loose". When some
// hundred have gathered, and at Open and Close, one transaction joins them into
// runs of up to [keep.MaxRun] entries in "packed" and empties "loose". They are
// two buckets because bbolt writes a whole leaf page again for any change in it,
// and a packed run fills many pages. Where chains end is not written down: it
// follows from the runs.
//
// # Trust
//
// bbolt trusts its pages: a damaged one makes it panic, some of them on a
// goroutine of its own where nothing can recover. So Open and Verify first walk
// the page tree with code that believes nothing (pages.go), and only a whole
// tree is given to bbolt. The content needs no checksum of its own: every
// entry's name is a hash of it and of the name before it.
package bolt
