// Package unit turns what a person types at the bench ("84,3 V", "8.2M",
// "45 lbf·ft") into exact decimal numbers with a unit, and back into text.
//
// A number that can be read two ways is never guessed: see [AmbiguousError].
// Conversion factors are the exact definitions of the international yard and
// pound agreement of 1959 and of NIST Special Publication 811 (2008 edition),
// appendix B.
package unit
