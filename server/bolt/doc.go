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
// Bucket "about": key "schema" holds the version of this layout in decimal, 2;
// key "made by" the program that made the file; key "mark" 16 bytes of chance,
// by which a garage sees that its device.json belongs to this very file; key
// "turn" the number of the transaction that wrote last, 8 bytes big endian, which
// the meta page holds too.
//
// Buckets "loose" and "packed": the key is a [keep.Key], 16 bytes replica, 8
// bytes number of the first entry (big endian), 16 bytes name of the first
// entry; the value is a run (see [model.PackRun]).
//
// Bucket "seals": the key is made like a run's of the entry that is sealed, the
// value is the 64 bytes of a [model.Seal]'s signature. In "loose" seals have that
// key and the letter s after it. A file of schema 1 has no seals, and gets the
// bucket at Open.
//
// A bucket's sequence is, in its lower 32 bits, the number of entries and seals in
// it, so that none can vanish unnoticed. In "loose" and "seals", which come to hold
// as many as before, the upper 32 bits are those of the transaction that packed
// last, and the key of a byte ff and "pack" holds them too (4 bytes, big endian);
// before the first packing they are 0 and the key is not there.
//
// An append puts one run for each chain it touches, and the seals, into "loose".
// When some hundred have gathered, and at Open and Close, one transaction joins
// them into runs of up to [keep.MaxRun] entries in "packed", moves the seals to
// "seals", but for those that [keep.Thin] names, and empties "loose". They are
// several buckets because bbolt writes a whole leaf page again for any change in
// it, and a packed run fills many pages. Where chains end is not written down: it
// follows from the runs.
//
// # Trust
//
// bbolt trusts its pages: a damaged one makes it panic, some of them on a
// goroutine of its own where nothing can recover. So Open and Verify first walk
// the page tree with code that believes nothing (pages.go), and only a whole
// tree is given to bbolt. The content needs no checksum of its own: every
// entry's name is a hash of it and of the name before it. [Heal] makes a whole
// file of what reads of a damaged one and of entries that a backup or another
// device has.
package bolt
