package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"ampwright/calc/bms"
	"ampwright/model"
	"ampwright/model/bring"
	"ampwright/model/plan"

	"github.com/spf13/cobra"
)

// bmsJSON is what a log of a battery shows. Volts, amperes, watt-hours, seconds,
// kilometres, degrees Celsius; null where the log does not tell.
type bmsJSON struct {
	head
	File    string      `json:"file"`
	Hash    string      `json:"hash"` // SHA-256
	Bytes   int64       `json:"bytes"`
	Rows    int         `json:"rows"`
	Seconds float64     `json:"seconds"`
	Sign    int         `json:"sign"` // 1: above zero is discharge; -1: below; 0: not told
	SignWhy string      `json:"signWhy"`
	Rest    []float64   `json:"rest"` // of each group, in the last line at rest
	Figures []figureRow `json:"figures"`
	Odd     []string    `json:"odd"`
	Offers  []offerJSON `json:"offers"`
	Kept    bool        `json:"kept"` // the file is on this device
	Entries []string    `json:"entries"`
}

type figureRow struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

type offerJSON struct {
	Check string   `json:"check"`
	Value []string `json:"value"`
	Why   string   `json:"why"`
	No    string   `json:"no"` // why it is not offered
}

func (p *program) bms() *cobra.Command {
	c := &cobra.Command{
		Use: "bms FILE|-", Short: "what the log of a battery management system shows, and which checks it can answer",
		Long: `Reads a log of any length, line by line: the voltage of each group at rest, the
spread at rest and under load, peaks of current either way, temperatures, sag and
energy. Readings it can be are offered, never written unasked; --read writes those
that are named, in one act that ampwright strike takes back whole, and keeps the
file on this device, compressed: ampwright export --raw gets it back byte for byte.
A second time it writes nothing twice.`,
		Example: "  ampwright bms ride.csv --km 31.5\n  ampwright bms ride.csv --svg ride.svg\n  ampwright bms ride.csv --km 31.5 --read energy-per-km,regen-road\n  ampwright bms ride.csv --keep", Args: exactly(1, "FILE"),
	}
	f := c.Flags()
	km := f.Float64("km", 0, "the `kilometres` of the run, where the log does not tell")
	sign := f.String("current", "", "`out or in`: which way the current flows when it is above zero; found out, if left out")
	svg := f.String("svg", "", "draw the run to this `file`")
	read := f.StringSlice("read", nil, "the `checks` whose readings are to be written down")
	only := f.Bool("keep", false, "keep the file, also without a reading")
	c.RunE = func(c *cobra.Command, args []string) error {
		signs := map[string]int{"": 0, "out": 1, "in": -1}
		o := bms.Options{}
		var ok bool
		if o.Sign, ok = signs[*sign]; !ok {
			return wrong("", "--current %q: want out or in", *sign)
		}
		if *km < 0 || *km > 100000 || math.IsNaN(*km) {
			return wrong("", "--km %g: want 0 to 100000", *km)
		}
		run, err := p.readBMS(c.Context(), args[0], o)
		if err != nil {
			return err
		}
		if *svg != "" {
			if err := p.overwrite(*svg); err != nil {
				return err
			}
			if err := writeFile(*svg, func(w io.Writer) error { _, err := io.WriteString(w, run.Picture()); return err }); err != nil {
				return err
			}
			p.talk("written: %s", *svg)
		}
		return p.answerBMS(args[0], run, *km, *read, *only)
	}
	return c
}

