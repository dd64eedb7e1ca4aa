package squeeze

import (
	"errors"
	"fmt"
	"strings"
)

// What follows is the code as cmd/compile and cmd/internal/obj/wasm of Go 1.26
// write it. Each function of Go takes the number of the block to go on at and
// returns 1 if it was left to let another goroutine run, else 0. All keep their
// arguments and what they spill on a stack in memory, whose address is in the first
// global, sp, and copied to the second local. The blocks stand in a loop, one nested
// in another, with a table that branches to the one whose number is in the first
// local. A number is written before each call as the return address, below those of
// the function.
const (
	getBlock, setBlock = "\x20\x00", "\x21\x00"
	getSP, setSP       = "\x20\x01", "\x21\x01"
	readSP, writeSP    = "\x23\x00", "\x24\x00"
	teeSP              = "\x22\x01"
	give0, give1       = "\x41\x00", "\x41\x01"
	give8              = "\x41\x08"

	opUnreachable = "\x00"
	opBlock       = "\x02"
	opLoop        = "\x03"
	opIf          = "\x04"
	opEnd         = "\x0b"
	opBranch      = "\x0c"
	opBranchIf    = "\x0d"
	opTable       = "\x0e"
	opReturn      = "\x0f"
	opCall        = "\x10"
	opIndirect    = "\x11"
	opDrop        = "\x1a"
	opGet         = "\x20"
	opI32         = "\x41"
	opI64         = "\x42"
	opI32Add      = "\x6a"
	opI32Sub      = "\x6b"
	opI64Add      = "\x7c"
	opI64Or       = "\x84"
	opWrap        = "\xa7" // 64 bits to 32
	opExtend      = "\xad" // 32 bits to 64, without sign
	nothing       = "\x40" // the type of a block that leaves nothing
	i64           = "\x7e"

	store64 = "\x37\x03\x00" // of 8 bytes, at offset 0
)

var (
	returnAddress = []string{opI64, store64, give0} // and a call
	push          = []string{getSP, give8, opI32Sub, teeSP, writeSP}
	pop           = []string{getSP, give8, opI32Add, teeSP, writeSP}
	leave         = []string{readSP, setSP, opIf + nothing, give1, opReturn, opEnd} // after a call, once exits are short
)

// A list is code, an instruction an element.
type list []string

// is says whether the list goes on like this at i. An opcode alone stands for
// that instruction with any operand.
func (l list) is(i int, shape ...string) bool {
	if i < 0 || i+len(shape) > len(l) {
		return false
	}
	for k, want := range shape {
		if l[i+k] != want && !(len(want) == 1 && l[i+k][:1] == want) {
			return false
		}
	}
	return true
}

// number is the operand of a constant, or the first of another instruction.
func number(in string) int64 {
	r := reader{rest: []byte(in[1:])}
	if in[:1] == opI32 || in[:1] == opI64 {
		return r.signed()
	}
	return int64(r.unsigned())
}

func with(op string, n int64) string {
	if op == opI32 || op == opI64 {
		return string(signed([]byte(op), n))
	}
	return string(unsigned([]byte(op), uint64(n)))
}

// ShortenCode says the same in fewer instructions: a seventh is less to send, and
// to compile. Code that is not as known stays as it is; the error says that none
// is. After an error the program is as it was.
func (p *Program) ShortenCode() error {
	var out []byte
	imported, changed := 0, 0
	for r := (reader{rest: p.before[8:]}); len(r.rest) > 0; {
		id := r.byte()
		body := r.take(int(r.unsigned()))
		switch items := (reader{rest: body}); id {
		case importSection:
			imported = int(items.unsigned())
		case codeSection:
			var err error
			if body, changed, err = shorten(items, imported); err != nil {
				return err
			}
		}
		if r.bad {
			return errors.New("a section is cut short")
		}
		out = section(out, id, body)
	}
	if changed == 0 {
		return errors.New("no code as it is known: this Go writes another")
	}
	p.before = append(p.before[:8:8], out...)
	return nil
}

