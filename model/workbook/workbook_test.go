package workbook_test

import (
	"archive/zip"
	"bytes"
	"runtime"
	"strings"
	"testing"
	"time"

	"ampwright/calc/unit"
	"ampwright/model"
	"ampwright/model/bring"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/model/tables"
	"ampwright/model/workbook"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func heron(t testing.TB) *model.Build {
	b, err := demo.AtEnd(plan.Builtin)
	require.NoError(t, err)
	return b
}

// Every value of a workbook that is written comes back, days as days.
func TestThereAndBack(t *testing.T) {
	all := tables.All(heron(t))
	data, err := workbook.Write(all)
	require.NoError(t, err)
	require.True(t, workbook.Is(data))
	f, err := workbook.Read("heron.xlsx", data)
	require.NoError(t, err)
	require.Len(t, f.Sheets, len(all))
	for i, s := range f.Sheets {
		require.Equal(t, all[i].Name, s.Name)
		require.Equal(t, all[i].Head, s.Rows[0])
		same(t, all[i], s.Rows, tables.Harmless)
	}
}

// same compares a table with what came back; as says what becomes of its texts.
func same(t *testing.T, want tables.Table, rows [][]string, as func(string) string) {
	require.Len(t, rows, len(want.Rows)+1, want.Name)
	for y, row := range want.Rows {
		for x, c := range row {
			got := ""
			if x < len(rows[y+1]) {
				got = rows[y+1][x]
			}
			if c.Number {
				a, err := unit.ParseNumber(c.Text, unit.Point)
				require.NoError(t, err)
				b, err := unit.ParseNumber(got, unit.Point)
				require.NoError(t, err, "%s row %d %s", want.Name, y, want.Head[x])
				require.InDelta(t, a.Float(), b.Float(), 1e-9*max(1, a.Float(), -a.Float()))
			} else {
				require.Equal(t, as(c.Text), got, "%s row %d %s", want.Name, y, want.Head[x])
			}
		}
	}
}

// A sheet as people keep it: a title over merged cells, dates and times as such,
// hours past a day, a formula, a number kept as text, an area that stands once.
func TestKeptByHand(t *testing.T) {
	f, err := workbook.Read("hours.xlsx", keptByHand(t))
	require.NoError(t, err)
	readsAsKept(t, f)
}

func keptByHand(t testing.TB) []byte {
	book := excelize.NewFile()
	sheet := book.GetSheetName(0)
	set := func(cell string, v any) { require.NoError(t, book.SetCellValue(sheet, cell, v)) }
	style := func(cell, format string) {
		id, err := book.NewStyle(&excelize.Style{CustomNumFmt: &format})
		require.NoError(t, err)
		require.NoError(t, book.SetCellStyle(sheet, cell, cell, id))
	}
	set("A1", "Hours on the conversion")
	require.NoError(t, book.MergeCell(sheet, "A1", "E1"))
	for i, h := range []string{"Date", "Start", "End", "Hours", "What", "Area"} {
		set(string(rune('A'+i))+"3", h)
	}
	set("A4", time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC))
	style("A4", "dd/mm/yyyy")
	set("B4", 14.0/24)
	style("B4", "hh:mm")
	set("C4", 16.5/24)
	style("C4", "hh:mm")
	set("D4", 2.5)
	set("E4", "drums skimmed")
	set("F4", "Brakes")
	require.NoError(t, book.MergeCell(sheet, "F4", "F6"))
	set("A5", 46267) // 2 September 2026 by number
	style("A5", `[$-809]d mmmm yyyy;@`)
	set("D5", 1.5/24)
	style("D5", "[h]:mm")
	set("E5", "linings glued")
	set("A6", "3.9.2026")
	require.NoError(t, book.SetCellStr(sheet, "D6", "0,75"))
	set("E6", "cable made")
	set("E7", "Total")
	set("D7", 4.75)
	require.NoError(t, book.SetCellFormula(sheet, "D7", "SUM(D4:D6)"))
	buf, err := book.WriteToBuffer()
	require.NoError(t, err)
	return buf.Bytes()
}

