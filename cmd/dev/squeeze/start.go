package squeeze

import (
	"bytes"
	"errors"
)

// starting returns the sections before the data, with a function that runs begin
// and is called when the module starts.
func (p *Program) starting() ([]byte, error) {
	out, start := bytes.Clone(p.before[:8]), []byte(nil)
	imported, typed := 0, 0
	for r := (reader{rest: p.before[8:]}); len(r.rest) > 0; {
		id := r.byte()
		body := r.take(int(r.unsigned()))
		items := reader{rest: body}
		n := int(items.unsigned())
		switch id {
		case typeSection:
			typed = n
			body = longer(body, funcType, 0, 0) // takes nothing, gives nothing
		case importSection:
			for range n {
				items.take(int(items.unsigned()))
				items.take(int(items.unsigned()))
				if items.byte() != 0 {
					return nil, errors.New("something is imported that is no function")
				}
				items.unsigned()
			}
			imported = n
		case functionSection:
			start = unsigned(nil, uint64(imported+n))
			body = longer(body, unsigned(nil, uint64(typed))...)
		case startSection:
			return nil, errors.New("it has a function that is called at its start")
		case elementSection, codeSection:
			if start != nil {
				out = section(out, startSection, start)
				start = nil
			}
		}
		if id == codeSection {
			own := append([]byte{1, locals, i32}, p.begin...) // so many of one type
			own = append(own, end)
			body = longer(body, append(unsigned(nil, uint64(len(own))), own...)...)
		}
		if r.bad || items.bad {
			return nil, errors.New("a section is cut short")
		}
		out = section(out, id, body)
	}
	return out, nil
}

// section appends a section.
func section(out []byte, id byte, body []byte) []byte {
	return append(unsigned(append(out, id), uint64(len(body))), body...)
}

// longer returns a section's body, which begins with a count, with one more item.
func longer(body []byte, item ...byte) []byte {
	r := reader{rest: body}
	n := r.unsigned()
	return append(append(unsigned(nil, n+1), r.rest...), item...)
}

// code are instructions over a few locals of 32 bits, numbered from 0.
type code []byte

const (
	locals = 3
	i32    = 0x7f

	i32Add   = 0x6a
	i32Mul   = 0x6c
	i32And   = 0x71
	i32Shift = 0x76 // right, without sign
	i32Less  = 0x49 // without sign
)

func (c *code) op(op byte) *code { *c = append(*c, op); return c }

func (c *code) get(local byte) *code { return c.op(0x20).op(local) }
func (c *code) set(local byte) *code { return c.op(0x21).op(local) }
func (c *code) tee(local byte) *code { return c.op(0x22).op(local) }

func (c *code) constant(n int) *code { *c = signed(append(*c, i32Const), int64(n)); return c }

// load takes what stands at an offset from the address on the stack, store the
// other way round.
func (c *code) load(offset int) *code     { return c.memory(0x28, 2, offset) }
func (c *code) loadByte(offset int) *code { return c.memory(0x2d, 0, offset) }
func (c *code) store(offset int) *code    { return c.memory(0x36, 2, offset) }
func (c *code) storeByte(offset int)      { c.memory(0x3a, 0, offset) }

func (c *code) memory(op, align byte, offset int) *code {
	*c = unsigned(append(*c, op, align), uint64(offset))
	return c
}

// loop runs body with a local from 0 to below n, which is not 0.
func (c *code) loop(local byte, n int, body func()) {
	c.constant(0).set(local)
	c.repeat(func() {
		body()
		c.get(local).constant(1).op(i32Add).tee(local)
		c.constant(n).op(i32Less)
	})
}

// repeat runs body, and again as long as it leaves something other than 0.
func (c *code) repeat(body func()) {
	const loop, branchIf, nothing = 0x03, 0x0d, 0x40
	c.op(loop).op(nothing)
	body()
	c.op(branchIf).op(0).op(end)
}
