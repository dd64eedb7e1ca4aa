// Package day plays the rest of a build many times over and counts the days on
// which it ends.
//
// One trial: all hours left are drawn and shared out over the open tasks, each
// with its own scatter; unattended waits, deliveries and hold points that open
// only at the second go are drawn as well. Then days pass. The weeks to come are
// weeks of the record, taken in blocks of neighbours so that a bad month stays a
// bad month (D. N. Politis, J. P. Romano, "The stationary bootstrap", Journal of
// the American Statistical Association 89 (1994) 1303-1313, from memory); a few
// weeks made from the planned minutes stand in while the record is short. In each
// session the one mechanic works on the task that comes first in the order of
// work among those that can be worked on; a task is left for another day if too
// little is left of the session for its shortest useful stint. Waits and
// deliveries run on meanwhile.
//
// The order of work is the same in all trials. [ampwright/calc/schedule] finds
// some, for middle durations, the waits, the deliveries and what is limited: the
// mechanic's hands, a second person, a borrowed tool. They and the plain rule,
// the longest way to the end first, are tried on a few trials of their own, and
// the one that ends soonest is taken. Without waits and resources any order ends
// alike, and the plain rule stays.
//
// Chance follows from [Project.Seed], the number of the trial and the ID of a
// task, part or week, by hashing: a task more or less does not change what is
// drawn for the others. All times are whole minutes, and what is drawn in
// floating point uses [ampwright/calc/exact]: every device gives the same answer.
//
// An order that is always kept to can gain from a delay where
// waits, short sessions or limited resources are about, as with every rule of
// its kind (R. L. Graham, "Bounds on multiprocessing timing anomalies", SIAM
// Journal on Applied Mathematics 17 (1969) 416-429): a part that comes later can
// then, now and then, end the build a little sooner.
package day
