package workbook_test

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"ampwright/calc/unit"
	"ampwright/model/bring"
	"ampwright/model/tables"
	"ampwright/model/workbook"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

// reference reads a workbook by excelize, a general library for .xlsx files.
func reference(t require.TestingT, data []byte) []bring.Sheet {
	book, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	defer book.Close()
	p, err := book.GetWorkbookProps()
	require.NoError(t, err)
	from1904 := p.Date1904 != nil && *p.Date1904
	all := []bring.Sheet{}
	for _, sheet := range book.GetSheetList() {
		rows, err := book.GetRows(sheet)
		require.NoError(t, err)
		for y, row := range rows {
			for x, text := range row {
				if text != "" {
					cell, err := excelize.CoordinatesToCellName(x+1, y+1)
					require.NoError(t, err)
					row[x] = referenceText(t, book, sheet, cell, text, from1904)
				}
			}
		}
		all = append(all, bring.Sheet{Name: sheet, Rows: rows})
	}
	return all
}

func referenceText(t require.TestingT, book *excelize.File, sheet, cell, raw string, from1904 bool) string {
	v, err := strconv.ParseFloat(raw, 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e15 {
		return raw
	}
	if k, err := book.GetCellType(sheet, cell); err != nil || k == excelize.CellTypeSharedString || k == excelize.CellTypeInlineString {
		return raw
	}
	id, err := book.GetCellStyle(sheet, cell)
	require.NoError(t, err)
	kind := byte('n')
	if s, err := book.GetStyle(id); err == nil {
		switch {
		case s.CustomNumFmt != nil:
			kind = referenceKind(*s.CustomNumFmt)
		case s.NumFmt == 46:
			kind = 'h'
		case s.NumFmt >= 14 && s.NumFmt <= 22, s.NumFmt == 45, s.NumFmt == 47, s.NumFmt >= 27 && s.NumFmt <= 36, s.NumFmt >= 50 && s.NumFmt <= 58:
			kind = 'd'
		}
	}
	switch kind {
	case 'h':
		minutes := math.Round(math.Abs(v) * 24 * 60)
		text := fmt.Sprintf("%d:%02d", int(minutes)/60, int(minutes)%60)
		if v < 0 && minutes > 0 {
			text = "-" + text
		}
		return text
	case 'd':
		d, err := excelize.ExcelDateToTime(v, from1904)
		switch {
		case err != nil || v < 0:
			return raw
		case v < 1:
			return d.Format("15:04")
		case v == math.Trunc(v):
			return d.Format("2006-01-02")
		}
		return d.Format("2006-01-02 15:04")
	}
	text := unit.FromFloat(v, 12).String()
	if whole, decimals, ok := strings.Cut(text, "."); ok && len(decimals) == 3 && v > 0 && whole[0] != '0' {
		text = "0" + text
	}
	return text
}

// referenceKind reads a number format of the file's own, by other code.
func referenceKind(format string) byte {
	var plain strings.Builder
	quoted := false
	for i := 0; i < len(format); i++ {
		switch c := format[i]; {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '\\':
			i++
		case c == ';': // of positive numbers only
			i = len(format)
		default:
			plain.WriteByte(c)
		}
	}
	f := strings.ToLower(plain.String())
	if strings.Contains(f, "[h") || strings.Contains(f, "[m") && !strings.Contains(f, "[mag") {
		return 'h'
	}
	for { // [$-409], [red]
		i := strings.IndexByte(f, '[')
		j := strings.IndexByte(f, ']')
		if i < 0 || j < i {
			break
		}
		f = f[:i] + f[j+1:]
	}
	if f != "general" && strings.ContainsAny(f, "ymdhs") {
		return 'd'
	}
	return 'n'
}

var (
	someText = rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{
		" both ends ", "two\nlines", "007", "1.10", "=1+1", "_x000D_", "_x005F_x000D_", "_x0041", "a_x_", "<b>&amp;\"'</b>", "Ω 电池 🔋", "'=x", "3/4", "TRUE",
	}))
	// Around the leap day that never was, of this year, of both systems.
	someDay = rapid.OneOf(rapid.IntRange(0, 70), rapid.IntRange(1400, 1500), rapid.IntRange(44000, 48000), rapid.SampledFrom([]int{365, 366, 367, 2958465}))
)

