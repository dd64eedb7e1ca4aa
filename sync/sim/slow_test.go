//go:build race || js

package sim_test

const seedsByDefault = 200 // the race detector, or one thread of WebAssembly, takes several times as long over each
