package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"

	"ampwright/model/bring"

	"github.com/xuri/excelize/v2"
)

// What a workbook may hold, beside the lines and columns that a sheet may have.
// The library keeps every cell of a sheet in memory, the empty ones before the
// last of each line too, and looks through the merged ones for each.
const (
	maxParts    = 2_000
	maxCells    = 400_000   // of all sheets, with the empty ones before the last of a line
	maxMerged   = 2_000     // of all sheets
	maxElements = 2_000_000 // of all parts
)

// checkBounds refuses a workbook that would fill memory, before it is opened.
// Every part is read from the archive without being kept: which of them is a
// sheet is for the workbook to say.
func checkBounds(data []byte) error {
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return err
	}
	if len(archive.File) > maxParts {
		return fmt.Errorf("it has %d parts, want at most %d", len(archive.File), maxParts)
	}
	return checkParts(archive, limits.UnzipSizeLimit)
}

// checkParts reads the parts, of at most so many bytes together.
func checkParts(archive *zip.Reader, most int64) error {
	c := counter{}
	left := most
	for _, f := range archive.File {
		in, err := f.Open()
		if err != nil {
			return err
		}
		part := &io.LimitedReader{R: in, N: left + 1}
		err = c.part(part)
		if err != nil && errors.Is(err, errNoXML) && path.Ext(f.Name) != ".xml" {
			_, err = io.Copy(io.Discard, part) // a picture: its size counts
		}
		in.Close()
		if left = part.N - 1; left < 0 {
			return fmt.Errorf("its parts take more than %d MB, want less", most>>20)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", f.Name, err)
		}
	}
	return nil
}

var errNoXML = errors.New("no XML")

// A counter counts what is in the parts of a workbook.
type counter struct{ elements, cells, merged int }

// part reads one part. The error is errNoXML where it cannot be read as XML.
func (c *counter) part(in io.Reader) error {
	tokens := xml.NewDecoder(in)
	row, col := 0, 0 // of the cell read last
	for {
		t, err := tokens.RawToken()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("%w: %w", errNoXML, err)
		}
		e, ok := t.(xml.StartElement)
		if !ok {
			continue
		}
		if c.elements++; c.elements > maxElements {
			return fmt.Errorf("it has more than %d elements, want less", maxElements)
		}
		switch e.Name.Local {
		case "mergeCell":
			if c.merged++; c.merged > maxMerged {
				return fmt.Errorf("it has more than %d merged cells, want less: keep the sheet as .csv", maxMerged)
			}
		case "row":
			row, col = row+1, 0
			if r := attr(e, "r"); r != "" {
				if row, err = strconv.Atoi(r); err != nil || row < 1 {
					return fmt.Errorf("there is a line %q, want a number from 1 to %d", r, bring.MaxRows)
				}
			}
			if row > bring.MaxRows {
				return fmt.Errorf("there is a line %d, want at most %d lines", row, bring.MaxRows)
			}
		case "c":
			was := col
			col++
			if r := attr(e, "r"); r != "" {
				at := 0
				if col, at, err = excelize.CellNameToCoordinates(r); err != nil {
					return err
				}
				if at > bring.MaxRows {
					col = bring.MaxCols + 1
				}
			}
			if col > bring.MaxCols {
				return fmt.Errorf("there is a cell at %s, want at most %d columns and %d lines", at(e, row, col), bring.MaxCols, bring.MaxRows)
			}
			if c.cells += max(col-was, 1); c.cells > maxCells {
				return fmt.Errorf("it has more than %d cells, with the empty ones before the last of each line; want less: keep one sheet as .csv", maxCells)
			}
		}
	}
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// at names the place of a cell, as the file does or by counting.
func at(e xml.StartElement, row, col int) string {
	if r := attr(e, "r"); r != "" {
		return r
	}
	return bring.Letter(col-1) + strconv.Itoa(row)
}