// What excelize wrote is read as excelize reads it, whatever is in the cells.
func TestAsReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		book := excelize.NewFile()
		defer book.Close()
		from1904 := rapid.Bool().Draw(t, "1904")
		require.NoError(t, book.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &from1904}))
		_, err := book.NewSheet("Ärger & <Co>")
		require.NoError(t, err)
		_, err = book.NewSheet("hidden")
		require.NoError(t, err)
		require.NoError(t, book.SetSheetVisible("hidden", false))
		for range rapid.IntRange(0, 30).Draw(t, "cells") {
			sheet := rapid.SampledFrom(book.GetSheetList()).Draw(t, "sheet")
			cell, err := excelize.CoordinatesToCellName(rapid.IntRange(1, 30).Draw(t, "column"), rapid.IntRange(1, 30).Draw(t, "line"))
			require.NoError(t, err)
			set := func(v any) { require.NoError(t, book.SetCellValue(sheet, cell, v)) }
			style := func(s excelize.Style) {
				id, err := book.NewStyle(&s)
				require.NoError(t, err)
				require.NoError(t, book.SetCellStyle(sheet, cell, cell, id))
			}
			seconds := float64(rapid.IntRange(0, 86399).Draw(t, "seconds")) / 86400
			switch kind := rapid.IntRange(0, 10).Draw(t, "kind"); kind {
			case 0:
				set(someText.Draw(t, "text"))
			case 1:
				set(rapid.Float64Range(-1e6, 1e6).Draw(t, "number"))
			case 2:
				set(rapid.IntRange(-1e6, 1e6).Draw(t, "whole"))
			case 3:
				set(rapid.Bool().Draw(t, "yes"))
			case 4, 5: // a day, or a moment
				v := float64(someDay.Draw(t, "day"))
				if kind == 5 {
					v += seconds
				}
				set(v)
				if format := rapid.SampledFrom([]string{"dd/mm/yyyy", "yyyy\\-mm\\-dd;@", "[$-407]d. mmm yy", "hh:mm", "[red]0.00", ""}).Draw(t, "format"); format != "" {
					style(excelize.Style{CustomNumFmt: &format})
				} else {
					style(excelize.Style{NumFmt: rapid.SampledFrom([]int{1, 14, 15, 16, 17, 18, 19, 20, 21, 22, 31, 45, 47, 49, 57}).Draw(t, "built in")})
				}
			case 6:
				set(seconds)
				style(excelize.Style{NumFmt: 20})
			case 7:
				set(rapid.Float64Range(0, 40).Draw(t, "days"))
				format := rapid.SampledFrom([]string{"[h]:mm", "[hh]:mm:ss", "[mm]:ss", "[mag]0"}).Draw(t, "format")
				style(excelize.Style{CustomNumFmt: &format})
			case 8:
				set(seconds)
				require.NoError(t, book.SetCellFormula(sheet, cell, "A1+B1"))
			case 9: // without a value
				require.NoError(t, book.SetCellFormula(sheet, cell, "A1"))
			case 10:
				require.NoError(t, book.SetCellRichText(sheet, cell, []excelize.RichTextRun{
					{Text: someText.Draw(t, "run")}, {Text: someText.Draw(t, "bold run"), Font: &excelize.Font{Bold: true}},
				}))
			}
		}
		buf, err := book.WriteToBuffer()
		require.NoError(t, err)
		f, err := workbook.Read("x.xlsx", buf.Bytes())
		require.NoError(t, err)
		require.Equal(t, reference(t, buf.Bytes()), f.Sheets)
	})
}

