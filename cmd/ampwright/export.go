package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"ampwright/model"
	"ampwright/model/lines"
	"ampwright/model/tables"

	"github.com/spf13/cobra"
)

func (p *program) export() *cobra.Command {
	c := &cobra.Command{
		Use: "export [WHAT] [FILE|-]", Short: "write the logbook, or a table, the dates or the next plan of a build",
		Long: `Without WHAT: every entry of every build as one line of JSON: its parts in words,
and its exact bytes, from which alone it is read back. Lines with "seal"
are the devices' signatures under what they wrote. Nothing is lost either way.
With WHAT, something of one build for other programs:

  ` + strings.Join(tables.Names, ", ") + `
          a table as .csv, or as .xlsx if the file is called so
  all     all tables as one workbook, .xlsx
  dates   days to order by, deliveries, checks that fall due: a calendar, .ics
  plan    a plan for the next build: hours and prices as they came out, .json;
          ampwright plan next puts it into the logbook at once
  forecast
          hours, money and the day as chances, .json: what ampwright forecast says

Without a file, or with -, it goes to the standard output. --raw gets back a file
that was kept with what was read from it, such as the log of a battery.`,
		Example: "  ampwright export heron.jsonl\n  ampwright export | gzip > heron.jsonl.gz\n  ampwright export hours hours.csv\n  ampwright export all heron.xlsx\n" +
			"  ampwright export --raw 1f3a92c4 ride.csv\n  ampwright export dates heron.ics\n  ampwright export forecast forecast.json\n  ampwright export plan second.json --learning 0.85", Args: atMost(2),
	}
	next := curveFlags(c, "of plan: ")
	raw := c.Flags().String("raw", "", "the file whose SHA-256 begins with this `hash`, byte for byte")
	c.RunE = func(c *cobra.Command, args []string) error {
		if *raw != "" {
			return p.exportRaw(*raw, args)
		}
		if len(args) > 0 && slices.Contains(exports, args[0]) {
			return p.exportOne(args, *next)
		}
		if len(args) > 1 {
			return wrong("ampwright export --help lists what there is", "%q cannot be exported: want one of %s", args[0], strings.Join(exports, ", "))
		}
		if p.asOf != "" {
			return wrong("leave --as-of out", "--as-of %q: an export is of all that is written", p.asOf)
		}
		h, err := p.enter(false)
		if err != nil {
			return err
		}
		err = h.Read(func(l *model.Logbook) error {
			if len(args) == 0 || args[0] == "-" {
				return lines.WriteLogbook(p.out, l)
			}
			if err := p.overwrite(args[0]); err != nil {
				return err
			}
			if err := writeFile(args[0], func(w io.Writer) error { return lines.WriteLogbook(w, l) }); err != nil {
				return err
			}
			p.talk("written: %d %s to %s", l.Len(), plural(l.Len(), "entry", "entries"), args[0])
			return nil
		})
		return closing(err, h)
	}
	return c
}

// overwrite makes sure that a file may be written where path leads.
func (p *program) overwrite(path string) error {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) || p.yes {
		return nil
	}
	if yes, asked := p.ask(fmt.Sprintf("%s exists. Write over it?", path)); yes || asked {
		if yes {
			return nil
		}
		return errors.New("nothing was written")
	}
	return &adviceError{fmt.Errorf("%s exists", path), "--yes writes over it"}
}

// ask asks a person at a terminal. asked is false if there is nobody to ask.
func (p *program) ask(question string) (yes, asked bool) {
	in, isReader := p.in.(*ctxReader)
	if p.noInput || !isReader || !terminal(in.r) || !terminal(p.err) {
		return false, false
	}
	fmt.Fprint(p.err, question+" [y/N] ")
	answer, err := bufio.NewReader(p.in).ReadString('\n')
	if err != nil && answer == "" {
		return false, true
	}
	answer = strings.ToLower(strings.TrimSpace(answer))
	return answer == "y" || answer == "yes", true
}

func terminal(stream any) bool {
	f, ok := stream.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// writeFile writes a file whole or not at all, closed to other users.
func writeFile(path string, write func(io.Writer) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
			err = fmt.Errorf("write %s: %w", path, err)
		}
	}()
	if err := errors.Join(write(f), f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
