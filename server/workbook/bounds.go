package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"ampwright/model/bring"

	"github.com/xuri/excelize/v2"
)

// checkBounds refuses a workbook whose sheets reach further than people's do,
// before it is opened: one cell far out would fill memory with the empty ones
// before it. The cells are read from the archive without being kept.
func checkBounds(data []byte) error {
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return err
	}
	left := limits.UnzipSizeLimit
	for _, f := range archive.File {
		if !strings.HasPrefix(f.Name, "xl/worksheets/") || !strings.HasSuffix(f.Name, ".xml") {
			continue
		}
		in, err := f.Open()
		if err != nil {
			return err
		}
		part := &io.LimitedReader{R: in, N: left + 1}
		err = checkCells(part)
		in.Close()
		if left = part.N - 1; left < 0 {
			return fmt.Errorf("its sheets take more than %d MB, want less", limits.UnzipSizeLimit>>20)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", f.Name, err)
		}
	}
	return nil
}

func checkCells(in io.Reader) error {
	tokens := xml.NewDecoder(in)
	for {
		t, err := tokens.RawToken()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		e, ok := t.(xml.StartElement)
		if !ok || e.Name.Local != "c" {
			continue
		}
		for _, a := range e.Attr {
			if a.Name.Local != "r" {
				continue
			}
			col, row, err := excelize.CellNameToCoordinates(a.Value)
			if err != nil {
				return err
			}
			if col > bring.MaxCols || row > bring.MaxRows {
				return fmt.Errorf("there is a cell at %s, want at most %d columns and %d lines", a.Value, bring.MaxCols, bring.MaxRows)
			}
		}
	}
}
