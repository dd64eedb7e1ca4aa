package session

import "time"

// Wait returns how long to wait before the n-th attempt to connect in a row
// failed (n from 0) is followed by another: evenly spread, by random, between 0
// and 0.5 s times 2 to the n, at most 60 s.
func Wait(n int, random uint64) time.Duration {
	limit := min(500*time.Millisecond<<min(max(n, 0), 7), time.Minute)
	return time.Duration(random % uint64(limit+1))
}
