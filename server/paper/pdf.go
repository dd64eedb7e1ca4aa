package paper

import (
	"bytes"
	"fmt"
	"io"

	"ampwright/client/record"

	"github.com/go-pdf/fpdf"
)

// attached is the name of the record inside its PDF.
const attached = "ampwright-record.json"

// Write paints a record as a PDF, on A4 or US letter by what the garage has
// chosen. The same record makes the same bytes.
func Write(w io.Writer, r *record.Record) error { return WriteWith(w, r, nil) }

// WriteWith is Write with those photos small on it that are at hand.
func WriteWith(w io.Writer, r *record.Record, photos Photos) error {
	f, err := paint(r, photos)
	if err != nil {
		return err
	}
	if err := f.Output(w); err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	return nil
}

// cardSizes are the sizes of type of a card, the first that fits on one sheet is
// taken.
var cardSizes = []float64{10.8, 10, 9.2, 8.4, 7.6}

func paint(r *record.Record, photos Photos) (*fpdf.Fpdf, error) {
	var text bytes.Buffer
	if err := r.Write(&text); err != nil {
		return nil, err
	}
	sizes := []float64{8.4}
	if r.For.Card() {
		sizes = cardSizes
	}
	for i, size := range sizes {
		f := blank(r, text.Bytes())
		p := newPainter(f, r, size)
		p.photos = photos
		if err := p.all(); err != nil {
			return nil, err
		}
		if err := f.Error(); err != nil {
			return nil, fmt.Errorf("paint record: %w", err)
		}
		if p.sheet == 1 || i == len(sizes)-1 {
			return f, nil
		}
	}
	return nil, nil // there is a last size
}

// blank is a document without a page yet, with its typefaces and the record
// attached.
func blank(r *record.Record, text []byte) *fpdf.Fpdf {
	size := "A4"
	if r.Paper == "Letter" {
		size = "Letter"
	}
	f := fpdf.New("P", "mm", size, "")
	f.AliasNbPages(total)
	for _, one := range files {
		f.AddUTF8FontFromBytes(string(one.face), "", one.ttf)
	}
	f.SetMargins(margin, margin, margin)
	f.SetAutoPageBreak(false, 0)
	f.SetCatalogSort(true)
	f.SetCreationDate(r.At)
	f.SetModificationDate(r.At)
	f.SetProducer("Ampwright", true)
	f.SetTitle(r.Block.Title+", "+r.Block.Type+", "+r.Block.Number, true)
	f.SetAuthor(r.Block.Creator, true)
	f.SetLang("en")
	if text != nil {
		f.SetAttachments([]fpdf.Attachment{{Content: text, Filename: attached, Description: "the record, for: ampwright record verify"}})
	}
	return f
}
