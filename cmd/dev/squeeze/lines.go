package squeeze

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"
)

// What follows is the table of functions as cmd/link of Go 1.20 to 1.26 writes it
// and package runtime reads it: pcHeader in runtime/symtab.go, _func in
// runtime/runtime2.go. For a table at offset 0 the runtime answers that the line
// is not known (pcvalue and funcline1 in runtime/symtab.go).
const (
	headerSize = 8 + 8*8
	funcSize   = 44 // before the offsets of its other tables

	atName   = 4  // offset of the name
	atStack  = 16 // offset of the table of the stack's depth
	atFile   = 20 // of that of files; that of lines follows
	atTables = 28 // how many others there are
	atUnit   = 32 // whose files they are, and the line it begins on
	atData   = 43 // how many offsets of data follow those of the tables

)

// What is not needed of the tables and of the data of a function, by the numbers
// of internal/abi/symtab.go: where it may be interrupted (no WebAssembly program
// is), which calls are inlined into it, what its arguments are, what it wraps.
var (
	spareTables = []int{0, 2, 3}    // unsafe points, inlined calls, live arguments
	spareData   = []int{3, 5, 6, 7} // inlined calls, arguments, live ones, wrapped function
)

// header begins the table: Go120PCLnTabMagic of internal/abi, two zeros, the
// smallest instruction of one byte, pointers of eight.
var header = []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}

// A pcTable is the table of functions within the data.
type pcTable struct {
	count       int
	names       []byte
	at, atNames int // where functions and names stand in the data
	functions   []byte
	values      []byte          // of each function, by instruction
	files       []byte          // names of files, and which package has which
	lines, kept map[uint32]bool // offsets into values
}

// DropLines leaves out which file and line each instruction comes from, and what
// else only a traceback or another system reads. After an error the program is
// as it was.
func (p *Program) DropLines() error {
	t, err := p.pcTable()
	if err != nil {
		return fmt.Errorf("find the table of functions: %w", err)
	}
	for i := range t.count {
		f, err := t.function(i)
		if err != nil {
			return err
		}
		t.kept[le32(f[atStack:])] = true
		t.lines[le32(f[atFile:])], t.lines[le32(f[atFile+4:])] = true, true
		for n := range int(le32(f[atTables:])) {
			which := t.kept
			if slices.Contains(spareTables, n) {
				which = t.lines
			}
			which[le32(f[funcSize+4*n:])] = true
		}
	}
	drop := map[uint32]int{}
	for offset := range t.lines {
		if offset != 0 && !t.kept[offset] { // equal tables are one
			if drop[offset], err = t.size(offset); err != nil {
				return err
			}
		}
	}
	for offset, size := range drop {
		clear(t.values[offset:][:size])
	}
	for i := range t.count {
		f, _ := t.function(i)
		clear(f[atFile : atFile+8])
		clear(f[atUnit : atUnit+8])
		tables := int(le32(f[atTables:]))
		for _, n := range spareTables {
			if n < tables {
				clear(f[funcSize+4*n:][:4])
			}
		}
		for _, n := range spareData {
			if n < int(f[atData]) {
				copy(f[funcSize+4*(tables+n):], []byte{0xff, 0xff, 0xff, 0xff}) // none
			}
		}
	}
	clear(t.files)
	return nil
}

func (p *Program) pcTable() (*pcTable, error) {
	at := bytes.Index(p.data, header)
	if at < 0 || bytes.Contains(p.data[at+1:], header) {
		return nil, fmt.Errorf("want one header % x: this Go writes another", header)
	}
	all := p.data[at:]
	if len(all) < headerSize {
		return nil, fmt.Errorf("it is cut short")
	}
	field := func(i int) uint64 { return binary.LittleEndian.Uint64(all[8*i:]) }
	count, names, units, values, functions := field(1), field(4), field(5), field(7), field(8)
	if field(3) != 0 || !(headerSize <= names && names < units && units < field(6) && field(6) < values && values < functions && functions+8*count < uint64(len(all))) {
		return nil, fmt.Errorf("its parts are not in the order known")
	}
	return &pcTable{
		count: int(count), at: at + int(functions), atNames: at + int(names), names: all[names:units], functions: all[functions:], values: all[values:functions], files: all[units:values],
		lines: map[uint32]bool{}, kept: map[uint32]bool{},
	}, nil
}

// function returns the i-th function with all its tables.
func (t *pcTable) function(i int) ([]byte, error) {
	at := uint64(le32(t.functions[8*i+4:]))
	if at+funcSize > uint64(len(t.functions)) {
		return nil, fmt.Errorf("function %d stands beyond the table", i)
	}
	f := t.functions[at:]
	tables := uint64(le32(f[atTables:]))
	if le32(f) != le32(t.functions[8*i:]) || tables > 8 || f[atData] > 16 || funcSize+4*(tables+uint64(f[atData])) > uint64(len(f)) {
		return nil, fmt.Errorf("function %d is not laid out as known", i)
	}
	return f, nil
}

// size returns the length of a table of values: pairs of numbers in LEB128 up to
// a first number of zero, which only the first pair may have.
func (t *pcTable) size(offset uint32) (int, error) {
	if uint64(offset) >= uint64(len(t.values)) {
		return 0, fmt.Errorf("a table of lines stands beyond the others")
	}
	r := reader{rest: t.values[offset:]}
	for first := true; !r.bad; first = false {
		if r.unsigned() == 0 && !first {
			return len(t.values) - int(offset) - len(r.rest), nil
		}
		r.unsigned()
	}
	return 0, fmt.Errorf("a table of lines has no end")
}

func le32(b []byte) uint32 { return binary.LittleEndian.Uint32(b) }
