package squeeze

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Packed, a module stands as client/phone/unpack.js reads it: its size, how much of
// it stands before the code, how many functions there are, the length of each
// stream, and the streams. Like stands beside like there, so that a compressor sees
// what repeats: opcodes by themselves, locals by themselves, and so on. Numbers are
// in LEB128, without sign where nothing else is said.
//
// Some opcodes stand for more, of those that WebAssembly leaves free.
const (
	callThenEnd = 0xe0 // a call with its return address and what follows it, and end
	callAlone   = 0xe1 // the same without end
	getTheSP    = 0xe2
	const2      = 0xe3 // a constant of 64 bits in two bytes
	const3      = 0xe4
	const4      = 0xe5
	constLong   = 0xe6 // in more
	asItIs      = 0xe7 // an instruction as it stands, its length before it
)

// The streams, in their order.
const (
	outside   = iota // all but the code
	opcodes          //
	localsOf         // what locals a function has
	resumes          // by how much a return address is above the one before
	callees          //
	locals1          // which local
	offsetsSP        // of loads of 64 bits from the stack
	offsetsOf        // of other loads of 64 bits
	offsetsTo        // of stores of 64 bits
	offsets          // of all others
	constants        // of 32 bits
	branches         //
	lengths          // of tables of branches
	tables           // by how much each is more than the one before, with sign
	others           // operands of everything else
	columns          // of constants of 64 bits in 1 to 4 bytes, each byte of each length; then the longer ones
	streams   = columns + 1 + 2 + 3 + 4 + 1
)

// natural are the alignments that loads and stores have, from opcode 0x28 on.
var natural = []byte{2, 3, 2, 3, 0, 0, 1, 1, 0, 0, 1, 1, 2, 2, 2, 3, 2, 3, 0, 1, 0, 1, 2}

// Pack packs a module.
func Pack(module []byte) ([]byte, error) {
	for r := (reader{rest: module[min(8, len(module)):]}); len(r.rest) > 0; {
		id := r.byte()
		body := r.take(int(r.unsigned()))
		if r.bad {
			break
		}
		if id != codeSection {
			continue
		}
		before := len(module) - len(r.rest) - len(body)
		var s packing
		s[outside] = slices.Concat(module[:before], r.rest)
		code := reader{rest: body}
		n := code.unsigned()
		for i := range n {
			own := reader{rest: code.take(int(code.unsigned()))}
			f, err := own.function()
			if err != nil {
				return nil, fmt.Errorf("function %d of the code: %w", i, err)
			}
			s.add(f)
		}
		if code.bad {
			break
		}
		var out []byte
		for _, n := range []uint64{uint64(len(module)), uint64(before), n} {
			out = unsigned(out, n)
		}
		for _, stream := range s {
			out = unsigned(out, uint64(len(stream)))
		}
		return append(out, slices.Concat(s[:]...)...), nil
	}
	return nil, errors.New("a module without code, or one that is cut short")
}

// A packing is a module's streams as they grow.
type packing [streams][]byte

func (s *packing) put(stream int, operand string) { s[stream] = append(s[stream], operand...) }

func (s *packing) number(stream int, n int64) { s[stream] = unsigned(s[stream], uint64(n)) }

// add adds a function.
func (s *packing) add(f function) {
	s.put(localsOf, string(f.says))
	own := with(opGet, int64(f.locals-1)) // the last
	last := int64(0)
	for i := 0; i < len(f.list); i++ {
		at := i + len(push)
		if f.list.is(i, push...) && f.list.is(at, getSP, opI64, own, opI64Or, store64, give0, opCall) && f.list.is(at+7, leave...) {
			if more := number(f.list[at+1]) - last; more >= 0 {
				last += more
				s.number(resumes, more)
				s.put(callees, f.list[at+6][1:])
				i = at + 6 + len(leave)
				op := byte(callAlone)
				if f.list.is(i+1, opEnd) {
					op = callThenEnd
					i++
				}
				s[opcodes] = append(s[opcodes], op)
				continue
			}
		}
		s.one(f.list[i], i > 0 && f.list[i-1] == getSP)
	}
}

// one adds an instruction. ofSP says that it takes the address of the stack.
func (s *packing) one(in string, ofSP bool) {
	op, rest := in[0], in[1:]
	s[opcodes] = append(s[opcodes], op)
	again := func(op byte) { s[opcodes][len(s[opcodes])-1] = op }
	switch {
	case in == getSP:
		again(getTheSP)
	case op >= 0x20 && op <= 0x22:
		s.put(locals1, rest)
	case op >= 0x28 && op <= 0x3e && rest[0] == natural[op-0x28]:
		stream := offsets
		switch {
		case op == 0x29 && ofSP:
			stream = offsetsSP
		case op == 0x29:
			stream = offsetsOf
		case op == 0x37:
			stream = offsetsTo
		}
		s.put(stream, rest[1:])
	case op == 0x41:
		s.put(constants, rest)
	case op == 0x42 && len(rest) > 4:
		again(constLong)
		s.put(streams-1, rest)
	case op == 0x42:
		n := len(rest)
		again([]byte{op, const2, const3, const4}[n-1])
		for i := range n {
			s.put(columns+n*(n-1)/2+i, rest[i:i+1])
		}
	case op == 0x0c || op == 0x0d:
		s.put(branches, rest)
	case op == 0x10:
		s.put(callees, rest)
	case op == 0x0e:
		r := reader{rest: []byte(rest)}
		n, last := r.unsigned(), int64(0)
		s.number(lengths, int64(n))
		for range n + 1 {
			to := int64(r.unsigned())
			s[tables] = signed(s[tables], to-last)
			last = to
		}
	case strings.IndexByte("\x02\x03\x04\x11\x23\x24\x3f\x40\x43\x44\xfc", op) >= 0:
		s.put(others, rest)
	case len(rest) > 0:
		again(asItIs)
		s.raw(in)
	}
}

func (s *packing) raw(in string) {
	s.number(others, int64(len(in)))
	s.put(others, in)
}
