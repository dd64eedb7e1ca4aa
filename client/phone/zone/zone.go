// Package zone makes a time zone from what a browser knows of it. Go's own
// Local is one fixed offset in a browser, and the zone database would add some
// 400 kB to the phone's program; but the browser can tell the offset at any
// moment, and from that the changes are found.
package zone

import (
	"bytes"
	"fmt"
	"time"
)

// An Offset returns how many seconds a zone is east of UTC at a moment, given in
// seconds since 1970.
type Offset func(unix int64) int

// step is how far apart the offset is asked for. Of two changes within a step
// that cancel each other neither is seen: a zone with summer time has months
// between them, and the shortest on record (Morocco's in Ramadan) is a month.
const step = 14 * 24 * 3600

// Location returns the zone called name, right from one moment to another.
// Before and after them the offset nearest to it stands.
func Location(name string, offset Offset, from, to time.Time) (*time.Location, error) {
	first := offset(from.Unix())
	changes := []change{}
	for at, was := from.Unix(), first; at < to.Unix(); at += step {
		if is := offset(at + step); is != was {
			changes = append(changes, change{find(offset, at, at+step, was), is})
			was = is
		}
	}
	loc, err := time.LoadLocationFromTZData(name, encode(first, changes))
	if err != nil {
		return nil, fmt.Errorf("zone %q: %w", name, err)
	}
	return loc, nil
}

// A change is a moment from which another offset holds.
type change struct {
	at     int64
	offset int
}

// find returns the first moment after low, up to high, at which the offset is no
// longer was.
func find(offset Offset, low, high int64, was int) int64 {
	for low+1 < high {
		if mid := (low + high) / 2; offset(mid) == was {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// encode writes the zone as RFC 9636, section 3, lays it down: a version 1 block
// without content, then one of version 2 with a type for the beginning and one
// for each change, and no rule for later times.
func encode(first int, changes []change) []byte {
	var b bytes.Buffer
	put := func(v int64, size int) { // the lowest bytes of v, the highest of them first
		for size--; size >= 0; size-- {
			b.WriteByte(byte(v >> (8 * size)))
		}
	}
	header := func(counts [6]int) {
		b.WriteString("TZif2")
		b.Write(make([]byte, 15))
		for _, n := range counts {
			put(int64(n), 4)
		}
	}
	const name = "local\x00" // all types share one designation
	header([6]int{0, 0, 0, 0, 1, len(name)})
	kind := func(offset int) { put(int64(offset), 4); b.Write([]byte{0, 0}) }
	kind(0)
	b.WriteString(name)
	header([6]int{0, 0, 0, len(changes), len(changes) + 1, len(name)})
	for _, c := range changes {
		put(c.at, 8)
	}
	for i := range changes {
		b.WriteByte(byte(i + 1))
	}
	kind(first)
	for _, c := range changes {
		kind(c.offset)
	}
	b.WriteString(name + "\n\n")
	return b.Bytes()
}
