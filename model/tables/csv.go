package tables

import (
	"encoding/csv"
	"io"
	"strings"

	"ampwright/calc/unit"
)

// WriteCSV writes a table as CSV: cells set apart by commas and numbers with a
// point, or by semicolons and numbers with a comma, as spreadsheets of either
// country want it. Text that a spreadsheet would take for a formula gets a quote
// in front; numbers stay numbers.
func WriteCSV(w io.Writer, t Table, mark unit.Mark) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true // RFC 4180, section 2.1
	if mark == unit.Comma {
		out.Comma = ';'
	}
	if err := out.Write(t.Head); err != nil {
		return err
	}
	line := make([]string, len(t.Head))
	for _, row := range t.Rows {
		for i, c := range row {
			switch {
			case !c.Number:
				line[i] = Harmless(c.Text)
			case mark == unit.Comma:
				line[i] = strings.Replace(c.Text, ".", ",", 1)
			default:
				line[i] = c.Text
			}
		}
		if err := out.Write(line[:len(row)]); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// triggers begin what spreadsheets take for a formula: OWASP, "CSV Injection".
const triggers = "=+-@\t\r\n\x00＝＋－＠"

// Harmless puts a quote before text that a spreadsheet would take for a formula,
// also behind spaces or quotes, and takes out what no cell can hold. [Plain] takes
// the quote off again.
func Harmless(s string) string {
	s = strings.ReplaceAll(s, "\r\n", "\n") // as CSV readers do
	if risky(s) {
		return "'" + s
	}
	return s
}

// Plain returns the text that Harmless was given.
func Plain(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && risky(rest) {
		return rest
	}
	return s
}

func risky(s string) bool {
	s = strings.TrimLeft(s, "' \u00a0")
	return s != "" && strings.ContainsAny(s[:1], triggers) || strings.IndexAny(s, "＝＋－＠") == 0
}