// A function is one of the code section: how many locals it has with its
// argument, what says so, and what it does.
type function struct {
	locals int
	says   []byte
	list   list
}

func shorten(r reader, imported int) (body []byte, changed int, err error) {
	all := make([]function, r.unsigned())
	leaves := map[int64]bool{}
	for i := range all {
		own := reader{rest: r.take(int(r.unsigned()))}
		if all[i], err = own.function(); err != nil {
			return nil, 0, fmt.Errorf("function %d: %w", imported+i, err)
		}
		leaves[int64(imported+i)] = all[i].list.isLeaf()
	}
	if r.bad {
		return nil, 0, errors.New("the code section is cut short")
	}
	body = unsigned(nil, uint64(len(all)))
	for _, f := range all {
		if f.list.is(0, readSP, setSP) {
			f.list = f.list.exits().jumps().addresses().ends()
			f.shareReturn()
			f.list = f.list.calls(leaves)
			changed++
		}
		own := append(f.says, strings.Join(f.list, "")...)
		body = append(unsigned(body, uint64(len(own))), own...)
	}
	return body, changed, nil
}

// function reads one, see section 5.4 of the specification.
func (r *reader) function() (function, error) {
	f := function{locals: 1}
	whole := r.rest
	for range r.unsigned() {
		f.locals += int(r.unsigned())
		r.byte()
	}
	f.says = whole[: len(whole)-len(r.rest) : len(whole)-len(r.rest)]
	text := string(r.rest)
	for len(r.rest) > 0 {
		at := len(text) - len(r.rest)
		op := r.byte()
		if err := r.operands(op); err != nil {
			return f, err
		}
		f.list = append(f.list, text[at:len(text)-len(r.rest)])
	}
	if r.bad {
		return f, errors.New("it is cut short")
	}
	return f, nil
}

// operands reads past what follows an opcode. The error says that it is none that
// Go writes.
func (r *reader) operands(op byte) error {
	count := 0 // of numbers that follow
	switch {
	case op == 0x02 || op == 0x03 || op == 0x04: // block, loop, if
		r.byte()
	case op == 0x0e: // br_table
		count = int(r.unsigned()) + 1
	case op == 0x11: // call_indirect
		count = 2
	case op == 0x0c || op == 0x0d || op == 0x10 || op >= 0x20 && op <= 0x24 || op == 0x3f || op == 0x40 || op == 0x41 || op == 0x42:
		count = 1 // branches, call, variables, size of memory, constants
	case op >= 0x28 && op <= 0x3e: // loads and stores
		count = 2
	case op == 0x43:
		r.take(4)
	case op == 0x44:
		r.take(8)
	case op == 0xfc:
		switch r.unsigned() {
		case 0, 1, 2, 3, 4, 5, 6, 7: // to integers
		case 10: // memory.copy
			count = 2
		case 11: // memory.fill
			count = 1
		default:
			return errors.New("an instruction that Go does not write")
		}
	case op <= 0x01 || op == 0x05 || op == 0x0b || op == 0x0f || op == 0x1a || op == 0x1b || op >= 0x45 && op <= 0xc4:
	default:
		return fmt.Errorf("opcode %#x, which Go does not write", op)
	}
	for range count {
		if r.bad {
			break
		}
		r.unsigned()
	}
	return nil
}

// A nest is which blocks one stands in, by where they begin.
type nest []int

func (n nest) step(l list, i int) nest {
	switch l[i][:1] {
	case opBlock, opLoop, opIf:
		return append(n, i)
	case opEnd:
		return n[:max(len(n)-1, 0)]
	}
	return n
}

// to is where the block begins that a branch leaves or repeats; -1 for the function.
func (n nest) to(depth int64) int {
	if depth >= int64(len(n)) {
		return -1
	}
	return n[len(n)-1-int(depth)]
}