// Cells as other programs write them are read as excelize reads them, where it
// can: each line of cells is a sheet.
func TestCellsAsReference(t *testing.T) {
	base := parts(t, keptByHand(t))
	base[stringsPart] = `<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>plain</t></si>` +
		`<si><r><rPr><b/></rPr><t>bo</t></r><r><t xml:space="preserve">ld </t></r><rPh sb="0" eb="1"><t>spoken</t></rPh><phoneticPr fontId="1"/></si>` +
		`<si/><si><t>_x0009_a_x000d_b_xD83D_c_x005F_x0041_</t></si><si><t><![CDATA[<&]]>&amp;&#x41;&#10;</t></si></sst>`
	base[stylesPart] = `<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><numFmts><numFmt numFmtId="170" formatCode="[h]&quot;y&quot;"/></numFmts>` +
		`<cellStyleXfs><xf numFmtId="14"/></cellStyleXfs><cellXfs><xf/><xf numFmtId="14"/><xf numFmtId="170"/><xf numFmtId="46"/><xf numFmtId="171"/></cellXfs>` +
		`<dxfs><dxf><numFmt numFmtId="171" formatCode="yyyy"/></dxf></dxfs></styleSheet>`
	for _, row := range []string{
		`<c t="s"><v>0</v></c><c t="s"><v> 1 </v></c><c t="s"><v>2</v></c><c t="s"><v>3</v></c><c t="s"><v>4</v></c><c t="s"><v>5</v></c><c t="s"><v>-1</v></c><c t="s"/><c><v>1</v></c>`,
		`<c t="b"><v>1</v></c><c t="b"><v>0</v></c><c t="b" s="1"><v>1</v></c>`,
		`<c t="e"><v>#REF!</v></c><c t="e"><f>1/0</f><v>#DIV/0!</v></c>`,
		`<c t="str"><f>"a"</f><v>a_x0041_</v></c><c t="str"><v>007</v></c><c t="str"><v> 7</v></c><c t="str" s="1"><v>60</v></c>`,
		`<c t="n"><v>1.50</v></c><c><v>1e3</v></c><c><v>1E-7</v></c><c><v>-0</v></c><c><v>0.30000000000000004</v></c><c><v>3.987</v></c><c><v>-3.987</v></c><c><v>0x1p4</v></c><c><v>1e16</v></c><c><v>NaN</v></c><c><v>Inf</v></c>`,
		`<c t="inlineStr"><is><t> a_x0041_ </t></is></c><c t="inlineStr"><is><r><t>b</t></r><r><t>c</t></r><rPh><t>d</t></rPh></is></c><c t="inlineStr"><v>007</v></c><c t="inlineStr"><is><t>1</t></is></c>`,
		`<c s="1"><v>46267</v></c><c s="2"><v>1.5</v></c><c s="3"><v>1.5</v></c><c s="4"><v>1.5</v></c><c s="9"><v>1.5</v></c><c s="-1"><v>1.5</v></c><c s="1"><v>-1</v></c>`,
		`<c r="B1"><v>1</v></c><c><v>2</v></c><c r="$F$1"><v>3</v></c><c r="h1"/><c r="J1"><f>1</f></c>`,
		`</row><row r="4"><c><v>1</v></c></row><row><c r="C5"><v>2</v></c></row><row><c/></row><row r="20">`,
		`<c><v>a&#13;b&#x1F50B;</v></c><c><v>a` + "\r\nb\rc" + `</v></c><c><v>&lt;&gt;&quot;&apos;<!-- no -->x<?no?>y</v></c>`,
		``,
	} {
		base[sheetPart] = sheetOf(`<row>` + row + `</row>`)
		data := joined(t, base)
		f, err := workbook.Read("x.xlsx", data)
		require.NoError(t, err, row)
		require.Equal(t, reference(t, data), f.Sheets, row)
	}
}

// A day as a text of ISO 8601, of strict workbooks.
func TestDayAsText(t *testing.T) {
	all := parts(t, keptByHand(t))
	all[sheetPart] = sheetOf(`<row><c t="d"><v>2026-08-29</v></c><c t="d"><v>2026-08-29T00:00:00</v></c><c t="d"><v>2026-08-29T14:05:00.000Z</v></c><c t="d"><v>soon</v></c></row>`)
	f, err := workbook.Read("x.xlsx", joined(t, all))
	require.NoError(t, err)
	require.Equal(t, [][]string{{"2026-08-29", "2026-08-29", "2026-08-29 14:05", "soon"}}, f.Sheets[0].Rows)
}

