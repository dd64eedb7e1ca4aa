package qr

import "slices"

// A symbol is a code while it is drawn.
type symbol struct {
	size        int
	dark, fixed [][]bool // by row and column; fixed modules hold no data
}

// draw draws the codewords of a version under one of eight masks.
func draw(words []byte, version, mask int) *symbol {
	s := &symbol{size: 17 + 4*version}
	for range s.size {
		s.dark, s.fixed = append(s.dark, make([]bool, s.size)), append(s.fixed, make([]bool, s.size))
	}
	for i := range s.size {
		s.fix(6, i, i%2 == 0) // the timing patterns
		s.fix(i, 6, i%2 == 0)
	}
	for _, at := range [][2]int{{3, 3}, {3, s.size - 4}, {s.size - 4, 3}} {
		s.rings(at[0], at[1], 4, 2, 4)
	}
	places := alignment(version)
	for i, row := range places {
		for j, column := range places {
			last := len(places) - 1
			if i == 0 && j == 0 || i == 0 && j == last || i == last && j == 0 {
				continue // a finder pattern stands there
			}
			s.rings(row, column, 2, 1)
		}
	}
	s.format(mask)
	s.version(version)
	s.fill(words, mask)
	return s
}

// alignment are the rows and columns of the centres of alignment patterns
// (annex E).
func alignment(version int) []int {
	last := 4*version + 10
	switch {
	case version == 1:
		return nil
	case version < 7:
		return []int{6, last}
	}
	return []int{6, (6 + last) / 2, last}
}

func (s *symbol) fix(row, column int, dark bool) {
	if row >= 0 && row < s.size && column >= 0 && column < s.size {
		s.dark[row][column], s.fixed[row][column] = dark, true
	}
}

// rings draws rings around a module, which are dark but for the light ones.
func (s *symbol) rings(row, column, reach int, light ...int) {
	for y := -reach; y <= reach; y++ {
		for x := -reach; x <= reach; x++ {
			s.fix(row+y, column+x, !slices.Contains(light, max(y, -y, x, -x)))
		}
	}
}

// format draws the level and the mask, twice (clause 7.9): the level M is 00.
func (s *symbol) format(mask int) {
	code := (mask<<10 | checkOf(mask<<10, 10, 0x537)) ^ 0x5412
	for i := range 15 {
		bit := code>>i&1 == 1
		switch { // around the finder at the top left, from the top
		case i < 6:
			s.fix(i, 8, bit)
		case i < 8:
			s.fix(i+1, 8, bit)
		case i == 8:
			s.fix(8, 7, bit)
		default:
			s.fix(8, 14-i, bit)
		}
		if i < 8 {
			s.fix(8, s.size-1-i, bit)
		} else {
			s.fix(s.size-15+i, 8, bit)
		}
	}
	s.fix(s.size-8, 8, true)
}

// version draws the version, twice (clause 7.10).
func (s *symbol) version(version int) {
	if version < 7 {
		return
	}
	code := version<<12 | checkOf(version<<12, 12, 0x1f25)
	for i := range 18 {
		s.fix(i/3, s.size-11+i%3, code>>i&1 == 1)
		s.fix(s.size-11+i%3, i/3, code>>i&1 == 1)
	}
}

// checkOf is the remainder of a division by a generator of so many bits and one.
func checkOf(value, width, generator int) int {
	for i := 17; i >= width; i-- {
		if value>>i&1 == 1 {
			value ^= generator << (i - width)
		}
	}
	return value
}

// fill draws the codewords from the right, in columns of two, up and down in turn
// (clause 7.7.3), under a mask (table 10).
func (s *symbol) fill(words []byte, mask int) {
	n, up := 0, true
	for right := s.size - 1; right > 0; right -= 2 {
		if right == 6 {
			right-- // the timing pattern
		}
		for i := range s.size {
			row := i
			if up {
				row = s.size - 1 - i
			}
			for column := right; column > right-2; column-- {
				if s.fixed[row][column] {
					continue
				}
				bit := n < 8*len(words) && words[n/8]>>(7-n%8)&1 == 1
				s.dark[row][column] = bit != masked(mask, row, column)
				n++
			}
		}
		up = !up
	}
}

func masked(mask, i, j int) bool {
	switch mask {
	case 0:
		return (i+j)%2 == 0
	case 1:
		return i%2 == 0
	case 2:
		return j%3 == 0
	case 3:
		return (i+j)%3 == 0
	case 4:
		return (i/2+j/3)%2 == 0
	case 5:
		return i*j%2+i*j%3 == 0
	case 6:
		return (i*j%2+i*j%3)%2 == 0
	}
	return ((i+j)%2+i*j%3)%2 == 0
}

// penalty is how hard a symbol is to read (table 11).
func (s *symbol) penalty() (sum int) {
	dark := 0
	for i := range s.size {
		sum += penaltyOf(s.size, func(j int) bool { return s.dark[i][j] })
		sum += penaltyOf(s.size, func(j int) bool { return s.dark[j][i] })
		for j := range s.size {
			if s.dark[i][j] {
				dark++
			}
			if i > 0 && j > 0 && s.dark[i][j] == s.dark[i-1][j] && s.dark[i][j] == s.dark[i][j-1] && s.dark[i][j] == s.dark[i-1][j-1] {
				sum += 3
			}
		}
	}
	off := 20*dark - 10*s.size*s.size // twentieths of all away from half of them
	return sum + 10*(max(off, -off)/(s.size*s.size))
}

// penaltyOf is that of one row or column: for runs of five and more alike, and
// for what looks like a finder pattern with four light modules beside it.
func penaltyOf(size int, dark func(int) bool) (sum int) {
	const finder, light = 0b1011101, 4
	run, seen := 0, 0
	for j := range size {
		if j > 0 && dark(j) == dark(j-1) {
			run++
		} else {
			run = 1
		}
		switch {
		case run == 5:
			sum += 3
		case run > 5:
			sum++
		}
		seen = seen << 1 & (1<<(7+light) - 1)
		if dark(j) {
			seen |= 1
		}
		if j >= 6+light && (seen == finder || seen == finder<<light) {
			sum += 40
		}
	}
	return sum
}

// withQuiet are the modules with the quiet zone around them.
func (s *symbol) withQuiet() [][]bool {
	out := make([][]bool, s.size+2*quiet)
	for i := range out {
		out[i] = make([]bool, s.size+2*quiet)
		if row := i - quiet; row >= 0 && row < s.size {
			copy(out[i][quiet:], s.dark[row])
		}
	}
	return out
}
