package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"ampwright/client/record"
	"ampwright/model"
	"ampwright/model/plan"
	"ampwright/server/bolt"
	"ampwright/server/garage"
	"ampwright/server/paper"

	"github.com/spf13/cobra"
)

type recordVerifyJSON struct {
	Schema string `json:"schema"` // "ampwright/record-verify/1"
	File   string `json:"file"`
	For    string `json:"for"`
	Made   string `json:"made"` // RFC 3339
	*record.Report
	Damage []string `json:"damage"` // of the logbook's file, where it could not be opened
}

func (p *program) recordVerify() *cobra.Command {
	c := &cobra.Command{
		Use: "verify FILE", Short: "say if a record agrees with the logbook, and what came since",
		Long: `Reads a PDF or JSON that ampwright record wrote and holds it against the garage's
logbook, or one written by export (--logbook). Every entry the record names is
looked up and its name computed from its bytes again; every chain is walked back
from the entry the record carries; the figures are worked out again and compared.
Entries written since are listed: they are no fault unless they strike out or
replace what the record rests on. Exits with 3 when the two do not agree.`,
		Example: "  ampwright record verify heron.pdf\n  ampwright record verify heron.pdf --logbook heron.jsonl\n  ampwright record verify heron.json --json",
		Args:    exactly(1, "FILE"),
	}
	book := c.Flags().String("logbook", "", "JSON Lines written by export, instead of the garage's logbook: a `file`")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if p.asOf != "" {
			return wrong("leave --as-of out", "--as-of %q: a record is held against all that is written", p.asOf)
		}
		file, err := os.ReadFile(args[0])
		if err != nil {
			return err
		}
		r, err := paper.Read(file)
		if errors.Is(err, paper.ErrNone) {
			return wrong("ampwright record FILE.pdf writes one", "%s: %v", args[0], err)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", args[0], err)
		}
		body := recordVerifyJSON{
			Schema: "ampwright/record-verify/1", File: args[0], For: string(r.For), Made: r.At.Format("2006-01-02T15:04:05Z07:00"), Damage: []string{},
		}
		if body.Report, err = p.held(r, *book, &body.Damage); err != nil {
			return err
		}
		if err := p.answer(body, body.words); err != nil {
			return err
		}
		if !body.Agrees {
			return errNotMet
		}
		return nil
	}
	return c
}

// held holds a record against the file of lines, or the garage's logbook. Where
// that is damaged, it says so.
func (p *program) held(r *record.Record, file string, damage *[]string) (*record.Report, error) {
	if file != "" {
		l, unread, err := readLogbook(file)
		if err != nil {
			return nil, err
		}
		*damage = append(*damage, unread...)
		rep := record.Verify(r, l, plan.Builtin)
		rep.Agrees = rep.Agrees && len(unread) == 0
		return rep, nil
	}
	h, err := p.enter(false)
	if err != nil {
		return p.heldDamaged(r, err, damage)
	}
	var rep *record.Report
	err = h.Read(func(l *model.Logbook) error {
		rep = record.Verify(r, l, plan.Builtin)
		return nil
	})
	return rep, closing(err, h)
}

// heldDamaged answers where the logbook did not open: with what is damaged in it
// if that is why, else with the reason.
func (p *program) heldDamaged(r *record.Record, why error, damage *[]string) (*record.Report, error) {
	var busy *garage.BusyError
	path, err := p.logbookFile(nil)
	if err != nil || errors.As(why, &busy) {
		return nil, why
	}
	found, err := bolt.Verify(path)
	if errors.Is(err, fs.ErrNotExist) || err != nil || len(found.Damage) == 0 {
		return nil, why
	}
	rep := &record.Report{Number: r.Block.Number, Entries: len(r.Entries), Troubles: []record.Trouble{}, Since: []record.Since{}}
	for _, d := range found.Damage {
		*damage = append(*damage, d.String())
		if t, ok := record.Locate(r, d.Replica, d.Names); ok {
			rep.Troubles = append(rep.Troubles, t)
		}
	}
	return rep, nil
}

// readLogbook reads JSON Lines by their bytes alone, whatever else a line says:
// what was changed in it is to be found, not refused. Lines that hold no entry are
// told.
func readLogbook(path string) (*model.Logbook, []string, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	l := model.NewLogbook()
	l.ReadPlans(plan.Load)
	var unread []string
	in := bufio.NewScanner(f)
	in.Buffer(make([]byte, 64<<10), 256<<10)
	for n := 1; in.Scan(); n++ {
		var line struct {
			ID   string          `json:"id"`
			Raw  []byte          `json:"raw"`
			Seal json.RawMessage `json:"seal"` // the record has those it needs
		}
		if len(in.Bytes()) == 0 {
			continue
		}
		err := json.Unmarshal(in.Bytes(), &line)
		if err == nil && line.Seal == nil {
			_, err = l.Add(line.Raw)
		}
		if err != nil {
			unread = append(unread, fmt.Sprintf("line %d (entry %.8s): %v", n, line.ID, err))
		}
	}
	if err := in.Err(); err != nil {
		return nil, nil, fmt.Errorf("read %s: %w", path, err)
	}
	return l, unread, nil
}

func (b recordVerifyJSON) words(pg *page) {
	verdict := "agrees with the logbook"
	if !b.Agrees {
		verdict = "does not agree with the logbook"
	}
	pg.line("%s, made %s for %s: %s", b.Number, b.Made, record.Audience(b.For).Title(), verdict)
	if len(b.Damage) > 0 {
		pg.head("the logbook is damaged")
	}
	for _, d := range b.Damage {
		pg.row(d)
	}
	if len(b.Troubles) > 0 {
		pg.head("what does not agree")
	}
	for _, t := range b.Troubles {
		pg.row(t.Kind, t.Text)
	}
	pg.head("it rests on %d %s; %d stand before its heads, each found by its bytes", b.Entries, plural(b.Entries, "entry", "entries"), b.Chained)
	if !b.Compared {
		pg.line("its figures were not worked out again")
	}
	if b.Seals > 0 {
		pg.line("it carries %d %s, not checked here", b.Seals, plural(b.Seals, "seal", "seals"))
	}
	if len(b.Since) > 0 {
		pg.head("written or arrived since")
	}
	for _, s := range b.Since {
		pg.row(record.Short(s.Entry), s.Text)
	}
}
