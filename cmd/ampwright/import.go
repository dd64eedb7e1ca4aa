package main

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"ampwright/model"
	"ampwright/model/lines"
	"ampwright/server/blobs"
	"ampwright/server/garage"
	"ampwright/sync/keep"

	"github.com/spf13/cobra"
)

type importJSON struct {
	Schema string `json:"schema"`
	Lines  int    `json:"lines"`  // entries that were read
	New    int    `json:"new"`    // of them, not here before
	Photos int    `json:"photos"` // that came with it, of which an entry names the bytes
	DryRun bool   `json:"dryRun"`
}

func (p *program) imports() *cobra.Command {
	c := &cobra.Command{
		Use: "import [FILE|-] [PHOTO...]", Short: "read entries written by export, all or none",
		Long: `Reads JSON Lines as export writes them, from a file or the standard input, and
adds the entries that are not here yet. If one line is wrong nothing is added.
Reading the same file twice adds nothing.

Photos are files of their own, as a phone saves them: behind the entries are
named those that belong to them. One whose bytes an entry names is kept.`,
		Example: "  ampwright import phone.jsonl --dry-run\n  ampwright import phone.jsonl\n  ampwright import phone.jsonl *.jpg\n  zcat heron.jsonl.gz | ampwright import -",
	}
	dry := c.Flags().Bool("dry-run", false, "only say how many entries would be added")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if p.asOf != "" {
			return notWhenWriting(p.asOf)
		}
		raws, seals, err := p.readLines(args)
		if err != nil {
			return err
		}
		body := importJSON{Schema: "ampwright/import/1", Lines: len(raws), DryRun: *dry}
		dir, err := p.place()
		if err != nil {
			return err
		}
		var photos [][]byte
		if len(args) > 1 { // before anything is added
			if photos, err = namedPhotos(raws, args[1:]); err != nil {
				return err
			}
		}
		body.Photos = len(photos)
		if *dry && !garage.Here(dir) {
			body.New, err = wouldAdd(model.NewLogbook(), raws)
		} else {
			body.New, err = p.add(raws, seals, *dry)
		}
		if err == nil && !*dry {
			err = putPhotos(dir, photos)
		}
		var gap *keep.GapError
		if errors.As(err, &gap) {
			return &adviceError{err, "nothing was added; the file lacks entries: export it again from the device that wrote it"}
		}
		if err != nil {
			return err
		}
		return p.answer(body, func(pg *page) {
			would := ""
			if *dry {
				would = "would be "
			}
			pg.line("%d of %d %s %snew", body.New, body.Lines, plural(body.Lines, "entry", "entries"), would)
			if len(args) > 1 {
				rest := ""
				if n := len(args) - 1 - body.Photos; n > 0 {
					rest = fmt.Sprintf("; %d that no entry names", n)
				}
				pg.line("%d of %d %s %skept%s", body.Photos, len(args)-1, plural(len(args)-1, "photo", "photos"), would, rest)
			}
		})
	}
	return c
}

func (p *program) readLines(args []string) ([][]byte, []model.Seal, error) {
	in, name := io.Reader(p.in), "the standard input"
	if len(args) > 0 && args[0] != "-" {
		f, err := os.Open(args[0])
		if err != nil {
			return nil, nil, err
		}
		defer f.Close()
		in, name = f, args[0]
	} else if r, ok := p.in.(*ctxReader); ok && len(args) == 0 && terminal(r.r) {
		return nil, nil, wrong("ampwright import FILE, or ampwright import - to type or paste lines", "no file is named")
	}
	raws, seals, err := lines.Read(in)
	if err != nil {
		hint := "nothing was added; mend or leave out that line"
		if ext := strings.ToLower(filepath.Ext(name)); ext == ".csv" || ext == ".xlsx" {
			hint = "nothing was added; a sheet is brought in with ampwright bring " + name
		}
		return nil, nil, &adviceError{fmt.Errorf("%s: %w", name, err), hint}
	}
	return raws, seals, nil
}

func (p *program) add(raws [][]byte, seals []model.Seal, dry bool) (n int, err error) {
	h, err := p.enter(true)
	if err != nil {
		return 0, err
	}
	try := func(l *model.Logbook) error {
		n, err = wouldAdd(l, raws)
		return err
	}
	if dry {
		return n, closing(h.Read(try), h)
	}
	if n, err = h.Import(raws, seals...); err != nil {
		if gap := h.Read(try); errors.As(gap, new(*keep.GapError)) {
			err = gap // and not the words of it that a server sent
		}
	}
	return n, closing(err, h)
}

// wouldAdd counts the entries that are not in l, and refuses what a store would.
func wouldAdd(l *model.Logbook, raws [][]byte) (int, error) {
	trial := keep.NewMemory()
	err := l.All(func(raw []byte) error { return trial.Append([][]byte{raw}) })
	if err == nil {
		err = trial.Append(raws)
	}
	if err != nil {
		return 0, err
	}
	fresh := map[model.ID]bool{}
	for _, raw := range raws {
		if id := model.IDOf(raw); !l.Has(id) {
			fresh[id] = true
		}
	}
	return len(fresh), nil
}

// namedPhotos reads the files whose bytes one of the entries names.
func namedPhotos(raws [][]byte, files []string) (photos [][]byte, err error) {
	l := model.NewLogbook()
	for _, raw := range raws {
		if _, err := l.Add(raw); err != nil {
			return nil, err
		}
	}
	named := l.Photos()
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		if slices.Contains(named, sha256.Sum256(data)) {
			photos = append(photos, data)
		}
	}
	return photos, nil
}

// putPhotos keeps photos byte for byte. Twice makes no double.
func putPhotos(dir string, photos [][]byte) error {
	for _, data := range photos {
		if _, err := blobs.In(dir).Put(bytes.NewReader(data)); err != nil {
			return err
		}
	}
	return nil
}

func notWhenWriting(text string) error {
	return wrong("say with --at when it was", "--as-of %q is for looking only", text)
}
