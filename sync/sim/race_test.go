//go:build race && !js

package sim_test

// Each run has one goroutine: what could race is this test's own, and the detector
// takes ten times as long.
const seedsByDefault = 10
