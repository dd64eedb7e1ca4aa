// Package workbook reads and writes .xlsx files (ISO/IEC 29500). It is the
// laptop's alone: the phone reads and writes .csv.
package workbook

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"ampwright/calc/unit"
	"ampwright/model/bring"

	"github.com/xuri/excelize/v2"
)

// Is reports whether a file's bytes begin as a workbook's do: a ZIP archive.
func Is(data []byte) bool { return bytes.HasPrefix(data, []byte("PK\x03\x04")) }

// limits keep a small file from becoming a large one in memory.
var limits = excelize.Options{UnzipSizeLimit: 64 << 20, UnzipXMLSizeLimit: 16 << 20, RawCellValue: true}

// Read reads the sheets of a workbook. Dates, times of day and numbers come out
// as 2026-08-29, 14:00 and 2.5, whatever they look like on the sheet; formulas
// as the value they had when the file was kept.
func Read(name string, data []byte) (f bring.File, err error) {
	f = bring.File{Name: name, Hash: bring.Hash(data)}
	if len(data) > bring.MaxBytes {
		return f, fmt.Errorf("%s: %d bytes, want at most %d", name, len(data), bring.MaxBytes)
	}
	defer func() { // a damaged archive must not end the program
		if r := recover(); r != nil {
			err = fmt.Errorf("%s: it is damaged: %v", name, r)
		}
	}()
	if err := checkBounds(data); err != nil {
		return f, fmt.Errorf("%s: want a workbook that can be read, .xlsx: %w", name, err)
	}
	book, err := excelize.OpenReader(bytes.NewReader(data), limits)
	if err != nil {
		return f, fmt.Errorf("%s: want a workbook that can be read, .xlsx: %w", name, err)
	}
	defer book.Close()
	r := reader{book: book, kinds: map[int]byte{}}
	if p, err := book.GetWorkbookProps(); err == nil && p.Date1904 != nil {
		r.from1904 = *p.Date1904
	}
	for _, sheet := range book.GetSheetList() {
		rows, err := book.GetRows(sheet)
		if err != nil {
			return f, fmt.Errorf("%s: sheet %s: %w", name, sheet, err)
		}
		for y, row := range rows {
			for x, text := range row {
				if text != "" {
					row[x] = r.text(sheet, x, y, text)
				}
			}
		}
		f.Sheets = append(f.Sheets, bring.Sheet{Name: sheet, Rows: rows})
	}
	return f, nil
}

type reader struct {
	book     *excelize.File
	kinds    map[int]byte // number format by style: 'd' date or time, 'h' hours past a day, 'n' anything else
	from1904 bool
}

// text writes a cell's value as people would.
func (r reader) text(sheet string, x, y int, raw string) string {
	v, err := strconv.ParseFloat(raw, 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e15 {
		return raw
	}
	cell, err := excelize.CoordinatesToCellName(x+1, y+1)
	if err != nil {
		return raw
	}
	if t, err := r.book.GetCellType(sheet, cell); err != nil || t == excelize.CellTypeSharedString || t == excelize.CellTypeInlineString {
		return raw // digits that somebody typed as text
	}
	switch r.kind(sheet, cell) {
	case 'h':
		minutes := int(math.Round(v * 24 * 60))
		return fmt.Sprintf("%d:%02d", minutes/60, minutes%60)
	case 'd':
		t, err := excelize.ExcelDateToTime(v, r.from1904)
		switch {
		case err != nil || v < 0:
			return raw
		case v < 1:
			return t.Format("15:04")
		case v == math.Trunc(v):
			return t.Format("2006-01-02")
		}
		return t.Format("2006-01-02 15:04")
	}
	text := unit.FromFloat(v, 12).String()
	if whole, decimals, ok := strings.Cut(text, "."); ok && len(decimals) == 3 && v > 0 && whole[0] != '0' {
		text = "0" + text // 3.987 could be a group of thousands
	}
	return text
}

// kind says what the number format of a cell makes of a number.
func (r reader) kind(sheet, cell string) byte {
	id, err := r.book.GetCellStyle(sheet, cell)
	if err != nil {
		return 'n'
	}
	if k, ok := r.kinds[id]; ok {
		return k
	}
	k := byte('n')
	if s, err := r.book.GetStyle(id); err == nil {
		switch {
		case s.CustomNumFmt != nil:
			k = formatKind(*s.CustomNumFmt)
		case s.NumFmt == 46: // [h]:mm:ss
			k = 'h'
		case s.NumFmt >= 14 && s.NumFmt <= 22, s.NumFmt == 45, s.NumFmt == 47, s.NumFmt >= 27 && s.NumFmt <= 36, s.NumFmt >= 50 && s.NumFmt <= 58:
			k = 'd' // ISO/IEC 29500-1, 18.8.30: the built-in formats of dates and times
		}
	}
	r.kinds[id] = k
	return k
}

// formatKind reads a number format of the file's own.
func formatKind(format string) byte {
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