// readBMS reads the log and says how far it is: a bar on a terminal, lines of
// JSON where JSON was asked for.
func (p *program) readBMS(ctx context.Context, path string, o bms.Options) (*bms.Run, error) {
	in, size := p.in, int64(0)
	if path != "-" {
		f, err := os.Open(path)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		if info, err := f.Stat(); err == nil {
			size = info.Size()
		}
		in = f
	}
	bar := terminal(p.err) && !p.json
	last := int64(0)
	o.Progress = func(bytes int64, rows int) {
		if bytes-last < 4<<20 {
			return
		}
		last = bytes
		switch {
		case p.json:
			json.NewEncoder(p.err).Encode(map[string]int64{"bytes": bytes, "of": size, "rows": int64(rows)})
		case bar && size > 0:
			done := int(min(30, 30*bytes/size))
			fmt.Fprintf(p.err, "\r[%s%s] %3d %%", strings.Repeat("#", done), strings.Repeat(".", 30-done), 100*bytes/size)
		}
	}
	run, err := bms.Read(ctx, in, o)
	if bar && last > 0 {
		fmt.Fprint(p.err, "\r"+strings.Repeat(" ", 40)+"\r")
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return run, nil
}

// answerBMS says what the log shows and writes the readings that were named.
func (p *program) answerBMS(path string, run *bms.Run, km float64, read []string, only bool) error {
	file := filepath.Base(path)
	h, err := p.enter(false)
	if err != nil {
		return err
	}
	var v view
	err = h.Read(func(l *model.Logbook) (err error) {
		v = view{log: l, now: h.Now()}
		settings, _ := l.Garage()
		v.style = settings.Style()
		id, err := pick(l, v.now, p.build)
		if err != nil {
			return err
		}
		v.build, err = l.Build(id, v.now, plan.Builtin)
		return err
	})
	if err != nil {
		return closing(err, h)
	}
	all := bring.Offers(v.build, run, km)
	var taken []bring.Offer
	for _, name := range read {
		o, err := bring.OfferNamed(all, name)
		if err != nil {
			return closing(wrong("ampwright bms FILE shows what it offers", "%v", err), h)
		}
		taken = append(taken, o)
	}
	body := bmsJSON{
		head: v.head("bms"), File: file, Hash: run.Hash, Bytes: run.Bytes, Rows: run.Rows, Seconds: run.Seconds, Sign: run.Sign, SignWhy: run.SignWhy,
		Rest: list(run.Rest), Figures: figuresOf(run, km), Odd: []string{}, Offers: []offerJSON{}, Entries: []string{},
	}
	for _, o := range run.Odd {
		body.Odd = append(body.Odd, o.String())
	}
	for _, o := range all {
		body.Offers = append(body.Offers, offerJSON(o))
	}
	if len(taken) > 0 || only {
		pieces, err := p.keepLog(path, run.Hash)
		if err != nil {
			return closing(err, h)
		}
		out, err := h.Do(v.build.ID, bring.LogWish(file, run.Hash, bring.LogLength(run), pieces, taken...), p.by)
		if err != nil {
			return closing(err, h)
		}
		body.Entries, body.Kept = ids(out.Entries), len(pieces) > 0
	}
	return closing(p.answer(body, func(pg *page) { v.showBMS(pg, body, run) }), h)
}

func figuresOf(r *bms.Run, km float64) []figureRow {
	var rows []figureRow
	for _, f := range r.Figures(km) {
		rows = append(rows, figureRow(f))
	}
	return rows
}

func (v view) showBMS(pg *page, b bmsJSON, run *bms.Run) {
	pg.line("%s: %d lines; %s", b.File, b.Rows, run.Says())
	if b.SignWhy != "" {
		pg.line("above zero the current flows %s: %s", map[int]string{1: "out", -1: "in"}[b.Sign], b.SignWhy)
	}
	for _, f := range b.Figures {
		pg.row(f.Name, strconv.FormatFloat(f.Value, 'f', 2, 64)+" "+f.Unit)
	}
	if len(b.Odd) > 0 {
		pg.head("odd in the log")
		for _, o := range b.Odd {
			pg.row(o)
		}
	}
	pg.head("readings it can be")
	for _, o := range b.Offers {
		shown := bring.Offer(o).Shown()
		value := strings.Join(shown, " ")
		if len(shown) > 4 {
			value = fmt.Sprintf("%s ... %s, %d values", shown[0], shown[len(shown)-1], len(shown))
		}
		pg.row(o.Check, value, o.Why+set("; not offered: ", o.No))
	}
	if len(b.Offers) == 0 {
		pg.row("none that this build asks for")
	}
	if b.Kept {
		pg.line("the file is kept: ampwright export --raw %.8s gets it back", b.Hash)
	}
	for _, id := range b.Entries {
		pg.line("%s", id)
	}
}