// What is written is the same to excelize, with days that are dates, and to Read.
func TestWrittenForReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := tables.Table{Name: "t <&\"'>", Head: []string{"date", "what", "n"}}
		for range rapid.IntRange(0, 5).Draw(t, "lines") {
			day := time.Date(1901, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 200*365).Draw(t, "day")).Format(time.DateOnly)
			number := strconv.FormatFloat(rapid.Float64Range(-1e9, 1e9).Draw(t, "number"), 'f', rapid.IntRange(0, 9).Draw(t, "decimals"), 64)
			table.Rows = append(table.Rows, []tables.Cell{{Text: day}, {Text: someText.Draw(t, "text")}, {Text: number, Number: true}})
		}
		data, err := workbook.Write([]tables.Table{{Name: "first", Head: []string{"a"}}, table})
		require.NoError(t, err)
		f, err := workbook.Read("x.xlsx", data)
		require.NoError(t, err)
		require.Equal(t, reference(t, data), f.Sheets)
		book, err := excelize.OpenReader(bytes.NewReader(data))
		require.NoError(t, err)
		defer book.Close()
		require.Equal(t, []string{"first", table.Name}, book.GetSheetList())
		panes, err := book.GetPanes(table.Name)
		require.NoError(t, err)
		require.Equal(t, []any{true, 1, 0, "A2"}, []any{panes.Freeze, panes.YSplit, panes.XSplit, panes.TopLeftCell})
		for x, head := range table.Head {
			at, _ := excelize.CoordinatesToCellName(x+1, 1)
			got, err := book.GetCellValue(table.Name, at)
			require.NoError(t, err)
			require.Equal(t, head, got)
			require.True(t, styleOf(t, book, table.Name, at).Font.Bold)
		}
		for y, row := range table.Rows {
			at := strconv.Itoa(y + 2)
			got, err := book.GetCellValue(table.Name, "A"+at)
			require.NoError(t, err)
			require.Equal(t, row[0].Text, got)
			require.Equal(t, "yyyy-mm-dd", *styleOf(t, book, table.Name, "A"+at).CustomNumFmt)
			kind, err := book.GetCellType(table.Name, "A"+at)
			require.NoError(t, err)
			require.Equal(t, excelize.CellTypeUnset, kind, "a number")
			got, err = book.GetCellValue(table.Name, "B"+at)
			require.NoError(t, err)
			require.Equal(t, tables.Harmless(row[1].Text), got)
			got, err = book.GetCellValue(table.Name, "C"+at, excelize.Options{RawCellValue: true})
			require.NoError(t, err)
			a, err := strconv.ParseFloat(row[2].Text, 64)
			require.NoError(t, err)
			b, err := strconv.ParseFloat(got, 64)
			require.NoError(t, err)
			require.Equal(t, a, b)
		}
	})
}

func styleOf(t require.TestingT, book *excelize.File, sheet, cell string) *excelize.Style {
	id, err := book.GetCellStyle(sheet, cell)
	require.NoError(t, err)
	s, err := book.GetStyle(id)
	require.NoError(t, err)
	return s
}

// What no cell, no date and no sheet can be.
func TestWriteBounds(t *testing.T) {
	long := strings.Repeat("🔋", 20_000)
	all := []tables.Table{{Name: strings.Repeat("ß", 31), Head: []string{"date", "what", "n"}, Rows: [][]tables.Cell{
		{{Text: "1899-05-01"}, {Text: long}, {Text: "NaN", Number: true}},
		{{Text: "2026-13-01"}, {Text: "a\xffb\x08c\ufffe"}, {Text: "1e300", Number: true}},
		{{Text: ""}, {Text: "beyond"}, {}, {Text: "the head"}},
	}}}
	data, err := workbook.Write(all)
	require.NoError(t, err)
	again, err := workbook.Write(all)
	require.NoError(t, err)
	require.Equal(t, data, again)
	f, err := workbook.Read("x.xlsx", data)
	require.NoError(t, err)
	require.Equal(t, []bring.Sheet{{Name: all[0].Name, Rows: [][]string{
		{"date", "what", "n"},
		{"1899-05-01", strings.Repeat("🔋", 32_767/2), "NaN"},
		{"2026-13-01", "a\ufffdb\x08c\ufffe", "1E+300"},
		{"", "beyond", "", "the head"},
	}}}, f.Sheets)
	for _, name := range []string{"", strings.Repeat("ß", 32), "a/b", "a:b", "[a]"} {
		_, err := workbook.Write([]tables.Table{{Name: name}})
		require.ErrorContains(t, err, fmt.Sprintf("a sheet of the name %q, want 1 to 31 characters", name))
	}
	_, err = workbook.Write(nil)
	require.ErrorContains(t, err, "want at least one")
}

