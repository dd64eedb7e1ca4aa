package paper

import (
	"bytes"
	"fmt"
	"strings"

	"ampwright/client/record"
	"ampwright/server/picture"

	"github.com/go-pdf/fpdf"
)

// Photos returns the bytes of a kept photo by its SHA-256 in hexadecimal digits;
// nil where they are not at hand.
type Photos func(sha256 string) []byte

// Photos on paper: three in a row, so fifteen at most on a sheet, and no more than
// maxPictures in a record, so that it can still be sent by mail.
const (
	maxPictures   = 60
	picturesInRow = 3
	pictureHigh   = 42.0
	pixels        = 480 // of the long side
)

// pictures paints those photos of the section that are at hand. They are a help to
// the eye: what the record rests on are the hashes above them.
func (p *painter) pictures(t *record.Table) error {
	if p.photos == nil || t == nil {
		return nil
	}
	n, more := 0, 0
	wide := p.inner()/picturesInRow - gap
	shown := map[string]bool{}
	for _, row := range t.Rows {
		of, hash := row.Cells[0], row.Cells[1].Small
		data := p.photos(hash)
		if data == nil || shown[hash] {
			continue
		}
		small, err := picture.Small(data, pixels)
		if err != nil {
			continue // what another device sent as a photo and is none
		}
		shown[hash] = true
		if n == maxPictures {
			more++
			continue
		}
		if n%picturesInRow == 0 {
			p.room(pictureHigh + 2*leading(p.small) + 3)
		}
		x := margin + float64(n%picturesInRow)*(wide+gap)
		if err := p.picture(hash, small, x, wide); err != nil {
			return err
		}
		p.ink(soft)
		p.set(x, p.y+pictureHigh+p.small*mm+.8, p.clip(of.Text, plain, p.small, wide), plain, p.small)
		p.set(x, p.y+pictureHigh+p.small*mm+.8+leading(p.small), p.clip(hash[:16]+" "+strings.TrimSpace(of.Small), code, p.small-.3, wide), code, p.small-.3)
		if n++; n%picturesInRow == 0 {
			p.y += pictureHigh + 2*leading(p.small) + 3
		}
	}
	if n%picturesInRow != 0 {
		p.y += pictureHigh + 2*leading(p.small) + 3
	}
	if more > 0 {
		p.paragraph(fmt.Sprintf("%d more are kept and not printed here.", more))
	}
	return nil
}

// picture puts one into its place, as large as it fits.
func (p *painter) picture(name string, jpeg []byte, x, wide float64) error {
	options := fpdf.ImageOptions{ImageType: "JPG"}
	info := p.f.RegisterImageOptionsReader(name, options, bytes.NewReader(jpeg))
	if err := p.f.Error(); err != nil {
		return fmt.Errorf("paint photo %s: %w", name, err)
	}
	w, h := wide, wide*info.Height()/info.Width()
	if h > pictureHigh {
		w, h = pictureHigh*info.Width()/info.Height(), pictureHigh
	}
	p.f.ImageOptions(name, x, p.y, w, h, false, options, 0, "")
	return nil
}
