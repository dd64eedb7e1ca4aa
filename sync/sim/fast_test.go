//go:build !race && !js

package sim_test

const seedsByDefault = 2000
