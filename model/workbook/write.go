package workbook

import (
	"compress/flate"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	"ampwright/model/bring"
	"ampwright/model/tables"
)

// days are the columns that hold days: they become dates that a spreadsheet can
// reckon with.
var days = []string{"date", "ordered", "promised", "came"}

const maxText = 32_767 // UTF-16 units in a cell, as spreadsheets have it (from memory)

// The parts of a workbook beside its sheets. Cell format 1 is bold, 2 a day.
const (
	mainName = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`
	relsHead = `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId`
	relKind  = `http://schemas.openxmlformats.org/officeDocument/2006/relationships`
	typeOf   = `ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.`

	// Of each sheet, # being its number.
	aType  = `<Override PartName="/xl/worksheets/sheet#.xml" ` + typeOf + `worksheet+xml"/>`
	aRel   = `<Relationship Id="rId#" Type="` + relKind + `/worksheet" Target="worksheets/sheet#.xml"/>`
	aSheet = `" sheetId="#" r:id="rId#"/>`

	styles = `<styleSheet ` + mainName + `><numFmts count="1"><numFmt numFmtId="164" formatCode="yyyy-mm-dd"/></numFmts>` +
		`<fonts count="2"><font><sz val="11"/><name val="Calibri"/></font><font><b/><sz val="11"/><name val="Calibri"/></font></fonts>` +
		`<fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill></fills>` +
		`<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>` +
		`<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>` +
		`<cellXfs count="3"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>` +
		`<xf numFmtId="0" fontId="1" fillId="0" borderId="0" xfId="0" applyFont="1"/>` +
		`<xf numFmtId="164" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/></cellXfs></styleSheet>`
)

// Write makes a workbook of tables, one sheet each: the first line bold and in
// sight wherever one scrolls. Texts that a spreadsheet would take for a formula
// get a quote in front, as in a .csv file. The same tables give the same bytes. A
// name that no sheet can have is an error.
func Write(all []tables.Table) ([]byte, error) {
	if len(all) == 0 {
		return nil, errors.New("a workbook of no tables, want at least one")
	}
	deflate, err := flate.NewWriter(nil, flate.DefaultCompression)
	if err != nil {
		return nil, err
	}
	z := packer{deflate: deflate}
	types, sheets, rels := "", "", ""
	for i, t := range all {
		if n := utf8.RuneCountInString(t.Name); n == 0 || n > 31 || strings.ContainsAny(t.Name, `:\/?*[]`) {
			return nil, errors.New("a sheet of the name " + strconv.Quote(t.Name) + `, want 1 to 31 characters and none of : \ / ? * [ ]`)
		}
		number := strconv.Itoa(i + 1)
		types += strings.ReplaceAll(aType, "#", number)
		rels += strings.ReplaceAll(aRel, "#", number)
		sheets += `<sheet name="` + escaped(t.Name) + strings.ReplaceAll(aSheet, "#", number)
	}
	// This comes first: some programs know a workbook by it.
	z.add("[Content_Types].xml", `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">`+
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>`+
		`<Override PartName="/xl/workbook.xml" `+typeOf+`sheet.main+xml"/><Override PartName="/xl/styles.xml" `+typeOf+`styles+xml"/>`+types+`</Types>`)
	z.add("_rels/.rels", relsHead+`1" Type="`+relKind+`/officeDocument" Target="xl/workbook.xml"/></Relationships>`)
	z.add("xl/workbook.xml", `<workbook `+mainName+` xmlns:r="`+relKind+`"><bookViews><workbookView/></bookViews><sheets>`+sheets+`</sheets></workbook>`)
	z.add("xl/_rels/workbook.xml.rels", relsHead+`0" Type="`+relKind+`/styles" Target="styles.xml"/>`+rels+`</Relationships>`)
	z.add("xl/styles.xml", styles)
	for i, t := range all {
		z.add("xl/worksheets/sheet"+strconv.Itoa(i+1)+".xml", sheetOf(t))
	}
	return z.close(), nil
}

// sheetOf is a table as the part that holds a sheet.
func sheetOf(t tables.Table) string {
	var out strings.Builder
	out.WriteString(`<worksheet ` + mainName + `><sheetViews><sheetView workbookViewId="0">` +
		`<pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" state="frozen"/></sheetView></sheetViews><sheetData><row r="1">`)
	for x, h := range t.Head {
		writeCell(&out, x, "1", ` s="1"`, tables.Cell{Text: h}, h)
	}
	for y, row := range t.Rows {
		number := strconv.Itoa(y + 2)
		out.WriteString(`</row><row r="` + number + `">`)
		for x, c := range row {
			value, style := tables.Harmless(c.Text), ""
			if c.Number {
				f, err := strconv.ParseFloat(c.Text, 64)
				if c.Number = err == nil && math.Abs(f) <= math.MaxFloat64; c.Number {
					value = strconv.FormatFloat(f, 'G', -1, 64)
				}
			} else if x < len(t.Head) && slices.Contains(days, t.Head[x]) {
				// Before March 1900 programs do not agree on the number of a day.
				if d, err := time.Parse(time.DateOnly, c.Text); err == nil && d.Year() > 1900 {
					value, style, c.Number = strconv.FormatInt(d.Unix()/aDay+25569, 10), ` s="2"`, true
				}
			}
			writeCell(&out, x, number, style, c, value)
		}
	}
	out.WriteString(`</row></sheetData></worksheet>`)
	return out.String()
}

// writeCell writes a cell that says something.
func writeCell(out *strings.Builder, x int, row, style string, c tables.Cell, value string) {
	if c.Text == "" {
		return
	}
	before, after := ` t="inlineStr"><is><t xml:space="preserve">`, `</t></is></c>`
	if c.Number {
		before, after = `><v>`, `</v></c>`
	}
	out.WriteString(`<c r="` + bring.Letter(x) + row + `"` + style + before + escaped(value) + after)
}

// escaped writes characters that XML cannot hold as [unescaped] reads them, and so
// too what only looks like one of these. What no cell can hold is cut off.
func escaped(text string) string {
	var out strings.Builder
	units := 0
	for i, c := range text {
		if units += utf16.RuneLen(c); units > maxText {
			break
		}
		_, looks := escape(text[i:])
		if strings.IndexRune(`&<>"`, c) >= 0 {
			out.WriteString("&#" + strconv.Itoa(int(c)) + ";")
		} else if looks || c < ' ' && c != '\t' && c != '\n' || c == 0xfffe || c == 0xffff {
			out.WriteString(fmt.Sprintf("_x%04X_", c))
		} else {
			out.WriteRune(c)
		}
	}
	return out.String()
}
