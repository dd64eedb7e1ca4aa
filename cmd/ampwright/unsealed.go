package main

import (
	"math"

	"ampwright/model"

	"github.com/google/uuid"
)

// handedOver returns how many entries of each device a seal covers: those that
// can go to another device over a link.
func handedOver(l *model.Logbook) map[uuid.UUID]int {
	n := map[uuid.UUID]int{}
	portions, _ := l.Missing(nil, math.MaxInt)
	for _, p := range portions {
		n[p.Seal.Replica] += len(p.Raws)
	}
	return n
}
