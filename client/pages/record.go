package pages

import (
	"encoding/hex"
	"fmt"
	"net/url"
	"strings"
	"time"

	"ampwright/client/record"
	"ampwright/model"
)

// recordPage is all that record.html can see.
type recordPage struct {
	*frame
	For, Type    string
	Audiences    []link
	Hours, Money bool
	PDF          string // where the server paints it as a PDF; "" where it does not
	Verify       string
	ISO          []cell // the title block of the paper
	Sections     []recordSection
}

type recordSection struct {
	record.Section
	Facts []recordFact
	Head  []record.Column
	Rows  []recordRow
	None  string
	Codes []code
}

type recordFact struct {
	record.Fact
	Stamp stamp
	On    []link
}

type recordRow struct {
	Head  string
	Span  int // columns that Head stands over
	Cells []recordCell
}

type recordCell struct {
	Of          string // title of its column
	Text, Small string
	Right, Mono bool
	Photo       *photoPic
	Stamp       stamp
	On          []link
}

// Empty reports whether nothing stands in the cell.
func (c recordCell) Empty() bool {
	return c.Text == "" && c.Small == "" && c.Stamp.Word == "" && len(c.On) == 0
}

// A code is a QR code: dark modules as a path in a square of Side modules.
type code struct {
	Side        int
	Path, Label string
}

func (v *visit) record() (Response, error) {
	q := v.req.Query
	cfg := record.Config{For: record.Inspector, Hours: q.Get("hours") != "", Money: q.Get("money") != ""}
	if text := q.Get("for"); text != "" {
		var err error
		if cfg.For, err = record.ParseAudience(text); err != nil {
			return Response{}, missing("%v", err)
		}
	}
	r, err := v.makeRecord(cfg)
	if err != nil {
		return Response{}, err
	}
	p := recordPage{
		frame: v.frame("record", r.Block.Type), For: string(r.For), Type: r.Block.Type, Hours: r.Hours, Money: r.Money,
		Verify: v.at() + "/record/verify",
	}
	for _, a := range record.Audiences() {
		p.Audiences = append(p.Audiences, link{v.recordHref("record", record.Config{For: a, Hours: cfg.Hours, Money: cfg.Money}), a.Title(), a == r.For})
	}
	if v.cfg.PDF {
		p.PDF = v.recordHref("record.pdf", cfg)
	}
	b := r.Block
	p.ISO = []cell{
		{"legal owner", b.LegalOwner}, {"title", b.Title}, {"document type", b.Type}, {"creator", b.Creator}, {"approver (by hand)", b.Approver},
		{"identification number", b.Number}, {"date of issue", b.Issued},
	}
	for _, s := range r.Sections {
		p.Sections = append(p.Sections, v.recordSection(s))
	}
	if p.Sections[len(p.Sections)-1].Codes, err = codes(r); err != nil {
		return Response{}, err
	}
	return v.render(statusOK, "record.html", p)
}

func (v *visit) recordHref(page string, cfg record.Config) string {
	q := url.Values{"for": {string(cfg.For)}}
	if cfg.Hours {
		q.Set("hours", "1")
	}
	if cfg.Money {
		q.Set("money", "1")
	}
	return v.at() + "/" + page + "?" + q.Encode()
}

// makeRecord makes the record from the logbook as it stands, to the second.
func (v *visit) makeRecord(cfg record.Config) (r *record.Record, err error) {
	v.cfg.Book.Read(func(l *model.Logbook) {
		var b *model.Build
		if b, err = l.Build(v.b.ID, v.now().Truncate(time.Second), v.planOf); err == nil {
			r, err = record.Make(b, l, cfg)
		}
	})
	return r, err
}

// planOf is the plan of the build on the page.
func (v *visit) planOf(id string, version int) (*model.Plan, bool) {
	return v.b.Plan, v.b.Plan.ID == id && v.b.Plan.Version == version
}

func (v *visit) recordSection(s record.Section) recordSection {
	out := recordSection{Section: s}
	for _, f := range s.Facts {
		out.Facts = append(out.Facts, recordFact{f, stamp{f.Mark, f.Shape}, v.entryLinks(f.On)})
	}
	if s.Table == nil {
		return out
	}
	out.Head, out.None = s.Table.Columns, s.Table.None
	for _, row := range s.Table.Rows {
		line := recordRow{Head: row.Head, Span: len(out.Head)}
		for i, c := range row.Cells {
			col := s.Table.Columns[i]
			cell := recordCell{Of: col.Title, Text: c.Text, Small: c.Small, Right: col.Right, Mono: col.Mono, Stamp: stamp{c.Mark, c.Shape}}
			if col.Title == "entry" {
				cell.Small, cell.On = "", v.entryLinks(row.On)
			}
			if hash, err := hex.DecodeString(c.Small); s.Key == "photos" && col.Mono && err == nil {
				cell.Photo = v.photoPic(hash, row.Cells[0].Text)
			}
			line.Cells = append(line.Cells, cell)
		}
		out.Rows = append(out.Rows, line)
	}
	return out
}

func (v *visit) entryLinks(names []string) []link {
	var list []link
	for _, id := range names {
		list = append(list, link{Href: v.at() + "/entry/" + id, Text: record.Short(id)})
	}
	return list
}

func codes(r *record.Record) ([]code, error) {
	var list []code
	texts := r.Codes()
	for i, text := range texts {
		dark, err := record.Modules(text)
		if err != nil {
			return nil, err
		}
		c := code{Side: len(dark), Label: fmt.Sprintf("code %d of %d", i+1, len(texts))}
		var path strings.Builder
		for y, row := range dark {
			for x := 0; x < len(row); x++ {
				from := x
				for x < len(row) && row[x] {
					x++
				}
				if x > from {
					fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", from, y, x-from, x-from)
				}
			}
		}
		c.Path = path.String()
		list = append(list, c)
	}
	return list, nil
}