// exits: in place of a branch to the end, where 1 is returned, this is returned at
// once. It is as long everywhere.
func (l list) exits() list {
	last := len(l) - 3 // the end of a block, before what the function returns
	if !l.is(last, opEnd, give1, opEnd) {
		return l
	}
	in := nest(nil)
	for i := range last {
		in = in.step(l, i)
	}
	if len(in) != 1 || l[in[0]] != opBlock+nothing {
		return l
	}
	outer := in[0]
	out := make(list, 0, len(l))
	in = nil
	for i, op := range l {
		if in = in.step(l, i); l.is(i, opBranchIf) && in.to(number(op)) == outer {
			out = append(out, opIf+nothing, give1, opReturn, opEnd)
			continue
		}
		out = append(out, op)
	}
	return out
}

// jumps: a block further on is gone to by leaving those before it, and not by way
// of the loop and its table.
func (l list) jumps() list {
	const loop = 3
	if !l.is(2, opBlock+nothing, opLoop+nothing) {
		return l
	}
	first := loop + 1
	table := first
	for l.is(table, opBlock+nothing) {
		table++
	}
	if !l.is(table, getBlock, opTable) {
		return l
	}
	for i := range l { // an indirect call keeps its function there for a moment
		if i > table && l[i] == getBlock && !l.is(i-2, setBlock, give0, getBlock, opIndirect) {
			return l
		}
	}
	r := reader{rest: []byte(l[table+1][1:])}
	begins := make([]int, r.unsigned()) // of the block before each number
	for n := range begins {
		begins[n] = table - 1 - int(r.unsigned())
	}
	out := make(list, 0, len(l))
	var in nest
	for i := 0; i < len(l); i++ {
		in = in.step(l, i)
		if !l.is(i, opI32, setBlock, opBranch) || in.to(number(l[i+2])) != loop {
			out = append(out, l[i])
			continue
		}
		n, depth := number(l[i]), int64(-1)
		for d := range int64(len(in)) {
			if n >= 0 && n < int64(len(begins)) && begins[n] > loop && in.to(d) == begins[n] {
				depth = d
			}
		}
		switch {
		case depth < 0: // it is behind
			out = append(out, l[i])
		case l.is(i-1, opIf+nothing) && l.is(i+3, opEnd):
			out[len(out)-1] = with(opBranchIf, depth-1)
			in = in[:len(in)-1]
			i += 3
		default:
			out = append(out, with(opBranch, depth))
			i += 2
		}
	}
	return out
}

// addresses: a constant that is added to the stack's address becomes part of the
// load or store there is, or is added in one instruction. The stack lies within
// the memory, so that none of the sums is too large.
func (l list) addresses() list {
	const most = 1 << 20
	out := make(list, 0, len(l))
	type value struct {
		at   int // in out, of a sum; 0 for another value
		plus int64
	}
	var stack []value
	take := func(n int) (v value) {
		for range n {
			v = value{}
			if len(stack) > 0 {
				v, stack = stack[len(stack)-1], stack[:len(stack)-1]
			}
		}
		return v
	}
	for i := 0; i < len(l); i++ {
		if l.is(i, getSP, opExtend, opI64, opI64Add, opWrap) {
			if n := number(l[i+2]); n >= 0 && n < most {
				out = append(out, getSP, with(opI32, n), opI32Add)
				stack = append(stack, value{len(out) - 2, n})
				i += 4
				continue
			}
		}
		op := l[i]
		takes, gives, known := effect(op)
		if !known {
			out, stack = append(out, op), stack[:0]
			continue
		}
		if v := take(takes); v.at > 0 && op[0] >= 0x28 && op[0] <= 0x3e && op[2:] == "\x00" {
			op = string(unsigned([]byte(op[:2]), uint64(v.plus)))
			out[v.at], out[v.at+1] = "", ""
		}
		if out = append(out, op); gives {
			stack = append(stack, value{})
		}
	}
	short := out[:0]
	for _, op := range out {
		if op != "" {
			short = append(short, op)
		}
	}
	return short
}

