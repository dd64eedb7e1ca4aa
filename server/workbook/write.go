package workbook

import (
	"slices"
	"strconv"
	"time"

	"ampwright/model/tables"

	"github.com/xuri/excelize/v2"
)

// days are the columns that hold days: they become dates that a spreadsheet can
// reckon with.
var days = []string{"date", "ordered", "promised", "came"}

// Write makes a workbook of tables, one sheet each. Texts that a spreadsheet
// would take for a formula get a quote in front, as in a .csv file.
func Write(all []tables.Table) ([]byte, error) {
	book := excelize.NewFile()
	defer book.Close()
	format := "yyyy-mm-dd"
	date, err := book.NewStyle(&excelize.Style{CustomNumFmt: &format})
	if err != nil {
		return nil, err
	}
	bold, err := book.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return nil, err
	}
	for i, t := range all {
		if i == 0 {
			err = book.SetSheetName(book.GetSheetName(0), t.Name)
		} else {
			_, err = book.NewSheet(t.Name)
		}
		if err != nil {
			return nil, err
		}
		if err := writeSheet(book, t, date, bold); err != nil {
			return nil, err
		}
	}
	buf, err := book.WriteToBuffer()
	if err != nil {
		return nil, err
	}
	return buf.Bytes(), nil
}

func writeSheet(book *excelize.File, t tables.Table, date, bold int) error {
	w, err := book.NewStreamWriter(t.Name)
	if err != nil {
		return err
	}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	line := make([]any, len(t.Head))
	for i, h := range t.Head {
		line[i] = excelize.Cell{StyleID: bold, Value: h}
	}
	if err := w.SetRow("A1", line); err != nil {
		return err
	}
	for y, row := range t.Rows {
		for x, c := range row {
			line[x] = value(t.Head[x], c, date)
		}
		if err := w.SetRow("A"+strconv.Itoa(y+2), line[:len(row)]); err != nil {
			return err
		}
	}
	return w.Flush()
}

func value(head string, c tables.Cell, date int) any {
	switch {
	case c.Text == "":
		return nil
	case c.Number:
		if f, err := strconv.ParseFloat(c.Text, 64); err == nil {
			return f
		}
	case slices.Contains(days, head):
		if d, err := time.Parse(time.DateOnly, c.Text); err == nil {
			return excelize.Cell{StyleID: date, Value: d}
		}
	}
	return tables.Harmless(c.Text)
}
