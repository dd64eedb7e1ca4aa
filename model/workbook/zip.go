package workbook

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"io"
	"strconv"
	"strings"
)

// The records of a ZIP archive begin with these (APPNOTE 6.3.10, 4.3).
const (
	localMark   = 0x04034b50
	centralMark = 0x02014b50
	endMark     = 0x06054b50
)

const (
	damaged = "it is damaged"
	zip64   = "it is a ZIP archive for files of gigabytes (Zip64), want a plain one: keep it again with a spreadsheet program"
)

// An archive is a ZIP archive in memory.
type archive struct {
	data       []byte
	parts      map[string]uint64 // where the central directory speaks of it, by name in small letters: OPC tells no case apart
	most, left uint64            // bytes that all parts may take, and that may yet be unpacked
	err        error             // what went wrong first: nothing is read after that
}

func (a *archive) fail(why string) {
	if a.err == nil {
		a.err = errors.New(why)
	}
}

// number reads a number of so many bytes, the lowest first. Past the end are zeros.
func (a *archive) number(at, size uint64) (n uint64) {
	for size > 0 {
		size--
		n <<= 8
		if at+size < uint64(len(a.data)) {
			n |= uint64(a.data[at+size])
		}
	}
	return n
}

// openArchive reads the central directory. Nothing in it is more than 32 bits:
// sums of its numbers stay far below 64.
func openArchive(data []byte, most uint64) *archive {
	a := &archive{data: data, parts: map[string]uint64{}, most: most, left: most}
	end := uint64(max(len(data)-22, 0))
	for back := 0xffff; a.number(end, 4) != endMark; back-- {
		if end == 0 || back == 0 {
			a.fail("it is no ZIP archive, or breaks off")
			return a
		}
		end--
	}
	count, at := a.number(end+10, 2), a.number(end+16, 4)
	switch {
	case count == 0xffff || at == 0xffffffff:
		a.fail(zip64)
	case count > maxParts:
		a.fail("it has " + strconv.Itoa(int(count)) + " parts, want at most " + strconv.Itoa(maxParts))
	}
	for total := uint64(0); count > 0 && a.err == nil; count-- {
		name, size := a.number(at+28, 2), a.number(at+24, 4)
		next := at + 46 + name + a.number(at+30, 2) + a.number(at+32, 2)
		total += size
		switch {
		case a.number(at, 4) != centralMark || next > end:
			a.fail(damaged)
		case max(size, a.number(at+20, 4), a.number(at+42, 4)) == 0xffffffff:
			a.fail(zip64)
		case total > most:
			a.tooMuch()
		default:
			a.parts[key(string(data[at+46:at+46+name]))] = at
		}
		at = next
	}
	return a
}

// key makes one name of all that mean the same part.
func key(name string) string {
	return strings.ToLower(strings.TrimPrefix(strings.ReplaceAll(name, `\`, "/"), "/"))
}

func (a *archive) tooMuch() {
	a.fail("its parts take more than " + strconv.Itoa(int(a.most>>20)) + " MB, want less")
}

// read unpacks a part. It takes no more memory than the directory says, and no
// more than a part of its packed size can come to.
func (a *archive) read(name string) []byte {
	at, ok := a.parts[key(name)]
	method, packed, size, local := a.number(at+10, 2), a.number(at+20, 4), a.number(at+24, 4), a.number(at+42, 4)
	from := local + 30 + a.number(local+26, 2) + a.number(local+28, 2)
	switch {
	case !ok:
		a.fail("there is no part " + strconv.Quote(name) + " in it")
	case a.number(at+8, 2)&1 != 0 || method != 0 && method != 8:
		a.fail(name + " is encrypted, or packed in a way that is not read here: keep it again without a password")
	case size > a.left:
		a.tooMuch()
	case a.number(local, 4) != localMark || from+packed > uint64(len(a.data)) || size > 1032*packed: // RFC 1951: at best two bits for 258 bytes
		a.fail(damaged)
	}
	if a.err != nil {
		return nil
	}
	a.left -= size
	out := a.data[from : from+packed]
	if method == 8 {
		out = make([]byte, size+1) // it is to end before the byte too many
		n, err := io.ReadFull(flate.NewReader(bytes.NewReader(a.data[from:from+packed])), out)
		if out = out[:n]; err != io.ErrUnexpectedEOF && err != io.EOF {
			a.fail(damaged)
		}
	}
	if uint64(len(out)) != size || uint64(crc32.ChecksumIEEE(out)) != a.number(at+16, 4) {
		a.fail(damaged)
	}
	return out
}

// A packer writes a ZIP archive. It knows no clock: all parts have the first
// moment that such an archive can say.
type packer struct {
	out, dir, packed bytes.Buffer
	deflate          *flate.Writer
	count            uint32
}

// add writes a part of XML. The buffer under it takes whatever is written.
func (z *packer) add(name, text string) {
	text = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n" + text
	z.packed.Reset()
	z.deflate.Reset(&z.packed)
	io.WriteString(z.deflate, text)
	z.deflate.Close()
	head := []byte("\x14\x00\x00\x00\x08\x00\x00\x00\x21\x00") // version 2.0, deflated, 1980-01-01 00:00
	for _, n := range [...]int{int(crc32.ChecksumIEEE([]byte(text))), z.packed.Len(), len(text), len(name)} {
		head = binary.LittleEndian.AppendUint32(head, uint32(n))
	}
	z.dir.WriteString("PK\x01\x02\x14\x00" + string(head) + "\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00")
	z.dir.Write(binary.LittleEndian.AppendUint32(nil, uint32(z.out.Len())))
	z.dir.WriteString(name)
	z.out.WriteString("PK\x03\x04" + string(head) + name)
	z.out.Write(z.packed.Bytes())
	z.count++
}

// close returns the whole archive.
func (z *packer) close() []byte {
	end := binary.LittleEndian.AppendUint32([]byte("PK\x05\x06\x00\x00\x00\x00"), z.count<<16|z.count)
	end = binary.LittleEndian.AppendUint32(end, uint32(z.dir.Len()))
	end = binary.LittleEndian.AppendUint32(end, uint32(z.out.Len()))
	z.out.Write(z.dir.Bytes())
	z.out.Write(append(end, 0, 0))
	return z.out.Bytes()
}
