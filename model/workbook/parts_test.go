package workbook_test

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"maps"
	"runtime"
	"slices"
	"strings"
	"testing"

	"ampwright/model/bring"
	"ampwright/model/workbook"

	"github.com/stretchr/testify/require"
)

// parts takes a workbook apart.
func parts(t testing.TB, data []byte) map[string]string {
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	all := map[string]string{}
	for _, f := range archive.File {
		in, err := f.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(in)
		require.NoError(t, err)
		all[f.Name] = string(text)
	}
	return all
}

// joined puts parts together as a workbook.
func joined(t testing.TB, all map[string]string) []byte {
	var out bytes.Buffer
	archive := zip.NewWriter(&out)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		part, err := archive.Create(name)
		require.NoError(t, err)
		_, err = io.WriteString(part, all[name])
		require.NoError(t, err)
	}
	require.NoError(t, archive.Close())
	return out.Bytes()
}

const (
	sheetPart   = "xl/worksheets/sheet1.xml"
	stringsPart = "xl/sharedStrings.xml"
	stylesPart  = "xl/styles.xml"
	bookPart    = "xl/workbook.xml"
	relsPart    = "xl/_rels/workbook.xml.rels"
)

func sheetOf(rows string) string {
	return `<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>` + rows + `</sheetData></worksheet>`
}

// Parts that say more than there is, or that grow when they are read: each is an
// error that says what is wanted, and none takes memory.
func TestBombs(t *testing.T) {
	base := parts(t, keptByHand(t))
	with := func(name, text string) []byte {
		all := maps.Clone(base)
		all[name] = text
		return joined(t, all)
	}
	for _, tt := range []struct {
		name string
		data []byte
		want string // "": it can be read
	}{
		{"a line far down with nothing in it", with(sheetPart, sheetOf(`<row r="1048576"/>`)), "there is a line 1048576, want at most 50000 lines"},
		{"a line before the first", with(sheetPart, sheetOf(`<row r="0"><c><v>1</v></c></row>`)), `there is a line "0"`},
		{"lines without numbers", with(sheetPart, sheetOf(strings.Repeat(`<row/>`, 50_001))), "there is a line 50001"},
		{"cells without names", with(sheetPart, sheetOf(`<row r="7">`+strings.Repeat(`<c/>`, 201)+`</row>`)), "there is a cell at GS7"},
		{"empty cells before the last", with(sheetPart, sheetOf(manyRows(2500, `<c r="GR%d"><v>1</v></c>`))), "more than 400000 cells"},
		{"merged cells", with(sheetPart, sheetOf("")+`<mergeCells>`+strings.Repeat(`<mergeCell ref="A1:B2"/>`, 2001)+`</mergeCells>`), "more than 2000 merged cells"},
		{"a sheet under another name", func() []byte {
			all := maps.Clone(base)
			all["xl/elsewhere.bin"] = sheetOf(`<row r="1048576"/>`)
			all[relsPart] = strings.ReplaceAll(all[relsPart], "worksheets/sheet1.xml", "elsewhere.bin")
			return joined(t, all)
		}(), "there is a line 1048576"},
		{"many parts", func() []byte {
			all := maps.Clone(base)
			for i := range 2001 {
				all[fmt.Sprintf("xl/media/%d.png", i)] = ""
			}
			return joined(t, all)
		}(), "parts, want at most 2000"},
		{"sizes that are wrong", with(sheetPart, strings.Replace(sheetOf(`<row r="1"><c r="A1"><v>1</v></c></row>`), "<sheetData>", `<dimension ref="A1:XFD1048576"/><sheetData>`, 1)), ""},
		{"a shared string that is not there", with(sheetPart, sheetOf(`<row r="1"><c r="A1" t="s"><v>999999</v></c><c r="B1" t="s"><v>-1</v></c><c r="C1" s="99999"><v>2</v></c></row>`)), ""},
		{"merged cells far out", with(sheetPart, sheetOf(`<row r="1"><c r="A1"><v>1</v></c></row>`)+`<mergeCells><mergeCell ref="A1:XFD1048576"/><mergeCell ref="x"/></mergeCells>`), ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, err := workbook.Read("x.xlsx", tt.data)
			runtime.ReadMemStats(&after)
			if tt.want != "" {
				require.ErrorContains(t, err, tt.want)
			} else if err != nil {
				require.ErrorContains(t, err, "x.xlsx: ")
			}
			// All that was taken in turn, most of it given back at once.
			require.Less(t, (after.TotalAlloc-before.TotalAlloc)>>20, uint64(300), "MB")
		})
	}
}

