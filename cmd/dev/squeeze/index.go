package squeeze

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"regexp"
)

// The name of function 0x1a2b is f.bkcl: four digits from a to p. Without the point
// a traceback would leave it out (showfuncinfo in runtime/traceback.go).
const (
	namePrefix = "f."
	nameDigits = 4
	nameSize   = len(namePrefix) + nameDigits + 1 // it ends in a zero
)

var numbered = regexp.MustCompile(`\bf\.[a-p]{4}\b`)

// Names returns the names of the functions, by their numbers.
func (p *Program) Names() ([]string, error) {
	t, err := p.pcTable()
	if err != nil {
		return nil, fmt.Errorf("find the table of functions: %w", err)
	}
	names := make([]string, t.count)
	for i := range names {
		f, err := t.function(i)
		if err != nil {
			return nil, err
		}
		at := le32(f[atName:])
		if uint64(at) >= uint64(len(t.names)) {
			return nil, fmt.Errorf("function %d has its name beyond the names", i)
		}
		name, _, _ := bytes.Cut(t.names[at:], []byte{0})
		names[i] = string(name)
	}
	return names, nil
}

// Rename puts the functions' names into a traceback of a program that was left
// without.
func Rename(traceback string, names []string) string {
	return numbered.ReplaceAllStringFunc(traceback, func(s string) string {
		n := 0
		for _, digit := range s[len(namePrefix):] {
			n = n<<4 | int(digit-'a')
		}
		if n >= len(names) {
			return s
		}
		return names[n]
	})
}

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
// stands in it, and their names, which only a traceback prints: this too is worked
// out when the program starts. A function is called by its number then, see
// [Rename]. No other change can be made after it. After an error the program is as
// it was.
func (p *Program) DropPlaces() error {
	t, err := p.pcTable()
	if err != nil {
		return fmt.Errorf("find the table of functions: %w", err)
	}
	if t.count > 1<<16 || t.count*nameSize > len(t.names) {
		return fmt.Errorf("%d functions, want at most %d that have %d bytes of name each", t.count, 1<<16, nameSize)
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
	}
	start := int(le32(t.functions[4:]))
	for i := range t.count {
		f, _ := t.function(i)
		clear(f[:atName+4])
		clear(t.functions[8*i:][:8])
	}
	clear(t.names)
	p.begin = append(p.begin, fillPlaces(p.base+t.at, p.base+t.atNames, t.count, int(first), start)...)
	return nil
}

// sizeOf is how far from a function the next one is.
func sizeOf(f []byte) int {
	return (funcSize + 4*int(le32(f[atTables:])) + 4*int(f[atData]) + 7) &^ 7
}

// fillPlaces fills in, for each of n functions in a table at an address, its
// number, where it stands, and its name. The first stands at start.
func fillPlaces(address, names, n, first, start int) []byte {
	const i, f, name = 0, 1, 2 // f is where function i stands, name where its name does
	var c code
	c.constant(start).set(f)
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
		c.get(i).constant(nameSize).op(i32Mul).tee(name)
		c.store(address + atName)
		for at, letter := range namePrefix {
			c.get(name).constant(int(letter)).storeByte(names + at)
		}
		for digit := range nameDigits {
			c.get(name)
			c.get(i).constant(4 * (nameDigits - 1 - digit)).op(i32Shift).constant(15).op(i32And).constant('a').op(i32Add)
			c.storeByte(names + len(namePrefix) + digit)
		}
		c.get(f).constant(funcSize + 7).op(i32Add)
		c.get(f).load(address + atTables).constant(4).op(i32Mul).op(i32Add)
		c.get(f).loadByte(address + atData).constant(4).op(i32Mul).op(i32Add)
		c.constant(-8).op(i32And).set(f)
	})
	return c
}
