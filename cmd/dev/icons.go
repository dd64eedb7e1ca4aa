package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
)

// icons are the pictures for a phone's home screen. "maskable" ones are cut to a
// shape of the phone's choice, so the drawing keeps to the middle: a circle of
// 80 % of the width is always shown (W3C, "Web Application Manifest", icon masks).
var icons = []struct {
	name  string
	size  int
	share float64 // of the width that the drawing takes
}{
	{"icon-192.png", 192, 0.84}, {"icon-512.png", 512, 0.84}, {"icon-maskable-512.png", 512, 0.56},
}

// runIcons draws the icons into client/static/files.
func runIcons(context.Context, []string) error {
	for _, i := range icons {
		data, err := drawIcon(i.size, i.share)
		if err != nil {
			return err
		}
		path := filepath.Join("client", "static", "files", i.name)
		if err := os.WriteFile(path, data, 0o644); err != nil {
			return err
		}
		fmt.Println("wrote", path)
	}
	return nil
}

// A box is a rectangle of the drawing, which is 32 units wide and high.
type box struct {
	left, top, right, bottom float64
	ink                      color.RGBA
}

var (
	sheet = color.RGBA{0xf5, 0xf2, 0xea, 0xff}
	card  = color.RGBA{0xff, 0xfd, 0xf7, 0xff}
	ink   = color.RGBA{0x16, 0x18, 0x1a, 0xff}
	blue  = color.RGBA{0x0b, 0x3a, 0x6e, 0xff}
)

// battery is icon.svg in boxes: a cell whose label is a steel rule, with a bar for
// what is done.
var battery = []box{
	{0.75, 4.75, 31.25, 31.25, ink}, {3.25, 7.25, 28.75, 28.75, card}, {10, 2, 22, 10, ink},
	{5, 24.5, 27, 26.5, ink}, {5, 19.5, 7, 25.5, ink}, {10, 22, 12, 25.5, ink}, {15, 19.5, 17, 25.5, ink}, {20, 22, 22, 25.5, ink}, {25, 19.5, 27, 25.5, ink},
	{6, 13, 17, 16.5, blue},
}

// drawIcon draws the battery on a sheet, size pixels wide, as a PNG file.
func drawIcon(size int, share float64) ([]byte, error) {
	const fine = 4 // samples across a pixel
	img := image.NewRGBA(image.Rect(0, 0, size, size))
	scale := 32 / (float64(size) * share)
	for y := range size {
		for x := range size {
			var sum [3]int
			for i := range fine * fine {
				c := inkAt(at(x, i%fine, fine, size, scale), at(y, i/fine, fine, size, scale))
				sum[0], sum[1], sum[2] = sum[0]+int(c.R), sum[1]+int(c.G), sum[2]+int(c.B)
			}
			const n = fine * fine
			img.SetRGBA(x, y, color.RGBA{uint8(sum[0] / n), uint8(sum[1] / n), uint8(sum[2] / n), 0xff})
		}
	}
	var out bytes.Buffer
	err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, img)
	return out.Bytes(), err
}

// at is where a sample of a pixel lies in the drawing.
func at(pixel, sample, fine, size int, scale float64) float64 {
	return (float64(pixel)+(float64(sample)+0.5)/float64(fine)-float64(size)/2)*scale + 16
}

func inkAt(x, y float64) color.RGBA {
	c := sheet
	for _, b := range battery {
		if b.left <= x && x < b.right && b.top <= y && y < b.bottom {
			c = b.ink
		}
	}
	return c
}
