// Package backup keeps a whole garage in one file: every entry and every blob
// (photos), with a checksum. It holds no private key: who restores it goes on
// under a new replica name.
//
// # The file, format ampwright-backup/1
//
// First the header: a line of JSON in UTF-8 of at most 1 MiB, ended by a line
// feed.
//
//	format   "ampwright-backup/1"
//	made     when, RFC 3339
//	program  what made it
//	replica  UUID of the copy it was made of
//	device   what that device is called
//	entries  how many entries follow
//	seals    how many seals follow; left out for none
//	blobs    how many blobs follow
//	chains   of each replica: "replica" its UUID, "heads" the last entries of its
//	         chain, each with "seq", its number, and "id", its name in hexadecimal
//	         digits; one head unless the chain forks
//
// Then items: first the runs, each after the one it follows, then the seals by
// replica, number and name, then the blobs by name, then the end. Numbers are 4 bytes, big endian.
//
//	run   'r', n, n bytes: DEFLATE (RFC 1951) of a run of entries (see
//	      ampwright/model, run.go) of at most 17 MiB
//	seals 's', n, n bytes: at most 4096 seals of 104 bytes each: replica (16),
//	      number of the entry (8, big endian), its name (16) and the signature
//	      (64), see ampwright/model, seal.go
//	blob  'b', n, 32 bytes: the blob's SHA-256, n bytes: the blob, at most 12 MiB
//	end   'e', 32 bytes: the SHA-256 of all bytes of the file before these 32
//
// Nothing follows the end. A blob is not compressed: photos are already. An entry
// is named by its hash and names the one before it, so every run can be checked
// by itself, and a damaged file says where. A seal is of an entry in the file and
// verifies with the key in the first entry of its chain.
package backup
