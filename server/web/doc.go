// Package web serves the pages over HTTP on the laptop, and answers the command
// line while it does.
//
// Every request passes, in this order: the list of names this server goes by
// (else 421), the security headers, the refusal of requests that another site's
// page makes (else 403), on the local network the exact origin (else 403), the limit
// on the size of a body (else 413), on loopback the key in the path (else 401), and
// the gate before the logbook. Links of other
// devices come in at /link (see [ampwright/server/socket]), phones are added at
// /pair (see [ampwright/server/pair]).
package web
