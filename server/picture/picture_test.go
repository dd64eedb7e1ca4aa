package picture

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

var (
	red, green = color.RGBA{200, 20, 20, 255}, color.RGBA{20, 200, 20, 255}
	blue, grey = color.RGBA{20, 20, 200, 255}, color.RGBA{90, 90, 90, 255}
)

// quarters is a picture of four colours: red and green above, blue and grey below.
func quarters(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.Set(x, y, [2][2]color.RGBA{{red, green}, {blue, grey}}[2*y/h][2*x/w])
		}
	}
	return m
}

func jpegOf(t testing.TB, m image.Image) []byte {
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, m, nil))
	return out.Bytes()
}

// exif puts a segment APP1 behind the start of a JPEG: a directory with the maker,
// the orientation and a pointer to where the picture was taken.
func exif(file []byte, order binary.AppendByteOrder, orientation uint16) []byte {
	tiff := []byte("II*\x00")
	if order == binary.AppendByteOrder(binary.BigEndian) {
		tiff = []byte("MM\x00*")
	}
	tiff = order.AppendUint32(tiff, 8)
	tiff = order.AppendUint16(tiff, 3)
	field := func(tag, kind uint16, count uint32, value ...byte) {
		tiff = order.AppendUint16(tiff, tag)
		tiff = order.AppendUint16(tiff, kind)
		tiff = order.AppendUint32(tiff, count)
		tiff = append(tiff, append(value, 0, 0, 0, 0)[:4]...)
	}
	field(271, 2, 4, 'C', 'a', 'm', 0)
	field(274, 3, 1, order.AppendUint16(nil, orientation)...)
	field(34853, 4, 1, order.AppendUint32(nil, 50)...) // GPS
	tiff = order.AppendUint32(tiff, 0)
	tiff = append(tiff, "somewhere north"...)
	segment := append([]byte("Exif\x00\x00"), tiff...)
	out := append([]byte{}, file[:2]...)
	out = append(out, 0xff, 0xe0, 0, 4, 'x', 'y', 0xff, 0xff) // another segment first, and a fill byte
	out = append(out, 0xe1)
	out = binary.BigEndian.AppendUint16(out, uint16(len(segment)+2))
	return append(append(out, segment...), file[2:]...)
}

// stored is how a camera that was held so stores the picture m: each of its pixels
// by the definition of the number in TIFF 6.0, section 8: "the 0th row represents
// the visual SIDE of the image, and the 0th column the visual SIDE".
func stored(m *image.RGBA, orientation int) *image.RGBA {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	sides := map[int][2]string{
		1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
		5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"},
	}[orientation]
	far := func(side string, x, y int) int { // how far a pixel is from a side
		return map[string]int{"top": y, "bottom": h - 1 - y, "left": x, "right": w - 1 - x}[side]
	}
	size := image.Rect(0, 0, w, h)
	if orientation >= 5 {
		size = image.Rect(0, 0, h, w)
	}
	s := image.NewRGBA(size)
	for y := range h {
		for x := range w {
			s.Set(far(sides[1], x, y), far(sides[0], x, y), m.At(x, y))
		}
	}
	return s
}

func requireQuarters(t *testing.T, file []byte, w, h int) {
	t.Helper()
	m, err := jpeg.Decode(bytes.NewReader(file))
	require.NoError(t, err)
	require.Equal(t, image.Rect(0, 0, w, h), m.Bounds())
	for i, want := range []color.RGBA{red, green, blue, grey} {
		r, g, b, _ := m.At(w/4+i%2*w/2, h/4+i/2*h/2).RGBA()
		for j, v := range []uint32{r, g, b} {
			require.InDelta(t, []uint8{want.R, want.G, want.B}[j], v>>8, 14, "quarter %d", i) // what JPEG may lose
		}
	}
}

// However the camera was held, what is kept is upright, and says nothing of the
// camera or the place.
func TestUpright(t *testing.T) {
	for n := 1; n <= 8; n++ {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			file := exif(jpegOf(t, stored(quarters(96, 64), n)), order, uint16(n))
			require.Equal(t, n, orientation(file))
			kept, err := Keep(file)
			require.NoError(t, err)
			requireQuarters(t, kept, 96, 64)
			require.NotContains(t, string(kept), "Exif")
			require.NotContains(t, string(kept), "somewhere")
		}
	}
	for _, n := range []uint16{0, 9, 65535} {
		require.Equal(t, 1, orientation(exif(jpegOf(t, quarters(8, 8)), binary.LittleEndian, n)))
	}
}

func TestShrinks(t *testing.T) {
	for _, tt := range []struct{ w, h, wantW, wantH int }{
		{1600, 1200, 1600, 1200}, {1601, 1200, 1600, 1199}, {4000, 3000, 1600, 1200}, {1000, 3200, 500, 1600}, {9000, 4, 1600, 1}, {64, 32, 64, 32},
	} {
		kept, err := Keep(jpegOf(t, quarters(tt.w, tt.h)))
		require.NoError(t, err)
		if tt.wantH > 1 {
			requireQuarters(t, kept, tt.wantW, tt.wantH)
		}
		again, err := Keep(kept)
		require.NoError(t, err)
		head, err := jpeg.DecodeConfig(bytes.NewReader(again))
		require.NoError(t, err)
		require.Equal(t, []int{tt.wantW, tt.wantH}, []int{head.Width, head.Height})
	}
	kept, err := Keep(jpegOf(t, quarters(1600, 1200)))
	require.NoError(t, err)
	small, err := Small(kept, 200)
	require.NoError(t, err)
	requireQuarters(t, small, 200, 150)
	require.Less(t, len(small), 8000)
}

