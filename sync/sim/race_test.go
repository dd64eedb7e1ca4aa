//go:build race

package sim_test

const seedsByDefault = 200 // the race detector makes each take several times as long
