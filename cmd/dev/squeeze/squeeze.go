// Package squeeze makes a WebAssembly program of Go lighter to send, without
// changing what it does.
//
// The linker leaves out runs of zeros by cutting the data into up to 100,000
// segments. The address in front of each costs more than the zeros would, once
// compressed: here the data becomes few segments (Join).
//
// A Go program carries for each instruction the file and line it comes from,
// which only a traceback prints: they can be left out (DropLines). Tracebacks
// then name functions without lines and arguments, and by numbers, which Rename
// knows. Of the tables of functions much can be worked out: a function that does is
// added, and called before the program starts (DropIndex, DropPlaces).
//
// The code says much in more instructions than it takes (ShortenCode), and a
// compressor sees more of what repeats if like stands beside like (Pack).
package squeeze

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
)

// The numbers of sections and instructions used here, in WebAssembly Core
// Specification 2.0, sections 5.5.2 and 5.4.
const (
	typeSection     = 1
	importSection   = 2
	functionSection = 3
	startSection    = 8
	elementSection  = 9
	codeSection     = 10
	dataSection     = 11

	funcType = 0x60
	i32Const = 0x41
	end      = 0x0b
)

// gap is how many zeros in turn are left out.
const gap = 1 << 16

// A Program is a WebAssembly module with its data laid out as in memory.
type Program struct {
	before, after []byte // the sections around the data
	base          int    // address of data
	data          []byte
	begin         code // runs before anything else does
}

// Read takes a module apart. The program keeps none of its bytes.
func Read(module []byte) (*Program, error) {
	if !bytes.HasPrefix(module, []byte("\x00asm\x01\x00\x00\x00")) {
		return nil, errors.New("no WebAssembly module of version 1")
	}
	for at := 8; at < len(module); {
		r := reader{rest: module[at+1:]}
		size := int(r.unsigned())
		body := r.take(size)
		if r.bad {
			return nil, fmt.Errorf("section %d at byte %d is cut short", module[at], at)
		}
		next := len(module) - len(r.rest)
		if module[at] == dataSection {
			p := &Program{before: slices.Clone(module[:at]), after: slices.Clone(module[next:])}
			return p, p.segments(body)
		}
		at = next
	}
	return nil, errors.New("a module without data")
}

// segments lays out the data section.
func (p *Program) segments(section []byte) error {
	type segment struct {
		at   int
		data []byte
	}
	var all []segment
	r := reader{rest: section}
	for range r.unsigned() {
		active := r.byte() == 0 && r.byte() == i32Const
		at := int(r.signed())
		if !active || r.byte() != end {
			return errors.New("a data segment that does not stand at a fixed address of the only memory")
		}
		all = append(all, segment{at, r.take(int(r.unsigned()))})
	}
	if r.bad || len(all) == 0 {
		return errors.New("the data section is cut short")
	}
	slices.SortFunc(all, func(a, b segment) int { return a.at - b.at })
	p.base = all[0].at
	for _, s := range all {
		gap := s.at - p.base - len(p.data)
		if gap < 0 {
			return fmt.Errorf("two data segments overlap at address %d", s.at)
		}
		p.data = append(append(p.data, make([]byte, gap)...), s.data...)
	}
	return nil
}

// Join returns the module with its data in one segment, or more where there are
// very many zeros.
func (p *Program) Join() ([]byte, error) {
	before := slices.Clone(p.before)
	if len(p.begin) > 0 {
		var err error
		if before, err = p.starting(); err != nil {
			return nil, fmt.Errorf("add a function that is called at the start: %w", err)
		}
	}
	var body []byte
	n, zeros := uint64(0), make([]byte, gap)
	for at := 0; at < len(p.data); {
		segment := p.data[at:]
		if cut := bytes.Index(segment, zeros); cut >= 0 {
			segment = segment[:cut]
		}
		if len(segment) > 0 {
			n++
			body = append(signed(append(body, 0, i32Const), int64(p.base+at)), end)
			body = append(unsigned(body, uint64(len(segment))), segment...)
		}
		at += len(segment)
		at = len(p.data) - len(bytes.TrimLeft(p.data[at:], "\x00"))
	}
	out := section(before, dataSection, append(unsigned(nil, n), body...))
	return append(out, p.after...), nil
}

// A reader reads numbers in LEB128, as section 5.2.2 has them. Past the end all
// is zero, and bad is set.
type reader struct {
	rest []byte
	bad  bool
}

func (r *reader) byte() byte {
	b := r.take(1)
	if b == nil {
		return 0
	}
	return b[0]
}

func (r *reader) take(n int) []byte {
	if n < 0 || n > len(r.rest) {
		r.bad, r.rest = true, nil
		return nil
	}
	b := r.rest[:n]
	r.rest = r.rest[n:]
	return b
}

func (r *reader) unsigned() uint64 {
	n, _ := r.leb()
	return n
}

func (r *reader) signed() int64 {
	n, bits := r.leb()
	if bits < 64 && n>>(bits-1)&1 == 1 {
		n |= ^uint64(0) << bits
	}
	return int64(n)
}

func (r *reader) leb() (n uint64, bits int) {
	for {
		b := r.byte()
		n |= uint64(b&0x7f) << bits
		bits += 7
		if b < 0x80 || bits >= 70 {
			return n, bits
		}
	}
}

func unsigned(out []byte, n uint64) []byte {
	for ; n >= 0x80; n >>= 7 {
		out = append(out, byte(n)|0x80)
	}
	return append(out, byte(n))
}

func signed(out []byte, n int64) []byte {
	for ; n >= 0x40 || n < -0x40; n >>= 7 {
		out = append(out, byte(n)|0x80)
	}
	return append(out, byte(n)&0x7f)
}