// The same parts by other ways: prefixes, the strict form's name spaces, a
// byte-order mark, parts that lead to each other by other roads.
func TestOtherForms(t *testing.T) {
	plain := keptByHand(t)
	want, err := workbook.Read("x.xlsx", plain)
	require.NoError(t, err)
	for name, change := range map[string]func(all map[string]string){
		"strict": func(all map[string]string) {
			for part := range all {
				all[part] = strings.NewReplacer("http://schemas.openxmlformats.org/spreadsheetml/2006/main", "http://purl.oclc.org/ooxml/spreadsheetml/main",
					"http://schemas.openxmlformats.org/officeDocument/2006/relationships", "http://purl.oclc.org/ooxml/officeDocument/relationships").Replace(all[part])
			}
		},
		"prefixes": func(all map[string]string) {
			for _, part := range []string{sheetPart, stringsPart, stylesPart, bookPart} {
				all[part] = strings.NewReplacer("<?", "<?", "</", "</x:", "<", "<x:").Replace(all[part])
				all[part] = strings.Replace(all[part], " xmlns=", " xmlns:x=", 1)
			}
		},
		"byte-order mark": func(all map[string]string) {
			for part := range all {
				all[part] = "\ufeff" + all[part]
			}
		},
		"backslashes": func(all map[string]string) {
			for _, part := range slices.Collect(keys(all)) {
				all[strings.ToUpper(strings.ReplaceAll(part, "/", `\`))] = all[part]
				delete(all, part)
			}
		},
		"roads": func(all map[string]string) {
			all["odd/sheet"] = all[sheetPart]
			delete(all, sheetPart)
			all[relsPart] = strings.NewReplacer(`"/xl/worksheets/sheet1.xml"`, `"../odd/./sheet"`, `"worksheets/sheet1.xml"`, `"../odd/./sheet"`).Replace(all[relsPart])
		},
		"at the top": func(all map[string]string) {
			all["book"], all["_rels/book.rels"] = all[bookPart], strings.NewReplacer(`Target="/xl/`, `Target="/xl/`, `Target="`, `Target="xl/`).Replace(all[relsPart])
			delete(all, bookPart)
			delete(all, relsPart)
			all["_rels/.rels"] = strings.Replace(all["_rels/.rels"], "xl/workbook.xml", "book", 1)
		},
	} {
		all := parts(t, plain)
		change(all)
		f, err := workbook.Read("x.xlsx", joined(t, all))
		require.NoError(t, err, name)
		require.Equal(t, want.Sheets, f.Sheets, name)
	}
}

func keys(all map[string]string) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range all {
			if !yield(k) {
				return
			}
		}
	}
}

// What cannot be read is refused in words.
func TestRefused(t *testing.T) {
	sheet := func(text string) func(all map[string]string) {
		return func(all map[string]string) { all[sheetPart] = text }
	}
	for want, change := range map[string]func(all map[string]string){
		"which is wanted: UTF-16 is not read": sheet("\xff\xfe<\x00a\x00/\x00>\x00"),
		"it is no text in UTF-8":              sheet("<a>\xe4</a>"),
		"sheet1.xml: it is no text":           sheet("<a>\x08</a>"),
		"it has a document type":              sheet(`<!DOCTYPE a [<!ENTITY b "b">]><a>&b;</a>`),
		"more than 200 deep":                  sheet(strings.Repeat("<a>", 300)),
		"sheet Sheet1: xl/worksheets/sheet1.xml: it is no XML, or breaks off":                   sheet("<a><b></a></b>"),
		`there is a cell at 7, want at most 200 columns and 50000 lines, and a name such as A1`: sheet(sheetOf(`<row><c r="7"/></row>`)),
		`sheet Sheet1: there is no part "xl/worksheets/sheet1`:                                  func(all map[string]string) { delete(all, sheetPart) },
		`sheet Sheet1: there is no part "" in it`:                                               func(all map[string]string) { all[relsPart] = "<Relationships/>" },
		"there is no workbook in it":                                                            func(all map[string]string) { all["_rels/.rels"] = "<Relationships/>" },
		"more than 2000 sheets": func(all map[string]string) {
			all[sheetPart] = sheetOf("")
			i, j := strings.Index(all[bookPart], "<sheets>")+len("<sheets>"), strings.Index(all[bookPart], "</sheets>")
			all[bookPart] = all[bookPart][:i] + strings.Repeat(all[bookPart][i:j], 2001) + all[bookPart][j:]
		},
		"xl/styles.xml: it is no XML":                            func(all map[string]string) { all[stylesPart] = "<a" },
		"xl/sharedStrings.xml: it is no XML":                     func(all map[string]string) { all[stringsPart] = "<a b='</a>" },
		"with the empty ones before the last of each line; want": manyFar,
	} {
		t.Run(want, func(t *testing.T) {
			all := parts(t, keptByHand(t))
			change(all)
			_, err := workbook.Read("x.xlsx", joined(t, all))
			require.ErrorContains(t, err, "x.xlsx: want a workbook that can be read, .xlsx: ")
			require.ErrorContains(t, err, want)
		})
	}
}

// manyFar makes many sheets of one part, each with its only cell far down.
func manyFar(all map[string]string) {
	all[sheetPart] = sheetOf(`<row r="50000"><c><v>1</v></c></row>`)
	i, j := strings.Index(all[bookPart], "<sheets>")+len("<sheets>"), strings.Index(all[bookPart], "</sheets>")
	all[bookPart] = all[bookPart][:i] + strings.Repeat(all[bookPart][i:j], 100) + all[bookPart][j:]
}

func tenThousand(t testing.TB) []byte {
	table := tables.Table{Name: "hours", Head: []string{"date", "start", "end", "hours", "what", "area", "who", "entry"}}
	for i := range 10_000 {
		table.Rows = append(table.Rows, []tables.Cell{
			{Text: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i%300).Format(time.DateOnly)}, {Text: "14:00"}, {Text: "16:30"}, {Text: "2.5", Number: true},
			{Text: fmt.Sprintf("drums skimmed, wheel %d", i)}, {Text: "brakes"}, {Text: "Lee"}, {Text: fmt.Sprintf("entry-%08d", i)},
		})
	}
	data, err := workbook.Write([]tables.Table{table})
	require.NoError(t, err)
	return data
}

func BenchmarkRead(b *testing.B) {
	data := tenThousand(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := workbook.Read("x.xlsx", data); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReference(b *testing.B) {
	data := tenThousand(b)
	b.ReportAllocs()
	for b.Loop() {
		reference(b, data)
	}
}

// Parts that would take long if each sign made the reader look at all that follow.
func TestInTime(t *testing.T) {
	const many = 1 << 20
	for name, change := range map[string]func(all map[string]string){
		"number format": func(all map[string]string) {
			all[stylesPart] = `<styleSheet><numFmts><numFmt numFmtId="164" formatCode="` + strings.Repeat("[", many) + strings.Repeat("&quot;", many) + `"/></numFmts></styleSheet>`
		},
		"road": func(all map[string]string) {
			all[relsPart] = strings.Replace(all[relsPart], `Target="`, `Target="`+strings.Repeat("a/../", many), 1)
		},
		"attributes": func(all map[string]string) {
			all[sheetPart] = sheetOf(`<row><c ` + strings.Repeat(`a="" `, many) + `/></row>`)
		},
		"escapes": func(all map[string]string) {
			all[stringsPart] = `<sst><si><t>` + strings.Repeat("_x0041", many) + `</t></si></sst>`
		},
		"references": func(all map[string]string) {
			all[sheetPart] = sheetOf(`<row><c t="str"><v>` + strings.Repeat("&lt;", many) + `</v></c></row>`)
		},
		"sheets of one large part": func(all map[string]string) {
			manyFar(all)
			all[sheetPart] = sheetOf(strings.Repeat(" ", 4*many))
		},
	} {
		all := parts(t, keptByHand(t))
		change(all)
		data := joined(t, all)
		begun := time.Now()
		_, err := workbook.Read("x.xlsx", data)
		took := time.Since(begun)
		if err != nil {
			require.ErrorContains(t, err, "x.xlsx: ", name)
		}
		require.Less(t, took, 10*time.Second, name)
		t.Log(name, took, err)
	}
}
