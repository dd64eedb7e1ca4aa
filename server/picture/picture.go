// Package picture makes of a photo as a camera wrote it the one that is kept:
// upright, at most [Longest] pixels on its long side, JPEG, and nothing but the
// picture: where and with what it was taken does not come along.
package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	_ "image/png" // so that it can be read
	"math"

	"golang.org/x/image/draw"
	_ "golang.org/x/image/webp" // so that it can be read
)

// Limits of what is taken in, and what is kept.
const (
	MaxFile   = 15_000_000 // bytes of a file
	MaxPixels = 40_000_000 // of a picture; more would take this computer's memory
	Longest   = 1600       // pixels of the long side of what is kept
	quality   = 85         // of the JPEG: as the browsers of phones are told to write it
)

// What is said of a file that is no picture to be kept; the phone says the same.
var (
	ErrHEIC = errors.New("this is a HEIC picture, which not every device can show: set the camera to JPEG, most phones call it most compatible")
	ErrNone = errors.New("this is no JPEG, PNG or WebP picture, or it is damaged")
)

// Type is the media type of what Keep returns.
const Type = "image/jpeg"

// Keep returns the picture in a file as it is kept. What is no picture that every
// device can show is an error that says so.
func Keep(file []byte) ([]byte, error) {
	if len(file) > MaxFile {
		return nil, fmt.Errorf("a file of %.1f MB: at most %d MB are accepted", math.Ceil(float64(len(file))/1e5)/10, MaxFile/1_000_000)
	}
	if heif(file) {
		return nil, ErrHEIC
	}
	head, kind, err := image.DecodeConfig(bytes.NewReader(file))         // before any memory is taken for pixels
	if err != nil || kind != "jpeg" && kind != "png" && kind != "webp" { // another package may read more
		return nil, ErrNone
	}
	if head.Width <= 0 || head.Height <= 0 || head.Width > MaxPixels/head.Height {
		return nil, fmt.Errorf("a picture of %d x %d pixels: want at least 1 and at most %d million", head.Width, head.Height, MaxPixels/1_000_000)
	}
	img, _, err := image.Decode(bytes.NewReader(file))
	if err != nil {
		return nil, fmt.Errorf("the %s picture is damaged: %w", kind, err)
	}
	up := 1
	if kind == "jpeg" {
		up = orientation(file)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, upright(shrink(img, Longest), up), &jpeg.Options{Quality: quality}); err != nil {
		return nil, fmt.Errorf("write picture: %w", err)
	}
	return out.Bytes(), nil
}

// Small returns a kept picture with a long side of at most so many pixels.
func Small(kept []byte, longest int) ([]byte, error) {
	img, err := jpeg.Decode(bytes.NewReader(kept))
	if err != nil {
		return nil, fmt.Errorf("read picture: %w", err)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, shrink(img, longest), &jpeg.Options{Quality: quality}); err != nil {
		return nil, fmt.Errorf("write picture: %w", err)
	}
	return out.Bytes(), nil
}

// heif reports whether a file is of the family of ISO/IEC 23008-12 (HEIF): a box
// ftyp (ISO/IEC 14496-12, 4.3) with one of its brands.
func heif(file []byte) bool {
	if len(file) < 12 || string(file[4:8]) != "ftyp" {
		return false
	}
	size := min(int(binary.BigEndian.Uint32(file)), len(file), 256)
	for at := 8; at+4 <= size; at += 4 {
		switch string(file[at : at+4]) {
		case "heic", "heix", "hevc", "hevx", "heim", "heis", "mif1", "msf1", "avif", "avis":
			return true
		}
	}
	return false
}

// shrink draws a picture on white, smaller where its long side is longer than so
// many pixels: first squares of pixels become their mean, so that fine lines do
// not break up, then what is left is scaled. A strip at a time: pixels of a large
// picture take hundreds of megabytes.
func shrink(img image.Image, longest int) *image.RGBA {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	long := max(w, h)
	n := max(1, long/longest)
	coarse := means(img, n)
	if long <= longest {
		return coarse
	}
	to := image.NewRGBA(image.Rect(0, 0, max(1, (w*longest+long/2)/long), max(1, (h*longest+long/2)/long)))
	draw.ApproxBiLinear.Scale(to, to.Rect, coarse, coarse.Rect, draw.Src, nil)
	return to
}

// means returns a picture with the mean of each square of n by n pixels in one.
// Squares at the right and the foot are as large as the picture leaves them.
func means(img image.Image, n int) *image.RGBA {
	b := img.Bounds()
	strip := image.NewRGBA(image.Rect(0, 0, b.Dx(), n))
	to := image.NewRGBA(image.Rect(0, 0, (b.Dx()+n-1)/n, (b.Dy()+n-1)/n))
	for y := range to.Rect.Dy() {
		rows := min(n, b.Dy()-y*n)
		draw.Draw(strip, strip.Rect, image.NewUniform(color.White), image.Point{}, draw.Src)
		draw.Draw(strip, image.Rect(0, 0, b.Dx(), rows), img, image.Pt(b.Min.X, b.Min.Y+y*n), draw.Over)
		for x := range to.Rect.Dx() {
			columns := min(n, b.Dx()-x*n)
			var sum [4]int
			for row := range rows {
				for i, v := range strip.Pix[strip.PixOffset(x*n, row):][:4*columns] {
					sum[i%4] += int(v)
				}
			}
			at := to.Pix[to.PixOffset(x, y):][:4]
			for i := range at {
				at[i] = byte((sum[i] + rows*columns/2) / (rows * columns))
			}
		}
	}
	return to
}

// upright turns a picture as the camera was held. The numbers are those of TIFF
// 6.0, section 8, Orientation, which Exif takes over: where row 0 and column 0 of
// what is stored are when it is looked at.
func upright(from *image.RGBA, orientation int) *image.RGBA {
	if orientation < 2 || orientation > 8 {
		return from
	}
	w, h := from.Rect.Dx(), from.Rect.Dy()
	tw, th := w, h
	if orientation >= 5 {
		tw, th = h, w
	}
	to := image.NewRGBA(image.Rect(0, 0, tw, th))
	for y := range h {
		for x := range w {
			tx, ty := x, y
			switch orientation {
			case 2: // row 0 at the top, column 0 at the right
				tx = w - 1 - x
			case 3: // bottom, right
				tx, ty = w-1-x, h-1-y
			case 4: // bottom, left
				ty = h - 1 - y
			case 5: // left, top
				tx, ty = y, x
			case 6: // right, top
				tx, ty = h-1-y, x
			case 7: // right, bottom
				tx, ty = h-1-y, w-1-x
			case 8: // left, bottom
				tx, ty = y, w-1-x
			}
			copy(to.Pix[to.PixOffset(tx, ty):][:4], from.Pix[from.PixOffset(x, y):][:4])
		}
	}
	return to
}
