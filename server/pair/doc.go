// Package pair brings phones to a garage's server: a certificate authority for
// one name, a listener on the local network, and the pairing of one phone at a
// time.
//
// # Authority
//
// A page gets a service worker only from https with a certificate the phone
// trusts, so the garage has an authority of its own: a root and an issuing
// certificate (ECDSA P-256, for servers alone), both with critical name
// constraints (RFC 5280, 4.2.1.10) to the one random name the garage goes by,
// NAME.local, and to no address at all, or to private ones (RFC 1918, RFC 4193)
// if a person chose to go by address. The root's key signs the issuing
// certificate and is forgotten; the issuing key is in authority.json, mode 0600.
// The server's own certificate is made at each start, and anew before it ends;
// its key is on no disk.
//
// authority.json:
//
//	format     "ampwright-authority/1"
//	name       "garage-k3x7q2.local"
//	addresses  true if certificates may name private addresses
//	port       of https, kept because a phone's storage belongs to name and port
//	laptops    true if other laptops of the garage are answered, see below
//	root       base64, DER
//	issuing    base64, DER
//	key        base64, PKCS #8, of the issuing certificate
//
// # Network
//
// Nothing listens outside loopback and nothing is announced until a person asks
// to add a phone, or a phone is paired. Then it is https alone, TLS 1.3, over
// IPv4, for callers with a private address, at most 32 connections of one and
// 128 of all. While a phone is being added one page stands on plain http: it
// hands out the root certificate and says what to do. It redirects nowhere.
//
// Every request passes, in this order: the exact list of hosts (else 421), the
// security headers, the guard against other sites' pages (else 403), the exact
// origin of whatever is sent or upgraded (else 403), the phone's token (else 401)
// where the logbook is behind it.
//
// # Other laptops
//
// Where a person asked for it ([Desk.Laptops]), the same listener answers links of
// programs, which send no Origin, before all that: other copies of the garage.
// They have no token; the link itself lets in whom the logbook knows by its key,
// or who has an invitation ([ampwright/sync/wire]). Five wrong ones close it, so
// anybody nearby can spoil an invitation, and no more than that. They know this
// server by the hash of its issuing certificate, which comes with the invitation.
//
// What is refused, and each window and phone, is noted in a log: by fixed words, ids
// and addresses, never by what was sent.
//
// # Pairing
//
// A [Window] is open for five minutes and for one phone. Its secret, 128 bits in
// the fragment of the address that the picture shows or 10 letters and digits
// (50 bits) to type, is not sent: the phone sends a nonce and
//
//	HMAC-SHA-256(secret, "ampwright knock\n" nonce)
//
// and gets a nonce back. Both then show six digits, made of
//
//	HMAC-SHA-256(secret, "ampwright code\n" phone's nonce, laptop's nonce)
//
// by its first four bytes, as a number, modulo 1,000,000; a person at the laptop
// compares them. They tell one phone that knows the secret from another one. They
// do not tell a phone from somebody between it and the laptop: that is for TLS to
// do, and a browser's page cannot read the handshake, so whoever clicks a warning
// about the certificate away has nothing left that would.
//
// What the phone is called and who writes on it is asked before the knock. The name
// goes with it, to be shown at the laptop; both go to the program on the phone in the
// fragment of the address that it is led to in the end. A person that was left out is
// the garage's own, which the laptop tells once the phone is let in.
//
// A wrong proof counts; the fifth closes the window, and so does a second phone
// with a right one. What a phone gets in the end is a token of 256 bits, in a
// cookie of its host that no script reads, and an invitation for its logbook (see
// [ampwright/server/socket]). phones.json keeps the token's SHA-256.
//
// phones.json:
//
//	format  "ampwright-phones/1"
//	phones  a list of: id, name, sum (SHA-256 of the token, base64), paired and
//	        last (moments), replica (UUID its logbook writes under, once known)
//
// A phone loses its token where a person takes it, or where its replica is struck
// off the garage's list; its sockets end at once.
//
// # The laptop's own pages
//
// A page that works without scripts cannot hand a fragment or a header to the
// server, and a cookie set on localhost goes to every port of it (RFC 6265, 8.5).
// So on loopback the key stands in the path of every page ([web.Config]'s Key):
// 128 bits, made anew at each start, printed with the address. What else runs on
// the laptop under another user, and any page of another port or site, does not
// know it. It is not used up by the first request: it stands in the browser's
// history and is good until the server ends. A program of the same user needs no
// key; it can read the folder.
package pair
