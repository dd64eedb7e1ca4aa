// Package idb keeps the logbook, its photos and its files in a browser's IndexedDB,
// for the phone, and once more in its Cache Storage.
//
// # The databases
//
// Database NAME, version 2, has one object store, "runs", whose keys count up
// and are never given twice. A record is one array of bytes: a [keep.Key], 40
// bytes, then a run (see [model.PackRun]); or 40 bytes of zero, which are no
// run's key, then seals, 104 bytes each: a [keep.SealKey], then the signature.
// (Version 1 had no seals.) An append adds a record for each chain it touches,
// and one for its seals. When some dozens have gathered, one transaction puts
// fewer, longer ones in their place, and leaves out the seals that [keep.Thin]
// names. So the highest key says whether another tab has written: it can't have
// done so without raising it.
//
// Database NAME-device, version 1, has one object store, "device", with three
// records. Under the key "this": who this copy of the logbook is, in JSON, with the
// fields of the laptop's device.json. Under "peers": what other devices were last
// heard to hold, as [ampwright/sync/peers] writes it; a memory, that may be lost.
// Under "photos": which photos and pieces of files the laptop was heard to hold,
// the 32 bytes of each name; a memory too.
// It is a database of its own so that the one can be lost without the other, and
// never leaves the phone.
//
// Database NAME-blobs, version 1, has one object store, "blobs": photos,
// and the pieces of files that were kept, by [keep.Blobs]. A whole one stands under
// the key [hash, size], hash in 64 hexadecimal digits, so that the list of all is
// made of keys alone. Of one that comes in parts each part stands under
// [hash, "part", end], end being how many bytes there are with it. It is a database
// of its own so that a tab with an older program, which knows no photos, goes on
// writing to its logbook.
//
// # The second copy
//
// All databases of a page lie in one LevelDB in Chromium, and Chromium deletes that
// whole if it finds its log damaged, as it is after a kill amid a record and two
// starts (google/leveldb, issue 1287, open in November 2026; TestHalfARecord in
// ../browser shows it). So what was written once more goes into Cache Storage, whose
// files are others, before it is said to be written down: into the cache NAME-second,
// under the address /phone/second/KEY. KEY is a record's key in "runs", a key of
// "device", or the hash of a blob that was made here and is nowhere else yet. (A
// CryptoKey can't be kept there: after a loss a device makes another key for
// sign-offs.) The second copy is read where "runs" turns out empty, and completed at
// every start. A browser without Cache Storage, without room for it, or that does not
// answer within ten seconds once, keeps the first copy alone until the next start.
//
// # Durability and tabs
//
// All writing is asked for with durability "strict", and is done when the
// transaction's "complete" event has come. A transaction that writes first looks
// whether the highest key is the one this tab knows; if not it writes nothing,
// reads what is new and starts again. So no tab writes on what it has not read.
// Numbers are given to entries before that, by the pen of the book: whoever
// does so must have the logbook to himself, see [Store.Hold]. Other tabs hear of
// it on a BroadcastChannel.
package idb
