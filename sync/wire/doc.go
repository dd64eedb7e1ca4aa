// Package wire turns what two replicas say to each other into frames and back.
// It does no I/O. The words below are the whole protocol, version 1: a second
// implementation needs them, the bytes of an entry (package model) and the
// examples in testdata/link. Who says what when is carried out in
// [ampwright/sync/session].
//
// # What is replicated
//
// A garage is one logbook: the chains of all its replicas. A replica's name is a
// random UUID. Its first entry carries its Ed25519 key (RFC 8032), each entry
// names the one before it by its hash, so the key is bound to the name and an
// entry to all below it. An entry is the pair of its number and its name: numbers
// alone are not enough, a device that was copied or set back gives one number
// twice. The ends of a chain are its heads: one, or several where it parts.
//
// A seal is a signature under a chain up to one entry, over
//
//	"ampwright seal 1", replica (16 bytes), number (8 bytes, big endian), name (16 bytes)
//
// A replica seals the last entry of every commit, and inside a large one after at
// most 256 entries or 128 KiB. A portion is consecutive entries of one chain that
// end at a sealed one. Only portions are handed over. A receiver verifies the one
// signature, and by the hashes all entries; then it keeps the entries byte for
// byte and the seal with them, to hand on.
//
// # Frames
//
// A frame is one message of a transport that keeps them whole and in order (a
// binary message of RFC 6455), of at most 256 KiB. It is one CBOR map in the core
// deterministic encoding (RFC 8949, section 4.2.1) with small unsigned keys. Key
// 0 is its kind. Zero and empty values are left out. A receiver refuses any
// other encoding, a key it does not know (but passes over those in frames 1, 2
// and 15) and an odd kind above 15; it passes over an even one.
//
// After the greeting frames carry no proof of who sent them: the transport below
// must keep others from writing into it (TLS).
//
//	kind         key              largest
//	 1 hello     1 versions       4 KiB     array of 1 to 16 integers
//	             2 replica                  16 bytes
//	             3 key                      32 bytes
//	             4 nonce                    32 bytes, random, for this connection only
//	             5 clock                    ms since 1970
//	             6 credit                   bytes, at least 512 KiB
//	             7 program                  text for people, at most 256 bytes
//	             8 line                     array of replica and vouch (96 bytes) in turn,
//	                                        at most 8 of each, see Greet
//	 2 welcome   as hello         4 KiB     one version: the one chosen
//	 3 prove     1 signature      512 B     64 bytes
//	             2 mac                      32 bytes, if a secret is at hand
//	 4 have      1 schema         64 KiB    number of the rules that make the digest
//	             2 digest                   8 bytes, over the state made of the entries
//	             3 vector                   of all chains, see below
//	 5 entries   see below        196 KiB
//	 6 kept      1 batch          8 KiB
//	             2 heads                    vector: last entries of what is durable now
//	 7 held      1 batch          64 B
//	             2 replica                  left out: the whole batch, in place of kept
//	             3 number                   of the first entry not taken
//	             4 reason                   1 gap, 2 fork, 3 seal, 4 full
//	 8 ladder    1 replica        16 KiB
//	             2 rungs                    heads, at most 320
//	 9 blob.have 1 hash           64 B      32 bytes, SHA-256 of the blob
//	10 blob.want 1 hash           64 B
//	             2 offset
//	             3 most                     bytes wanted, at most 64 KiB
//	11 blob.part 1 hash           64 KiB and 64 B
//	             2 offset
//	             3 size                     of the whole blob, at most 12 MiB; left out: not here
//	             4 bytes                    as many as wanted, fewer only at the end
//	12 credit    1 bytes          64 B
//	13 beat      1 number         64 B
//	             2 clock                    ms since 1970
//	14 beat.ok   1 number         64 B      of the beat it answers
//	             2 clock
//	15 bye       1 code           1 KiB     1 stopped, 2 protocol, 3 version, 4 unknown, 5 key,
//	                                        6 proof, 7 refused, 8 timeout, 9 busy
//	             2 text                     for people, at most 512 bytes
//	             3 retry                    ms to wait before another attempt, at most a day
//
// A list of heads is an array of number and name in turn, ascending by number,
// then name. A vector is an array of replica and list of heads in turn, ascending
// by replica: at most 1024 replicas and 8 heads each.
//
// # Entries
//
// A frame of entries holds
//
//	1 batch     1, 2, 3, ... from this side on this connection
//	2 portions  array, for each: replica, number and name of the entry before it
//	            (0 and 16 zero bytes at the start of a chain), count, seal (64 bytes)
//	3 size      of all entries as they are stored, at most 256 KiB
//	4 plain     size of the columns, at most 192 KiB, if they are deflated
//	5 columns   as they are, or deflated (RFC 1951) if 4 is there
//
// with at most 5000 entries. What a receiver can work out does not travel: the
// replica, the number and the name of the entry before, the sealed entry. The
// rest is put into columns, like by like. Numbers in them are base 128, low
// digits first, the high bit set on all bytes but the last; they have no
// trailing zero digits. A column is its size in bytes, then its bytes. In order:
//
//	builds   their count, then 16 bytes each
//	shapes   their count, then a column each
//	columns  shapes, builds, stamps, literals
//	columns  for each shape, for each of its leaves but the first
//
// The shape of an entry is its first byte and its bytes from key 5 on, in which
// every leaf is blank. Leaves are the integers, texts and byte strings in it, in
// order, but for the keys of maps, the kind and integers of 2^62 and more. Blank
// is a leaf's major type with a zero in it: 0x00, 0x20, 0x40, 0x60. The first
// leaf is the stamp. A shape has at most 64 leaves, all together have 2048.
//
// Each entry takes from the column of shapes the number of its shape, counted
// from 1, and from the column of builds the number of its build, 0 for none; then
// each of its leaves from its own column:
//
//	stamp    from the column of stamps: d*2, or d*2+1 and the counter if that is
//	         not 0; d is the difference in ms from the stamp before in the portion,
//	         at first from 0, as 2d or, below 0, -2d-1
//	moment   the first value of the body, if its key is 1 and it is not negative:
//	         the difference in s from the stamp's full minute, 2d or -2d-1
//	integer  the number in its head
//	text     n: the n-th text of this frame. One more than there have been is the
//	         next literal, and a new text; 0 is the next literal, and no text to
//	         come back to. At most 4096 texts have numbers
//	bytes    n: the name of the entry n before this one in this frame; 0 is the
//	         next literal
//
// A literal is its size and its bytes, in the column of literals. An entry with
// shape 0 is a literal of its first byte and its bytes from key 5 on, and takes
// nothing else; it does not count as the stamp before.
//
// # A connection
//
//	        hello ->                          Greet, 10 s
//	              <- welcome
//	        prove ->
//	              <- prove
//	        have <-> have                     Compare
//	     entries <-> kept, held, ladder       Fill, then Live
//	         bye <->
//
//	Idle --opened--> Greet --both proven--> Live --bye, error, 50 s of silence--> Over
//
// Greet. The side that dialled says hello; the other answers with a version that
// both speak, or bye version. Each side signs
//
//	"ampwright link 1", role (1 dialled, 2 answered), nonces, replicas, keys,
//	SHA-256 of the frames hello and welcome one after the other
//
// with the dialling side's nonce, replica and key before the other's. With an
// invitation, a secret of at least 16 random bytes, the mac is HMAC-SHA256 (RFC
// 2104) of the same under it. The dialling side proves itself first. A side lets
// the other in if it knows its name under this key from the logbook, or if the
// mac is right, or by its line; otherwise bye unknown, key or proof. It may have
// more to ask (bye refused).
//
// A replica that had to take a new name has the one before vouch for it, in its
// first entry: the Ed25519 key of that one, and its signature over
//
//	"ampwright name 1", replica before (16 bytes), replica (16 bytes), key (32 bytes)
//
// The line shows these, the one before first, then what that one's first entry
// says of the one before it, and so on. A side lets a newcomer in whose line leads
// by signatures that hold to a replica it knows under this key, if none on the way
// there was struck off, and if the one it knows vouches, in what is there, for no
// other: of two copies of a device that both took new names only one gets in so.
//
// Compare. Both say what they have, and again every 30 s in which no entries are
// on their way. What to send follows from the last have, and from what was sent
// and received since, never from earlier connections. Of a chain, a side sends
// what is above the other's heads that it knows. If it knows none of them, the
// other is taken to be ahead, and it sends nothing. But if such a head has a
// number that is not above its own highest, the chain parts: it sends a ladder,
// the names of entries from each of its ends down in steps of 1, 1, 1, 1, 1, 2,
// 4, 8, ... to the first. Whoever gets a ladder answers with its own, unless it
// has sent that since the other's last have, and then sends all that is above the
// rungs it knows. Both branches are kept on both sides. Same vectors and schema
// with different digests are an error in a program; people are told, nothing else
// happens.
//
// Whoever is shown an entry of its own name that it does not have was copied or
// set back. It takes a new name before it writes again.
//
// Fill. Portions go out causes first: chains are merged by the stamps of their
// sealed entries. A frame has as many as fit. At most 4 batches are on their way.
// Their frames, and those of parts, use up credit; a receiver grants what it has
// done with again, at the latest when it has done with half of what it granted in
// hello. The answer to a batch is one kept, once the entries are durable, or one
// held without a replica. Before it, portions that were not taken are named by
// held. With a gap goes a have, since the sender was mistaken; but a receiver that
// could not store something waits with it until it has stored something again, or
// the next have is due. The sender sends a chain again after the next have (gap),
// not again on this connection (fork, seal), or sends nothing at all until the
// next have (full). A side that lacks again and again what it said it holds of a
// chain is sent it again after 0, 1, 2, 4, 8 and 16 s and with the seventh gap a
// bye (protocol), unless the chain came further than ever before meanwhile. So is
// one that sends 64 batches in a row with gaps. A portion is refused with
//
//	gap   when the entry before it is not there
//	fork  when the chain would get more than 8 heads
//	seal  when the seal is not by the replica's key, or a first entry has another key
//	      than the one known
//
// Live is the same: a commit, or what another connection brought, goes out at
// once.
//
// Blobs. Bytes beside the logbook (photos) are asked for part by part, from any
// offset on, and sent behind all entries, with credit that they leave over; but a
// side that has half of what hello granted does not wait for more. The whole is
// compared with its hash; blob.have says that it is there. A side may say so of any
// blob, of one that the other side may lack or has asked about: the other side then
// says the same if it holds the blob, or asks for it if it wants it. What a side
// does not have it is asked for again with the next connection.
//
// Clocks. Greetings and beats show the time, so that each side knows how far the
// other's clock is from its own. A beat goes out after 20 s without a frame. After
// 50 s without one from the other side the connection is over. Attempts to connect
// follow one another after a random wait, evenly from 0 to the smaller of 60 s and
// 0.5 s times 2 to the number of failures, or after the time in bye.
package wire
