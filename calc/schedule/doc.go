// Package schedule puts tasks in time: each has a duration, predecessors and a
// demand of several resources of constant capacity, and the last is to end as
// early as may be (the resource-constrained project scheduling problem). A task
// can have a release time, and a wait behind it that needs no hands.
//
// [Shortest] makes schedules by the serial generation scheme from lists of
// tasks, first by priority rules and biased chance, then by a genetic algorithm
// on two populations, one built forward and one backward in time. Projects of at
// most twelve tasks are solved exactly by branch and bound. Sources stand beside the
// code; where a paper is in print, its particulars are from memory.
//
// Work is bounded by the number of schedules made, never by a clock, and chance
// is drawn from the project itself: the same project gives the same answer on
// every machine.
package schedule