// effect is how many values an instruction takes from the stack, and whether it
// gives one; not known of those that lead elsewhere.
func effect(in string) (takes int, gives, known bool) {
	switch op := in[0]; {
	case op == 0x20 || op == 0x23 || op >= 0x41 && op <= 0x44: // get, constants
		return 0, true, true
	case op == 0x21 || op == 0x24 || op == 0x1a: // set, drop
		return 1, false, true
	case op == 0x22 || op >= 0x28 && op <= 0x35: // tee, loads
		return 1, true, true
	case op >= 0x36 && op <= 0x3e: // stores
		return 2, false, true
	case op == 0x45 || op == 0x50 || op >= 0x67 && op <= 0x69 || op >= 0x79 && op <= 0x7b || op >= 0x8b && op <= 0x91 || op >= 0x99 && op <= 0x9f || op >= 0xa7 && op <= 0xc4 || op == 0xfc && in[1] < 8:
		return 1, true, true
	case op >= 0x46 && op <= 0xa6: // comparisons and sums
		return 2, true, true
	case op == 0x1b: // select
		return 3, true, true
	}
	return 0, false, false
}

// ends: a function's frame and the return address leave the stack in one step.
func (l list) ends() list {
	out := make(list, 0, len(l))
	for i := 0; i < len(l); i++ {
		plus := int64(0)
		at := i
		if l.is(at, getSP, opI32, opI32Add, teeSP, writeSP) && l.is(at+5, pop...) {
			plus = number(l[at+1])
			at += 5
		}
		if !l.is(at, pop...) || !l.is(at+5, give0, opReturn) {
			out = append(out, l[i])
			continue
		}
		out = append(out, getSP, with(opI32, plus+8), opI32Add, writeSP, give0, opReturn)
		i = at + 6
	}
	return out
}

// shareReturn keeps what all return addresses in a function have in common in a
// local.
func (f *function) shareReturn() {
	const own = 0xffff // of each
	base := int64(-1)
	for i := range f.list {
		if f.list.is(i, returnAddress...) && (f.list.is(i+3, opCall) || f.list.is(i+3, getBlock, opIndirect)) {
			base = number(f.list[i]) &^ own
			break
		}
	}
	if base < 0 {
		return
	}
	get := with(opGet, int64(f.locals))
	out := list{with(opI64, base), "\x21" + get[1:]}
	for _, op := range f.list {
		if op[:1] == opI64 && number(op)&^own == base {
			out = append(out, with(opI64, number(op)&own), get, opI64Or)
			continue
		}
		out = append(out, op)
	}
	r := reader{rest: f.says}
	n := r.unsigned()
	f.says = append(append(unsigned(nil, n+1), r.rest...), 1, i64[0])
	f.list = out
}

// isLeaf says whether a function calls none, always returns 0, and leaves the
// stack as it was.
func (l list) isLeaf() bool {
	if !l.is(0, readSP, setSP) || !l.is(len(l)-2, opUnreachable, opEnd) && !l.is(len(l)-5, opUnreachable, opEnd, opEnd, give1, opEnd) && !l.is(len(l)-2, opReturn, opEnd) {
		return false
	}
	for i, op := range l {
		switch op[:1] {
		case opCall, opIndirect:
			return false
		case opReturn:
			if !l.is(i-6, pop...) || l[i-1] != give0 {
				return false
			}
		case writeSP[:1]:
			if op != writeSP {
				return false
			}
		}
	}
	return len(l.exits()) == len(l)
}

// calls: of a function that calls none, nobody asks where it would return to.
func (l list) calls(leaves map[int64]bool) list {
	out := make(list, 0, len(l))
	for i := 0; i < len(l); i++ {
		at := i + len(push)
		if l.is(i, push...) && l.is(at, getSP, opI64, opGet, opI64Or, store64, give0, opCall) && l.is(at+7, leave...) && leaves[number(l[at+6])] {
			out = append(out, getSP, give8, opI32Sub, writeSP, give0, l[at+6], opDrop)
			i = at + 6 + len(leave)
			continue
		}
		out = append(out, l[i])
	}
	return out
}
