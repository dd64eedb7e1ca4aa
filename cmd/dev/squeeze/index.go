package squeeze

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// The index that the runtime finds functions by (findfuncbucket in
// runtime/symtab.go) has an entry for each 4096 bytes of code: the number of a
// function and 16 bytes more. In WebAssembly a function counts as 64 KiB, so that
// sixteen entries in turn are its number and zeros.
const (
	entrySize = 20
	entries   = 16 // of a function
)

// DropIndex leaves out the index of functions, a fifth of the data of a large
// program: a function that writes it when the program starts is added to the
// program. After an error the program is as it was.
func (p *Program) DropIndex() error {
	t, err := p.pcTable()
	if err != nil {
		return fmt.Errorf("find the table of functions: %w", err)
	}
	n := (t.count - 1) * entries // the last function has as many as it has code
	all := make([]byte, n*entrySize)
	for i := range n {
		binary.LittleEndian.PutUint32(all[i*entrySize:], uint32(i/entries))
	}
	at := bytes.Index(p.data, all)
	if n < entries || at < 0 {
		return errors.New("no index of the functions as it is known: this Go has another")
	}
	clear(p.data[at:][:len(all)])
	p.begin = append(p.begin, fillIndex(p.base+at, n)...)
	return nil
}

// fillIndex stores i/16 at 20i bytes from an address, for i below n.
func fillIndex(address, n int) []byte {
	const i = 0
	var c code
	c.loop(i, n, func() {
		c.get(i).constant(entrySize).op(i32Mul)
		c.get(i).constant(4).op(i32Shift)
		c.store(address)
	})
	return c
}

// DropPlaces leaves out of the table of functions their numbers, where each
// stands in it, and that their names stand one after another: this too is worked
// out when the program starts. No other change can be made after it. After an
// error the program is as it was.
func (p *Program) DropPlaces() error {
	t, err := p.pcTable()
	if err != nil {
		return fmt.Errorf("find the table of functions: %w", err)
	}
	first, at := le32(t.functions), uint32(0)
	for i := range t.count {
		f, err := t.function(i)
		if err != nil {
			return err
		}
		if i == 0 {
			at = le32(t.functions[4:])
		}
		if le32(t.functions[8*i:]) != first+uint32(i) || le32(t.functions[8*i+4:]) != at {
			return fmt.Errorf("function %d does not follow the one before", i)
		}
		at += uint32(sizeOf(f))
		if own := le32(f[atName:]); uint64(own) >= uint64(len(t.names)) || bytes.IndexByte(t.names[own:], 0) < 0 {
			return fmt.Errorf("function %d has its name beyond the names", i)
		}
	}
	start := int(le32(t.functions[4:]))
	name := uint32(0)
	for i := range t.count {
		f, _ := t.function(i)
		own := le32(f[atName:])
		binary.LittleEndian.PutUint32(f[atName:], own-name) // most often 0
		name = own + 1 + uint32(bytes.IndexByte(t.names[own:], 0))
	}
	for i := range t.count {
		f, _ := t.function(i)
		clear(f[:4])
		clear(t.functions[8*i:][:8])
	}
	p.begin = append(p.begin, fillPlaces(p.base+t.at, p.base+t.atNames, t.count, int(first), start)...)
	return nil
}

// sizeOf is how far from a function the next one is.
func sizeOf(f []byte) int {
	return (funcSize + 4*int(le32(f[atTables:])) + 4*int(f[atData]) + 7) &^ 7
}

// fillPlaces fills in, for each of n functions in a table at an address, its
// number, where it stands, and where its name does. The first stands at start. A
// name ends in a zero.
func fillPlaces(address, names, n, first, start int) []byte {
	const i, f, name = 0, 1, 2 // f is where function i stands, name where its name should
	var c code
	c.constant(start).set(f)
	c.constant(0).set(name)
	c.loop(i, n, func() {
		c.get(i).constant(8).op(i32Mul)
		c.get(i).constant(first).op(i32Add)
		c.store(address)
		c.get(i).constant(8).op(i32Mul)
		c.get(f)
		c.store(address + 4)
		c.get(f)
		c.get(i).constant(first).op(i32Add)
		c.store(address)
		c.get(f)
		c.get(f).load(address + atName).get(name).op(i32Add).tee(name)
		c.store(address + atName)
		c.repeat(func() {
			c.get(name).constant(1).op(i32Add).tee(name).loadByte(names - 1) // the byte before
		})
		c.get(f).constant(funcSize + 7).op(i32Add)
		c.get(f).load(address + atTables).constant(4).op(i32Mul).op(i32Add)
		c.get(f).loadByte(address + atData).constant(4).op(i32Mul).op(i32Add)
		c.constant(-8).op(i32And).set(f)
	})
	return c
}