// A picture that is partly clear stands on white; a fine pattern becomes its mean,
// not lines.
func TestPNG(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 3200, 20))
	for y := range 20 {
		for x := range 3200 {
			m.SetNRGBA(x, y, color.NRGBA{A: uint8(255 * (x % 2))})
		}
	}
	var out bytes.Buffer
	require.NoError(t, png.Encode(&out, m))
	kept, err := Keep(out.Bytes())
	require.NoError(t, err)
	got, err := jpeg.Decode(bytes.NewReader(kept))
	require.NoError(t, err)
	require.Equal(t, image.Rect(0, 0, 1600, 10), got.Bounds())
	for x := range 1600 {
		r, _, _, _ := got.At(x, 5).RGBA()
		require.InDelta(t, 128, r>>8, 3)
	}
}

func TestWebP(t *testing.T) {
	file, err := os.ReadFile(filepath.Join("testdata", "two-by-one.webp"))
	require.NoError(t, err)
	kept, err := Keep(file)
	require.NoError(t, err)
	head, err := jpeg.DecodeConfig(bytes.NewReader(kept))
	require.NoError(t, err)
	require.Equal(t, []int{2, 1}, []int{head.Width, head.Height})
}

// bomb is a PNG that says it has so many pixels and has none.
func bomb(w, h uint32) []byte {
	ihdr := binary.BigEndian.AppendUint32([]byte("IHDR"), w)
	ihdr = append(binary.BigEndian.AppendUint32(ihdr, h), 8, 2, 0, 0, 0)
	out := append([]byte("\x89PNG\r\n\x1a\n"), 0, 0, 0, 13)
	out = append(out, ihdr...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(ihdr))
}

func TestRefused(t *testing.T) {
	var moving bytes.Buffer
	require.NoError(t, gif.Encode(&moving, quarters(4, 4), nil))
	whole := jpegOf(t, quarters(600, 600))
	for _, tt := range []struct {
		name string
		file []byte
		want string
	}{
		{"nothing", nil, "this is no JPEG, PNG or WebP picture, or it is damaged"},
		{"text", []byte("a page of text"), "this is no JPEG, PNG or WebP picture, or it is damaged"},
		{"another kind", moving.Bytes(), "this is no JPEG, PNG or WebP picture, or it is damaged"},
		{"half of it", whole[:len(whole)/2], "the jpeg picture is damaged"},
		{"too many bytes", make([]byte, MaxFile+1), "a file of 15.1 MB: at most 15 MB are accepted"},
		{"too many pixels", bomb(20_000, 20_000), "a picture of 20000 x 20000 pixels: want at least 1 and at most 40 million"},
		{"one long line", bomb(40_000_001, 1), "a picture of 40000001 x 1 pixels: want at least 1 and at most 40 million"},
		{"HEIC", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "this is a HEIC picture, which not every device can show: set the camera to JPEG, most phones call it most compatible"},
		{"HEIC by its second brand", []byte("\x00\x00\x00\x18ftypabcd\x00\x00\x00\x00mif1heic"), "this is a HEIC picture"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Keep(tt.file)
			require.ErrorContains(t, err, tt.want)
		})
	}
	_, err := Keep(bomb(4000, 10_000))
	require.ErrorContains(t, err, "the png picture is damaged", "forty million are let in")
}

// FuzzOrientation: whatever a file says, it is a number from 1 to 8.
func FuzzOrientation(f *testing.F) {
	file := exif(jpegOf(f, quarters(8, 8)), binary.LittleEndian, 6)
	f.Add(file)
	f.Add(file[:60])
	f.Add(exif(file, binary.BigEndian, 3))
	f.Add([]byte("\xff\xd8\xff\xe1\x00\x10Exif\x00\x00II*\x00\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, file []byte) {
		if n := orientation(file); n < 1 || n > 8 {
			t.Errorf("orientation %d", n)
		}
	})
}

// FuzzKeep: what is kept is a JPEG of at most 1600 pixels a side.
func FuzzKeep(f *testing.F) {
	f.Add(exif(jpegOf(f, quarters(8, 8)), binary.LittleEndian, 6))
	f.Add(bomb(3, 3))
	f.Fuzz(func(t *testing.T, file []byte) {
		head, _, err := image.DecodeConfig(bytes.NewReader(file))
		if err == nil && head.Width*head.Height > 1<<20 {
			return // sound, and slow
		}
		kept, err := Keep(file)
		if err != nil {
			return
		}
		head, err = jpeg.DecodeConfig(bytes.NewReader(kept))
		require.NoError(t, err)
		require.LessOrEqual(t, max(head.Width, head.Height), Longest)
	})
}

// BenchmarkKeep takes in what a phone's camera writes: 12 million pixels.
func BenchmarkKeep(b *testing.B) {
	file := exif(jpegOf(b, quarters(4032, 3024)), binary.LittleEndian, 6)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Keep(file); err != nil {
			b.Fatal(err)
		}
	}
}
