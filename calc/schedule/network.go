package schedule

import (
	"encoding/binary"
	"hash/fnv"
	"math/bits"
)

// A side is the direction schedules are built in: forward in time from the
// start, or backward from the end, where predecessors and successors change
// places.
type side int

const (
	forward  side = 0
	backward side = 1
)

// A network is a checked project in the form the search works on. Its unit of
// time is the greatest common divisor of the durations.
type network struct {
	unit     int32
	shown    int // tasks of the project; those behind stand for releases and waits
	duration []int32
	demand   [][]int // as given
	capacity []int
	prev     [2][][]int32 // by side: predecessors, successors
	topo     []int32      // tasks, each after its predecessors
	early    [2][]int32   // by side: the longest path before a task, itself left out
	total    int32        // of the durations

	// The free capacities of one unit of time are packed into words, each
	// resource with a guard bit above it that is set: taking more than is left
	// clears it, so one subtraction tests all resources of a word.
	words int
	guard []uint64 // per word
	full  []uint64 // per word: all capacities and guards
	need  []uint64 // per task and word
}

func newNetwork(p Project, before [][]int32) *network {
	n := &network{capacity: p.Capacity}
	after := make([][]int32, len(before))
	for i, t := range p.Tasks {
		n.unit = gcd(n.unit, int32(t.Duration))
		n.demand = append(n.demand, t.Demand)
		for _, j := range before[i] {
			after[j] = append(after[j], int32(i))
		}
	}
	n.unit = max(n.unit, 1)
	for _, t := range p.Tasks {
		n.duration = append(n.duration, int32(t.Duration)/n.unit)
		n.total += int32(t.Duration) / n.unit
	}
	n.prev = [2][][]int32{before, after}
	n.sort()
	if len(n.topo) < len(before) {
		return n // goes round in a circle
	}
	for s := range n.early {
		n.early[s] = make([]int32, len(before))
		for k := range n.topo {
			i := n.topo[k]
			if side(s) == backward {
				i = n.topo[len(n.topo)-1-k]
			}
			for _, j := range n.prev[s][i] {
				n.early[s][i] = max(n.early[s][i], n.early[s][j]+n.duration[j])
			}
		}
	}
	n.pack()
	return n
}

func gcd(a, b int32) int32 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// sort fills topo; tasks on or behind a circle are left out.
func (n *network) sort() {
	open := make([]int, len(n.duration))
	for i := range open {
		if open[i] = len(n.prev[forward][i]); open[i] == 0 {
			n.topo = append(n.topo, int32(i))
		}
	}
	for k := 0; k < len(n.topo); k++ {
		for _, j := range n.prev[backward][n.topo[k]] {
			if open[j]--; open[j] == 0 {
				n.topo = append(n.topo, j)
			}
		}
	}
}

// pack lays the resources that can run short out in words.
func (n *network) pack() {
	type place struct{ r, word, shift int }
	var places []place
	room := 0
	for r, c := range n.capacity {
		asked := 0
		for i := range n.demand {
			asked += n.demand[i][r]
		}
		if asked <= c {
			continue // all tasks at once could have it
		}
		width := bits.Len(uint(c)) + 1
		if room < width {
			n.words, room = n.words+1, 64
			n.guard, n.full = append(n.guard, 0), append(n.full, 0)
		}
		w, shift := n.words-1, 64-room
		places = append(places, place{r, w, shift})
		guard := uint64(1) << (shift + width - 1)
		n.guard[w] |= guard
		n.full[w] |= guard | uint64(c)<<shift
		room -= width
	}
	n.need = make([]uint64, len(n.duration)*n.words)
	for i := range n.duration {
		for _, p := range places {
			n.need[i*n.words+p.word] |= uint64(n.demand[i][p.r]) << p.shift
		}
	}
}

// seed is a number made of all that the network is.
func (n *network) seed() uint64 {
	h := fnv.New64a()
	put := func(v int) {
		var b [8]byte
		binary.LittleEndian.PutUint64(b[:], uint64(v))
		h.Write(b[:]) // never fails
	}
	for _, c := range n.capacity {
		put(c)
	}
	for i, d := range n.duration {
		put(int(d))
		for _, u := range n.demand[i] {
			put(u)
		}
		put(len(n.prev[forward][i]))
		for _, j := range n.prev[forward][i] {
			put(int(j))
		}
	}
	return h.Sum64()
}

// A chance is a stream of numbers that look random and follow from its first
// value alone: splitmix64 (Steele, Lea, Flood, "Fast splittable pseudorandom
// number generators", OOPSLA 2014, fig. 17 with the constants of mix variant 13).
type chance uint64

func (c *chance) next() uint64 {
	*c += 0x9e3779b97f4a7c15
	z := uint64(*c)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below returns a number from 0 to n-1.
func (c *chance) below(n int) int {
	hi, _ := bits.Mul64(c.next(), uint64(n))
	return int(hi)
}
