// Package sim tortures the replication core in a simulation, as a test. It holds
// no code of the product.
//
// A world is three to seven devices on one seeded scheduler that owns clock,
// network and disk; there is no goroutine, so a seed replays. A device is a
// [ampwright/model.Logbook] (lost at a crash), a disk whose unfinished writes a
// crash may lose or keep, a key, and a [ampwright/sync/session.Session] for each
// connection. Each step writes an entry, moves a frame, finishes a write, lets
// time pass, or does harm: the list is in faults_test.go. After the last step
// the harm ends, all devices meet, and the invariants must hold:
//
//	I1 convergence   same entries, same vectors, same digests on all
//	I2 durability    what a device told anyone to have is on its disk after any crash
//	I3 idempotence   everything given once more, in any split, changes nothing
//	I4 causality     no disk and no fold holds an entry without the one before it
//	I5 no loss       every entry written is on every device, save where all who had
//	                 told of it were set back to an old copy (counted); and on each
//	                 it is in force, or replaced or struck out by an entry that
//	                 names it, or held
//	I6 bounds        no frame above its limit
//	I7 fold order    a fold in any other order has the same digest
//	I8 photos        every photo that an entry names and any device has, all have,
//	                 in the bytes of its hash
//
// Beside these, no connection may be stuck: what is written once all have met
// goes over every connection at once, each side then knows of the other that it
// has all, a connection whose other side is gone ends within a minute, and none
// carries an entry twice without need.
//
// I2, I6 and what the sides say of each other are looked at in every step, the
// rest at the end. Causes that lie in another chain (a replaced entry of another
// device) may arrive after the entry that names them: the fold allows for it, so
// I4 asks for chains only.
//
// The negative controls, controls_test.go, break one rule each around the core
// and show that the invariants notice.
//
//	go test ./sync/sim                               the seeds of every test run
//	go test ./sync/sim -run TestSeeds -sim.seeds=20000
//	go test ./sync/sim -run TestSeeds -sim.seed=123  one seed again
//	go test ./sync/sim -run TestSeeds -sim.from=10000 -sim.for=1h -timeout 0
package sim
