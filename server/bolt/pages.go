package bolt

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
)

// What bbolt writes, field by field, in the byte order of the machine. A page
// starts with id (8 bytes), flags (2), count of elements (2) and number of
// further pages that belong to it (4). A meta page goes on with magic, version,
// page size, flags (4 each), root page, root sequence, freelist page, number of
// pages, transaction (8 each) and the FNV-1a hash of all that (8). A branch
// page holds elements of offset, key length (4 each) and child page (8); a leaf
// page of flags, offset, key length, value length (4 each); an offset counts
// from its element. The value of a bucket is its root page and its sequence (8
// each); if the root page is 0 the page itself follows.
const (
	pageHead   = 16
	element    = 16
	bucketHead = 16
	metaSize   = 64
	metaMagic  = 0xED0CDAED
	metaFormat = 2

	branchPage = 0x01
	leafPage   = 0x02
	bucketFlag = 0x01
)

var order = binary.NativeEndian

// A meta is what the valid meta page with the highest transaction says.
type meta struct {
	pageSize int64
	root     uint64
	pages    uint64 // in use or free; the file may be longer
	tx       uint64
}

// readMeta reads both meta pages. One that does not read is damage: bbolt falls
// back to the other, which is one transaction older.
func readMeta(f io.ReaderAt) (best meta, damage []string, err error) {
	first, ok := parseMeta(f, 0)
	if !ok {
		damage = append(damage, "the first meta page does not read: the last append may be missing")
	}
	for size := int64(1024); size <= 16<<20; size *= 2 {
		if ok && size != first.pageSize {
			continue
		}
		second, ok2 := parseMeta(f, size)
		switch {
		case ok2 && second.pageSize == size && (!ok || second.tx > first.tx):
			return second, damage, nil
		case ok2 && second.pageSize == size:
			return first, damage, nil
		case ok:
			return first, append(damage, "the second meta page does not read: the last append may be missing"), nil
		}
	}
	return best, damage, errors.New("neither meta page reads: this is not a logbook, or it is damaged from the start")
}

func parseMeta(f io.ReaderAt, at int64) (m meta, ok bool) {
	var b [metaSize]byte
	if _, err := f.ReadAt(b[:], at+pageHead); err != nil {
		return m, false
	}
	h := fnv.New64a()
	h.Write(b[:metaSize-8])
	if order.Uint32(b[0:]) != metaMagic || order.Uint32(b[4:]) != metaFormat || order.Uint64(b[metaSize-8:]) != h.Sum64() {
		return m, false
	}
	m = meta{int64(order.Uint32(b[8:])), order.Uint64(b[16:]), order.Uint64(b[40:]), order.Uint64(b[48:])}
	return m, m.pageSize >= 1024 && m.pageSize <= 16<<20
}

// A walk goes through the tree of pages and reports every page that is damaged,
// then goes on with the next.
type walk struct {
	f      io.ReaderAt
	meta   meta
	seen   map[uint64]bool
	damage func(what string)
	bucket func(name []byte, sequence uint64)
	item   func(bucket, key, value []byte) // key and value last as long as the call
}

// run walks the whole tree. The number of pages in use is then len(w.seen).
func (w *walk) run() {
	w.seen = map[uint64]bool{0: true, 1: true}
	w.page(w.meta.root, nil, bounds{})
}

// bounds says which keys belong on a page: from min on and below max; nil for any.
type bounds struct{ min, max []byte }

