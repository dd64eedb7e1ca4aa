//go:build !race

package sim_test

const seedsByDefault = 600
