// Package pages makes the pages of Ampwright: a path and a form go in, HTML
// comes out. The laptop serves them over a socket, the phone swaps them in
// without one, so nothing here knows of sockets, files or clocks.
//
// Each page is a file with a struct that holds all its template can see, ready
// to print: units, rounding and words are settled in Go. Everything works
// without a script. Forms are made from the table of wishes in
// [ampwright/model]; no rule of the domain is repeated here.
package pages
