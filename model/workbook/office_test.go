//go:build office

package workbook_test

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ampwright/model/bring"
	"ampwright/model/tables"
	"ampwright/model/workbook"

	"github.com/stretchr/testify/require"
)

// awkward has what spreadsheets are known to change: what looks like a formula,
// a date or a number and is text, letters of other tongues, long text, quotes,
// lines within a cell, numbers of many digits.
var awkward = tables.Table{Name: "awkward", Head: []string{"date", "what", "hours", "price"}, Rows: [][]tables.Cell{
	awkwardRow("2026-08-29", "=1+1", "2.5", "-19.90"),
	awkwardRow("2026-12-31", "+49 over the counter", "0.02", "0.05"),
	awkwardRow("2026-02-28", "-5.2", "0.333333333", "1829.5"),
	awkwardRow("2028-02-29", "@home", "23.98", "1234567.89"),
	awkwardRow("", " =2+2", "0", "0"),
	awkwardRow("2026-03-29", "'=quoted", "1e-06", ""),
	awkwardRow("2026-10-25", "Übermaß, Größe ½ Ω 75 µm – “ok” 电池 🔋", "1", "1"),
	awkwardRow("2026-08-29", `said "no"; then, "yes"`, "1", "1"),
	awkwardRow("2026-08-29", "one line\nand another", "1", "1"),
	awkwardRow("2026-08-29", strings.Repeat("long text, ", 900), "1", "1"),
	awkwardRow("2026-08-29", "007", "1", "1"),
	awkwardRow("2026-08-29", "1.10", "1", "1"),
	awkwardRow("2026-08-29", "3/4", "1", "1"),
	awkwardRow("2026-08-29", "2026-08-29", "1", "1"),
	awkwardRow("2026-08-29", "14:00", "1", "1"),
	awkwardRow("2026-08-29", "TRUE", "1", "1"),
	awkwardRow("2026-08-29", "1E5", "1", "1"),
	awkwardRow("2026-08-29", "<b>&amp;</b> _x000D_", "1", "1"),
}}

func awkwardRow(date, what, hours, price string) []tables.Cell {
	return []tables.Cell{{Text: date}, {Text: what}, {Text: hours, Number: true}, {Text: price, Number: price != ""}}
}

// Another office program opens a workbook of ours and keeps every value of every
// sheet, as text and as a workbook of its own; and a workbook that it wrote is
// read here as it was kept, with its dates, times and durations.
func TestOffice(t *testing.T) {
	all := append(tables.All(heron(t)), awkward)
	data, err := workbook.Write(all)
	require.NoError(t, err)
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "heron.xlsx"), data, 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "kept.xlsx"), keptByHand(t), 0o600))

	office(t, dir, "xlsx", "again")
	f := readFile(t, filepath.Join(dir, "again", "heron.xlsx"))
	require.Len(t, f.Sheets, len(all))
	for i, tab := range all {
		require.Equal(t, tab.Name, f.Sheets[i].Name)
		same(t, tab, f.Sheets[i].Rows, tables.Harmless)
	}
	readsAsKept(t, readFile(t, filepath.Join(dir, "again", "kept.xlsx")))

	// Comma, double quotes, UTF-8, from line 1; cells as they are stored, no
	// formulas; -1: every sheet (the office program's CSV filter options).
	office(t, dir, "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,-1", "text")
	for _, tab := range all {
		text, err := os.ReadFile(filepath.Join(dir, "text", "heron-"+tab.Name+".csv"))
		require.NoError(t, err)
		f, err := bring.CSV(tab.Name+".csv", text)
		require.NoError(t, err)
		// A row stands at the line of the file it begins in.
		rows := slices.DeleteFunc(f.Sheets[0].Rows, func(row []string) bool { return len(row) == 0 })
		same(t, tab, rows, func(s string) string { return tables.Plain(tables.Harmless(s)) })
	}
}

// office converts the workbooks of a folder, all in one start of the program.
func office(t *testing.T, dir, to, into string) {
	path, err := exec.LookPath("soffice")
	require.NoError(t, err, "the office program is not on this machine")
	files, err := filepath.Glob(filepath.Join(dir, "*.xlsx"))
	require.NoError(t, err)
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	args := append([]string{"-env:UserInstallation=file://" + filepath.ToSlash(dir) + "/profile", "--headless", "--convert-to", to, "--outdir", filepath.Join(dir, into)}, files...)
	out, err := exec.CommandContext(ctx, path, args...).CombinedOutput()
	require.NoError(t, err, "%s", out)
}

func readFile(t *testing.T, path string) bring.File {
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	f, err := workbook.Read(filepath.Base(path), data)
	require.NoError(t, err)
	return f
}
