package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"ampwright/client/record"
	"ampwright/model/plan"
	"ampwright/server/paper"

	"github.com/spf13/cobra"
)

type recordJSON struct {
	head
	File     string `json:"file"`
	For      string `json:"for"`
	Number   string `json:"number"` // identification number: build and content
	Digest   string `json:"digest"`
	Entries  int    `json:"entries"` // that its figures rest on
	Sections int    `json:"sections"`
}

func (p *program) record() *cobra.Command {
	c := &cobra.Command{
		Use: "record FILE", Short: "write the build record, for an inspector, an insurer, the next owner",
		Long: `Writes what was measured, with what, by whom, when and against which limit, as a
PDF to print and hand over; with a name that ends in .json as the record's data,
and with - those to the standard output. It is a log and no approval.

Every figure names the entries of the logbook it comes from, and the record
carries the last entry of every device's chain, in words and as a QR code. The PDF
has the record's data attached: ampwright record verify reads it from there. Paper
size, decimal mark and units are the garage's (ampwright settings).`,
		Example: "  ampwright record heron.pdf\n  ampwright record insurer.pdf --for insurer --money\n  ampwright record card.pdf --for responder\n" +
			"  ampwright record heron.json --for owner --hours\n  ampwright record verify heron.pdf",
		Args: exactly(1, "FILE"),
	}
	audience := c.Flags().String("for", string(record.Inspector), "whom it is for: "+audienceWords())
	hours := c.Flags().Bool("hours", false, "tell hours by stage as well")
	money := c.Flags().Bool("money", false, "tell what was bought and sold as well")
	c.RunE = p.look(func(v view, args []string) error {
		who, err := record.ParseAudience(*audience)
		if err != nil {
			return wrong("ampwright record FILE --for "+string(record.Inspector), "--for: %v", err)
		}
		kind := strings.ToLower(filepath.Ext(args[0]))
		if args[0] != "-" && kind != ".pdf" && kind != ".json" {
			return wrong("ampwright record FILE.pdf", "file %q: want a name that ends in .pdf or .json", args[0])
		}
		r, err := makeRecord(v, record.Config{For: who, Hours: *hours, Money: *money})
		if err != nil {
			return err
		}
		write := func(w io.Writer) error { return paper.WriteWith(w, r, p.photoBytes) }
		if kind != ".pdf" {
			write = r.Write
		}
		if args[0] == "-" {
			return write(p.out)
		}
		if err := p.overwrite(args[0]); err != nil {
			return err
		}
		if err := writeFile(args[0], write); err != nil {
			return err
		}
		body := recordJSON{
			head: v.head("record"), File: args[0], For: string(who), Number: r.Block.Number, Digest: r.Digest, Entries: len(r.Entries), Sections: len(r.Sections),
		}
		return p.answer(body, func(pg *page) {
			pg.line("wrote %s: %s, %s, on %d %s", body.File, r.Block.Type, body.Number, body.Entries, plural(body.Entries, "entry", "entries"))
			pg.line("%s", record.Log)
		})
	})
	c.AddCommand(p.recordVerify())
	return c
}

func audienceWords() string {
	var all []string
	for _, a := range record.Audiences() {
		all = append(all, string(a))
	}
	return strings.Join(all, ", ")
}

// makeRecord makes a record of the build as of the second that is asked for.
func makeRecord(v view, cfg record.Config) (*record.Record, error) {
	b, err := v.log.Build(v.build.ID, v.now.Truncate(time.Second), plan.Builtin)
	if err != nil {
		return nil, err
	}
	r, err := record.Make(b, v.log, cfg)
	if err != nil {
		return nil, fmt.Errorf("make record: %w", err)
	}
	return r, nil
}