func manyRows(n int, cell string) string {
	var out strings.Builder
	for i := range n {
		fmt.Fprintf(&out, `<row r="%d">`+cell+`</row>`, i+1, i+1)
	}
	return out.String()
}

// The largest sheet that is taken stays under 300 MB in memory.
func TestLargestSheet(t *testing.T) {
	all := parts(t, keptByHand(t))
	all[sheetPart] = sheetOf(manyRows(1999, `<c r="GR%d"><v>1.5</v></c>`))
	data := joined(t, all)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f, err := workbook.Read("x.xlsx", data)
	runtime.ReadMemStats(&after)
	require.NoError(t, err)
	require.Len(t, f.Sheets[0].Rows, 1999)
	require.Less(t, (after.TotalAlloc-before.TotalAlloc)>>20, uint64(300), "MB") // in turn
	t.Log((after.TotalAlloc-before.TotalAlloc)>>20, "MB")
}

// Whatever the parts of a workbook say, it is read or refused with words.
func FuzzParts(f *testing.F) {
	base := parts(f, keptByHand(f))
	f.Add(base[sheetPart], base[stringsPart], base[stylesPart], base[bookPart])
	for _, sheet := range []string{
		sheetOf(`<row r="1"><c r="A1" t="inlineStr"><is><t>date</t></is></c><c t="b"><v>1</v></c><c t="e"><v>#REF!</v></c><c t="str"><f>1+1</f><v>2</v></c></row>`),
		sheetOf(`<row><c r="B2" s="1"><v>46267.5</v></c><c r="A2"><v>1e308</v></c></row><row r="1"/>`),
		sheetOf(`<row r="3"><c r="A1"><v>-1</v></c></row>`) + `<mergeCells><mergeCell ref="C9:A1"/></mergeCells>`,
		strings.Replace(base[sheetPart], "<sheetData>", `<dimension ref="ZZ99999:A0"/><sheetData>`, 1),
	} {
		f.Add(sheet, `<sst count="-1" uniqueCount="99999999"><si><t>a</t><r><t>b</t></r></si><si/></sst>`, `<styleSheet><numFmts><numFmt numFmtId="164" formatCode="[h]:mm;&quot;x"/></numFmts><cellXfs><xf numFmtId="22"/><xf numFmtId="164"/></cellXfs></styleSheet>`,
			strings.Replace(base[bookPart], "<sheets>", `<workbookPr date1904="true"/><sheets>`, 1))
	}
	f.Fuzz(func(t *testing.T, sheet, texts, styles, book string) {
		if len(sheet)+len(texts)+len(styles)+len(book) > 1<<20 {
			return
		}
		all := maps.Clone(base)
		all[sheetPart], all[stringsPart], all[stylesPart], all[bookPart] = sheet, texts, styles, book
		file, err := workbook.Read("x.xlsx", joined(t, all))
		if err != nil {
			require.ErrorContains(t, err, "x.xlsx: ")
			return
		}
		cells := 0
		for _, s := range file.Sheets {
			require.LessOrEqual(t, len(s.Rows), bring.MaxRows)
			for _, row := range s.Rows {
				require.LessOrEqual(t, len(row), bring.MaxCols)
				cells += len(row)
			}
		}
		require.LessOrEqual(t, cells, 400_000)
	})
}
