package main

import (
	"io"
	"path/filepath"
	"strings"

	"ampwright/server/paper"

	"github.com/spf13/cobra"
)

type paperJSON struct {
	head
	List string `json:"list"`
	File string `json:"file"`
	Size string `json:"size"` // "A4" or "Letter"
}

func (p *program) paper() *cobra.Command {
	c := &cobra.Command{
		Use: "paper LIST", Short: "a list with blanks as a PDF: job card, checklist, shopping list, pack table",
		Long: `Writes a list of the build as a PDF with limits, record ids and blanks to fill in
by hand. LIST is a task (its job card), a stage (its checks), a checklist or a chunk
of one, shopping (the parts wanted) or pack (a line for each cell or joint). Type it
in later with the time it was read at: it is then shown as typed later.`,
		Example: "  ampwright paper chs-07 --pdf card.pdf\n  ampwright paper commissioning --pdf list.pdf --size Letter\n  ampwright paper shopping --pdf - > shopping.pdf",
		Args:    exactly(1, "LIST"),
	}
	file := c.Flags().String("pdf", "", "the `FILE` to write; - for the standard output")
	size := c.Flags().String("size", "", "`A4 or Letter`; the garage's, if left out")
	c.RunE = p.look(func(v view, args []string) error {
		if *file != "-" && strings.ToLower(filepath.Ext(*file)) != ".pdf" {
			return wrong("ampwright paper "+args[0]+" --pdf list.pdf", "--pdf %q: want a name that ends in .pdf, or -", *file)
		}
		var out strings.Builder
		if err := paper.WriteList(&out, v.build, args[0], *size); err != nil {
			return wrong("ampwright tasks, ampwright show and ampwright walk name them", "%s", err)
		}
		if *file == "-" {
			_, err := io.WriteString(p.out, out.String())
			return err
		}
		if err := p.overwrite(*file); err != nil {
			return err
		}
		err := writeFile(*file, func(w io.Writer) error {
			_, err := io.WriteString(w, out.String())
			return err
		})
		if err != nil {
			return err
		}
		body := paperJSON{head: v.head("paper"), List: args[0], File: *file, Size: v.build.Settings.Paper}
		switch {
		case strings.EqualFold(*size, "A4"):
			body.Size = "A4"
		case strings.EqualFold(*size, "Letter"):
			body.Size = "Letter"
		}
		return p.answer(body, func(pg *page) { pg.line("wrote %s: %s, %s", body.File, body.List, body.Size) })
	})
	return c
}
