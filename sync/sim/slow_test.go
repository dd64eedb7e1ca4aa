//go:build js

package sim_test

const seedsByDefault = 60 // one thread of WebAssembly takes several times as long over each
