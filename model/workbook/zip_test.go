package workbook_test

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"io"
	"maps"
	"slices"
	"testing"

	"ampwright/model/tables"
	"ampwright/model/workbook"

	"github.com/stretchr/testify/require"
)

func small(t testing.TB) []byte {
	data, err := workbook.Write([]tables.Table{{Name: "hours", Head: []string{"date", "hours"}, Rows: [][]tables.Cell{{{Text: "2026-09-01"}, {Text: "2.5", Number: true}}}}})
	require.NoError(t, err)
	return data
}

// An archive of any make that archive/zip can write is read the same.
func TestArchives(t *testing.T) {
	plain := keptByHand(t)
	want, err := workbook.Read("x.xlsx", plain)
	require.NoError(t, err)
	all := parts(t, plain)
	for name, add := range map[string]func(w *zip.Writer, name string) (io.Writer, error){
		"deflated, sizes behind": func(w *zip.Writer, name string) (io.Writer, error) {
			return w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
		},
		"stored, sizes behind": func(w *zip.Writer, name string) (io.Writer, error) {
			return w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
		},
		"stored, sizes before": func(w *zip.Writer, name string) (io.Writer, error) {
			return w.CreateRaw(&zip.FileHeader{Name: name, Method: zip.Store, CRC32: crc32.ChecksumIEEE([]byte(all[name])),
				CompressedSize64: uint64(len(all[name])), UncompressedSize64: uint64(len(all[name]))})
		},
		"with all that may stand beside": func(w *zip.Writer, name string) (io.Writer, error) {
			return w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Comment: "a remark", Extra: []byte("\xfe\xca\x02\x00ab")})
		},
	} {
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		require.NoError(t, w.SetComment("PK\x05 of all parts"))
		for _, part := range slices.Sorted(maps.Keys(all)) {
			to, err := add(w, part)
			require.NoError(t, err)
			_, err = io.WriteString(to, all[part])
			require.NoError(t, err)
		}
		require.NoError(t, w.Close())
		f, err := workbook.Read("x.xlsx", out.Bytes())
		require.NoError(t, err, name)
		require.Equal(t, want.Sheets, f.Sheets, name)
	}
}

// A workbook that breaks off is refused, and one with a wrong byte is refused or
// reads as it did: none is read as something else.
func TestDamaged(t *testing.T) {
	data := small(t)
	want, err := workbook.Read("x.xlsx", data)
	require.NoError(t, err)
	for n := range data {
		_, err := workbook.Read("x.xlsx", data[:n])
		require.ErrorContains(t, err, "x.xlsx: want a workbook that can be read", n)
	}
	refused := 0
	for i := range data {
		for _, flip := range []byte{1, 0x80, 0xff} {
			bad := slices.Clone(data)
			bad[i] ^= flip
			if f, err := workbook.Read("x.xlsx", bad); err != nil {
				refused++
			} else {
				require.Equal(t, want.Sheets, f.Sheets, "byte %d", i)
			}
		}
	}
	require.Greater(t, refused, len(data))
}

// Archives that are of another kind, or that lie.
func TestArchivesRefused(t *testing.T) {
	le := binary.LittleEndian
	central := func(data []byte) []byte { return data[bytes.LastIndex(data, []byte("xl/worksheets/sheet1.xml"))-46:] } // where the directory speaks of the sheet
	end := func(data []byte) []byte { return data[bytes.Index(data, []byte("PK\x05\x06")):] }
	for _, tt := range []struct {
		want   string
		change func(data []byte)
	}{
		{"_rels/.rels is encrypted, or packed in a way", func(d []byte) {
			for at := d; ; at = at[4:] { // of every part
				i := bytes.Index(at, []byte("PK\x01\x02"))
				if i < 0 {
					return
				}
				at = at[i:]
				at[8] |= 1
			}
		}},
		{"(Zip64), want a plain one", func(d []byte) { le.PutUint32(end(d)[16:], 0xffffffff) }},
		{"(Zip64), want a plain one", func(d []byte) { le.PutUint16(end(d)[10:], 0xffff) }},
		{"(Zip64), want a plain one", func(d []byte) { le.PutUint32(central(d)[24:], 0xffffffff) }},
		{"parts, want at most 2000", func(d []byte) { le.PutUint16(end(d)[10:], 0xfffe) }},
		{"its parts take more than 64 MB", func(d []byte) { le.PutUint32(central(d)[24:], 0xfffffffe) }},
		{"sheet1.xml is encrypted, or packed in a way that is not read here", func(d []byte) { le.PutUint16(central(d)[10:], 12) }},
		{"it is damaged", func(d []byte) { le.PutUint32(central(d)[20:], 0xfffffffe) }},           // beyond the end
		{"it is damaged", func(d []byte) { le.PutUint32(central(d)[42:], 0xfffffffe) }},           // too
		{"it is damaged", func(d []byte) { le.PutUint32(central(d)[24:], 63<<20) }},               // more than can be
		{"it is damaged", func(d []byte) { central(d)[24]-- }},                                    // one byte less than there is
		{"it is damaged", func(d []byte) { central(d)[24]++ }},                                    // one byte more
		{"it is damaged", func(d []byte) { central(d)[16]++ }},                                    // the sum
		{"it is damaged", func(d []byte) { le.PutUint32(end(d)[16:], uint32(len(d))) }},           // where the directory is
		{"it is damaged", func(d []byte) { le.PutUint16(central(d)[28:], 0xffff) }},               // the length of a name
		{"it is damaged", func(d []byte) { le.PutUint16(end(d)[10:], le.Uint16(end(d)[10:])+1) }}, // one part more
		{"it is no ZIP archive, or breaks off", func(d []byte) { end(d)[0] = 'Q' }},
	} {
		data := small(t)
		tt.change(data)
		_, err := workbook.Read("x.xlsx", data)
		require.ErrorContains(t, err, tt.want)
	}
	// The end of an archive is not looked for beyond the longest remark.
	_, err := workbook.Read("x.xlsx", append(small(t), make([]byte, 0x10000)...))
	require.ErrorContains(t, err, "it is no ZIP archive, or breaks off")
	_, err = workbook.Read("x.xlsx", append(small(t), make([]byte, 0xffff)...))
	require.NoError(t, err)
}