func readsAsKept(t testing.TB, f bring.File) {
	b := heron(t)
	p, err := bring.Read(f, b, bring.Desk{Now: demo.End}, bring.Options{})
	require.NoError(t, err)
	require.Empty(t, p.Questions)
	require.Equal(t, 3, p.Head)
	var says []string
	for _, l := range p.Lines {
		if l.Row != nil {
			says = append(says, strings.Join([]string{l.Row.Values["hours"][0], l.Row.Values["at"][0]}, " "))
		}
	}
	require.Equal(t, []string{"150 min 2026-09-01 14:00", "90 min 2026-09-02 12:00", "45 min 2026-09-03 12:00"}, says)
	require.Equal(t, 1, len(p.Areas))
	require.Equal(t, 3, p.Areas[0].Lines)
	require.Equal(t, bring.Out, p.Lines[len(p.Lines)-1].State, "totals")
}

// A cell far out, and a sheet that unpacks to far more than it takes, are refused
// before they fill memory.
func TestBounds(t *testing.T) {
	for cell, want := range map[string]string{"XFD1": "there is a cell at XFD1", "A1048576": "there is a line 1048576"} {
		book := excelize.NewFile()
		require.NoError(t, book.SetCellValue(book.GetSheetName(0), cell, 1))
		buf, err := book.WriteToBuffer()
		require.NoError(t, err)
		_, err = workbook.Read("far.xlsx", buf.Bytes())
		require.ErrorContains(t, err, want)
	}
	var out bytes.Buffer
	archive := zip.NewWriter(&out)
	part, err := archive.Create("xl/worksheets/sheet1.xml")
	require.NoError(t, err)
	space := bytes.Repeat([]byte(" "), 1<<20)
	for range 70 {
		_, err := part.Write(space)
		require.NoError(t, err)
	}
	require.NoError(t, archive.Close())
	require.Less(t, out.Len(), 1<<20)
	_, err = workbook.Read("bomb.xlsx", out.Bytes())
	require.ErrorContains(t, err, "more than 64 MB")
}

// What is no workbook, or a damaged one, is an error and no more, and takes no
// more memory than the parts may have.
func FuzzRead(f *testing.F) {
	data := small(f)
	kept := keptByHand(f)
	f.Add(data)
	f.Add(data[:len(data)/2])
	f.Add([]byte("PK\x03\x04"))
	f.Add(kept)
	var stored bytes.Buffer
	w := zip.NewWriter(&stored)
	for name, text := range parts(f, kept) {
		part, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
		require.NoError(f, err)
		_, err = part.Write([]byte(text))
		require.NoError(f, err)
	}
	require.NoError(f, w.Close())
	f.Add(stored.Bytes())
	f.Fuzz(func(t *testing.T, data []byte) {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		file, err := workbook.Read("x.xlsx", data)
		runtime.ReadMemStats(&after)
		require.Less(t, (after.TotalAlloc-before.TotalAlloc)>>20, uint64(300), "MB")
		if err != nil {
			require.ErrorContains(t, err, "x.xlsx: ")
			return
		}
		require.Len(t, file.Hash, 64)
	})
}

// No text cell of a workbook begins with what a spreadsheet takes for a formula,
// and none is a formula.
func FuzzWrite(f *testing.F) {
	for _, s := range []string{"=1+1", "+a", "-b", "@x", " =1", "'=1", "plain"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1000 {
			return
		}
		data, err := workbook.Write([]tables.Table{{Name: "t", Head: []string{"what", "n"}, Rows: [][]tables.Cell{{{Text: text}, {Text: "-5.2", Number: true}}}}})
		require.NoError(t, err)
		book, err := excelize.OpenReader(bytes.NewReader(data))
		require.NoError(t, err)
		defer book.Close()
		formula, err := book.GetCellFormula("t", "A2")
		require.NoError(t, err)
		require.Empty(t, formula)
		got, err := book.GetCellValue("t", "A2")
		require.NoError(t, err)
		if begin := strings.TrimLeft(got, " \u00a0"); begin != "" {
			require.False(t, strings.ContainsAny(begin[:1], "=+-@\t\r\n\x00"), "%q", got)
		}
		n, err := book.GetCellValue("t", "B2")
		require.NoError(t, err)
		require.Equal(t, "-5.2", n)
	})
}
