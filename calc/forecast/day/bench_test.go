package day

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// wholeBuild is a build of the size of the built-in plan of a small motorcycle: 109
// tasks, 158 predecessors, 62 parts and 13 unattended waits, with half a year of
// sessions behind it.
func wholeBuild() Project {
	r := rand.New(rand.NewPCG(1, 2))
	p := Project{
		Now: 20000, Seed: 7, Hours: [5]float64{190, 212, 236, 265, 300}, Planned: 630,
		Late: []int{0, 3, 12, 20, -1, 7, 0, 0, 2}, Away: []Span{{20060, 20074}},
		Resources: []Resource{{ID: "second person", Weekdays: [7]bool{0: true, 6: true}}},
	}
	for d := p.Now - 180; d < p.Now; d++ {
		if r.IntN(7) < 3 {
			p.Sessions = append(p.Sessions, Session{d, 30 + 30*r.IntN(8)})
		}
	}
	for i := range 62 {
		part := Part{ID: fmt.Sprint("part ", i), Low: 2 + r.IntN(8), High: 10 + r.IntN(40)}
		switch r.IntN(4) {
		case 0:
			part.Here = true
		case 1:
			part.Promised = p.Now - 5 + r.IntN(40)
		}
		p.Parts = append(p.Parts, part)
	}
	for i := range 109 {
		t := Task{ID: fmt.Sprint("task ", i), Hours: 0.5 + 4*r.Float64(), Spread: 0.6, MinStint: []int{15, 30, 30, 60}[r.IntN(4)]}
		for range 2 {
			if i > 0 && r.IntN(4) < 3 {
				t.After = append(t.After, fmt.Sprint("task ", max(0, i-1-r.IntN(9))))
			}
		}
		if i%8 == 3 {
			h := float64(8 + r.IntN(200))
			t.Wait = Hours3{h / 2, h, 2 * h}
		}
		if i < 62 {
			t.Parts = []string{fmt.Sprint("part ", i)}
		}
		if i%12 == 0 {
			t.Needs = []string{"second person"}
			t.Retest = 0.1
		}
		p.Tasks = append(p.Tasks, t)
	}
	p.Marks = []Mark{{"rides", []string{"task 100"}}}
	return p
}

func BenchmarkSimulate(b *testing.B) {
	p := wholeBuild()
	b.ReportAllocs()
	for b.Loop() {
		_, err := Simulate(p, 2000)
		require.NoError(b, err)
	}
}