// page walks the tree under page id, which belongs to a bucket or, with nil, to
// the root.
func (w *walk) page(id uint64, bucket []byte, keys bounds) {
	if id < 2 || id >= w.meta.pages {
		w.damage(fmt.Sprintf("page %d: the file has pages 2 to %d", id, w.meta.pages-1))
		return
	}
	head := make([]byte, w.meta.pageSize)
	if _, err := w.f.ReadAt(head, int64(id)*w.meta.pageSize); err != nil {
		w.damage(fmt.Sprintf("page %d: %v", id, err))
		return
	}
	more := uint64(order.Uint32(head[12:]))
	if got := order.Uint64(head); got != id || more >= w.meta.pages-id {
		w.damage(fmt.Sprintf("page %d: says it is page %d with %d more, of %d", id, got, more, w.meta.pages))
		return
	}
	for i := id; i <= id+more; i++ {
		if w.seen[i] {
			w.damage(fmt.Sprintf("page %d: used twice", i))
			return
		}
		w.seen[i] = true
	}
	page := head
	if more > 0 {
		page = make([]byte, w.meta.pageSize*int64(1+more))
		if _, err := w.f.ReadAt(page, int64(id)*w.meta.pageSize); err != nil {
			w.damage(fmt.Sprintf("page %d: %v", id, err))
			return
		}
	}
	w.elements(fmt.Sprintf("page %d", id), page, bucket, keys)
}

// elements walks what stands on a page, or on a small bucket's page that is kept
// inside its value.
func (w *walk) elements(name string, page, bucket []byte, keys bounds) {
	flags, count := order.Uint16(page[8:]), int(order.Uint16(page[10:]))
	if flags != leafPage && (flags != branchPage || count == 0) {
		w.damage(fmt.Sprintf("%s: flags %#x with %d elements: neither branch nor leaf", name, flags, count))
		return
	}
	if pageHead+count*element > len(page) {
		w.damage(fmt.Sprintf("%s: %d elements in %d bytes", name, count, len(page)))
		return
	}
	at := func(i int) (head, key, value []byte, ok bool) {
		start := pageHead + i*element
		head = page[start : start+element]
		offset, keyLen, valueLen := order.Uint32(head), order.Uint32(head[4:]), uint32(0)
		if flags == leafPage {
			offset, keyLen, valueLen = order.Uint32(head[4:]), order.Uint32(head[8:]), order.Uint32(head[12:])
		}
		from := uint64(start) + uint64(offset)
		to := from + uint64(keyLen) + uint64(valueLen)
		if from < uint64(pageHead+count*element) || to > uint64(len(page)) {
			return head, nil, nil, false
		}
		return head, page[from : from+uint64(keyLen)], page[from+uint64(keyLen) : to], true
	}
	for i := range count {
		head, key, value, ok := at(i)
		below := keys.max
		if ok && i+1 < count {
			_, below, _, ok = at(i + 1)
		}
		switch {
		case !ok:
			w.damage(fmt.Sprintf("%s: element %d or the next lies outside the page", name, i))
		case bytes.Compare(key, keys.min) < 0 || below != nil && bytes.Compare(key, below) >= 0:
			w.damage(fmt.Sprintf("%s: element %d is out of order", name, i))
		case flags == branchPage:
			w.page(order.Uint64(head[8:]), bucket, bounds{key, below})
		case order.Uint32(head) == bucketFlag:
			w.open(name, key, value, bucket)
		case order.Uint32(head) != 0:
			w.damage(fmt.Sprintf("%s: element %d has flags %#x", name, i, order.Uint32(head)))
		case bucket == nil:
			w.damage(fmt.Sprintf("%s: element %d stands outside any bucket", name, i))
		default:
			w.item(bucket, key, value)
		}
	}
}

// open walks the bucket that an element stands for.
func (w *walk) open(name string, key, value, parent []byte) {
	if parent != nil || len(value) < bucketHead {
		w.damage(fmt.Sprintf("%s: bucket %q where none can be", name, key))
		return
	}
	w.bucket(key, order.Uint64(value[8:]))
	root := order.Uint64(value)
	switch {
	case root != 0:
		w.page(root, key, bounds{})
	case len(value) < bucketHead+pageHead || order.Uint16(value[bucketHead+8:]) != leafPage:
		w.damage(fmt.Sprintf("%s: bucket %q holds no page", name, key))
	default:
		w.elements(fmt.Sprintf("%s, bucket %q", name, key), value[bucketHead:], key, bounds{})
	}
}
