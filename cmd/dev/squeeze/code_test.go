package squeeze

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// frame is a function of Go with three blocks. Its table has the second one twice, and the third by itself and for all else.
func frame(first, second, third list) list {
	l := list{readSP, setSP, opBlock + nothing, opLoop + nothing, opBlock + nothing, opBlock + nothing, opBlock + nothing, getBlock, opTable + "\x04\x00\x01\x01\x02\x02", opEnd}
	l = append(append(l, first...), opEnd)
	l = append(append(l, second...), opEnd)
	l = append(l, third...)
	return append(l, opEnd, opUnreachable, opEnd, give1, opEnd)
}

func goTo(n, depth byte) list {
	return list{opI32 + string(rune(n)), setBlock, opBranch + string(rune(depth))}
}

func TestJumps(t *testing.T) {
	one := list{opIf + nothing, opI32 + "\x02", setBlock, opBranch + "\x03", opEnd}
	require.Equal(t, frame(list{opBranchIf + "\x00"}, nil, nil), frame(one, nil, nil).jumps(), "to the third, from under a condition")
	require.Equal(t, frame(list{opBranch + "\x01"}, nil, nil), frame(goTo(3, 2), nil, nil).jumps(), "past it, to the end of the second")
	for name, same := range map[string]list{
		"to itself": frame(goTo(0, 2), nil, nil), "back": frame(nil, nil, goTo(1, 0)), "to none": frame(goTo(5, 2), nil, nil), "no loop": frame(goTo(2, 1), nil, nil),
		"the number is read": frame(append(list{getBlock, opDrop}, goTo(2, 2)...), nil, nil), "no frame": {readSP, setSP, opEnd},
	} {
		require.Equal(t, same, same.jumps(), name)
	}
	indirect := list{setBlock, give0, getBlock, opIndirect + "\x00\x00", opDrop}
	require.Equal(t, frame(append(indirect, opBranch+"\x00"), nil, nil), frame(append(indirect, goTo(2, 2)...), nil, nil).jumps())
}

func TestExits(t *testing.T) {
	returned := list{opIf + nothing, give1, opReturn, opEnd}
	require.Equal(t, frame(nil, returned, nil), frame(nil, list{opBranchIf + "\x02"}, nil).exits())
	for _, depth := range []string{"\x00", "\x01", "\x03"} { // a block, the loop, the function
		same := frame(nil, list{opBranchIf + depth}, nil)
		require.Equal(t, same, same.exits())
	}
}

func TestAddresses(t *testing.T) {
	sum := list{getSP, opExtend, opI64 + "\x10", opI64Add, opWrap}
	value := list{opGet + "\x02", opI64 + "\x03", opI64Add}
	cat := func(lists ...list) (all list) {
		for _, l := range lists {
			all = append(all, l...)
		}
		return all
	}
	load, store := "\x29\x03", "\x37\x03"
	require.Equal(t, list{getSP, load + "\x10"}, cat(sum, list{load + "\x00"}).addresses())
	require.Equal(t, cat(list{getSP}, value, list{store + "\x10"}), cat(sum, value, list{store + "\x00"}).addresses())
	plain := list{getSP, opI32 + "\x10", opI32Add}
	for name, l := range map[string][2]list{
		"with an offset already": {{load + "\x08"}, {load + "\x08"}},
		"kept":                   {{"\x21\x04"}, {"\x21\x04"}},
		"a block between":        {{opBlock + nothing, opEnd, load + "\x00"}, {opBlock + nothing, opEnd, load + "\x00"}},
		"it is what is stored":   {{store + "\x00"}, {store + "\x00"}},
	} {
		require.Equal(t, cat(list{opGet + "\x02"}, plain, l[1]), cat(list{opGet + "\x02"}, sum, l[0]).addresses(), name)
	}
}

// A function that calls none but waits (runtime.pause returns 1), or leaves the stack
// as another one's (runtime.gogo), is no leaf.
func TestLeaf(t *testing.T) {
	whole := list{readSP, setSP, opGet + "\x02", opDrop, getSP, give8, opI32Add, teeSP, writeSP, give0, opReturn, opEnd}
	require.True(t, whole.isLeaf())
	change := func(at int, to ...string) list {
		return append(append(append(list{}, whole[:at]...), to...), whole[at+1:]...)
	}
	for name, l := range map[string]list{
		"returns 1": change(9, give1), "another global": change(3, "\x24\x03"), "calls": change(3, opCall+"\x07"), "calls what it is given": change(3, opIndirect+"\x00\x00"),
		"another depth": change(5, opI32+"\x10"), "falls off its end": change(10, opDrop), "leaves by the exit": frame(list{getSP, opBranchIf + "\x02"}, nil, nil), "not of Go": whole[1:],
	} {
		require.False(t, l.isLeaf(), name)
	}
}
