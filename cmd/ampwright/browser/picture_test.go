//go:build browser

package browser

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// quarters are the colours of the picture that is chosen: upper left, upper right,
// lower left, lower right. pictured is what is seen on it.
var quarters = []struct {
	name string
	of   color.RGBA
}{{"red", color.RGBA{200, 30, 30, 255}}, {"green", color.RGBA{30, 160, 60, 255}}, {"blue", color.RGBA{30, 60, 200, 255}}, {"yellow", color.RGBA{230, 210, 40, 255}}}

const pictured = "64 x 48, red green blue yellow"

// picture writes that picture into a file.
func picture(t *testing.T) string {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 64, 48))
	for i, q := range quarters {
		at := image.Pt(i%2*32, i/2*24)
		draw.Draw(img, image.Rectangle{at, at.Add(image.Pt(32, 24))}, image.NewUniform(q.of), image.Point{}, draw.Src)
	}
	file, err := os.Create(filepath.Join(t.TempDir(), "settings.jpg"))
	require.NoError(t, err)
	require.NoError(t, jpeg.Encode(file, img, nil))
	require.NoError(t, file.Close())
	return file.Name()
}

// seen says what is seen on a picture at an address of the laptop's. JPEG is lossy,
// and written anew when it is kept.
func (p *program) seen(src string) string {
	p.t.Helper()
	home, err := url.Parse(p.home)
	require.NoError(p.t, err)
	at, err := home.Parse(src)
	require.NoError(p.t, err)
	resp, err := http.Get(at.String())
	require.NoError(p.t, err)
	defer resp.Body.Close()
	img, err := jpeg.Decode(resp.Body)
	require.NoError(p.t, err, src)
	size := img.Bounds().Size()
	says := fmt.Sprintf("%d x %d,", size.X, size.Y)
	for i := range quarters {
		r, g, b, _ := img.At(size.X/4+i%2*size.X/2, size.Y/4+i/2*size.Y/2).RGBA()
		name := "other"
		for _, q := range quarters {
			if near(r, q.of.R) && near(g, q.of.G) && near(b, q.of.B) {
				name = q.name
			}
		}
		says += " " + name
	}
	return says
}

// near reports whether a value of 16 bits is within 12 of one of 8; no two of the
// colours are as near.
func near(was uint32, want uint8) bool {
	d := int(was>>8) - int(want)
	return d >= -12 && d <= 12
}
