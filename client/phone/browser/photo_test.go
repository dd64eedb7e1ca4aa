//go:build browser

package browser

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"testing"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/server/picture"
	"ampwright/sync/keep"

	"github.com/stretchr/testify/require"
)

var (
	red    = color.RGBA{200, 30, 30, 255}
	green  = color.RGBA{30, 160, 60, 255}
	blue   = color.RGBA{30, 60, 200, 255}
	yellow = color.RGBA{230, 210, 40, 255}
)

// quarters is a JPEG of four colours: upper left, upper right, lower left, lower
// right.
func quarters(t *testing.T, w, h int, colours ...color.Color) []byte {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i, c := range colours {
		at := image.Pt(i%2*w/2, i/2*h/2)
		draw.Draw(img, image.Rectangle{at, at.Add(image.Pt(w/2, h/2))}, image.NewUniform(c), image.Point{}, draw.Src)
	}
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, img, &jpeg.Options{Quality: 90}))
	return out.Bytes()
}

// requireQuarters requires that a JPEG shows what quarters was given.
func requireQuarters(t *testing.T, data []byte, w, h int, colours ...color.RGBA) {
	img, err := jpeg.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	require.Equal(t, image.Pt(w, h), img.Bounds().Size())
	for i, want := range colours {
		r, g, b, _ := img.At(w/4+i%2*w/2, h/4+i/2*h/2).RGBA()
		require.InDeltaSlice(t, []float64{float64(want.R), float64(want.G), float64(want.B)}, []float64{float64(r >> 8), float64(g >> 8), float64(b >> 8)}, 12,
			"quarter %d: JPEG is lossy, and no two of the colours are as near", i)
	}
}

// fromCamera puts an Exif block into a JPEG, as a camera held upright does: "the 0th
// row is the visual right-hand side of the image, and the 0th column is the visual
// top" (JEITA CP-3451, page 18, Orientation 6), and it says where it was. The bytes
// of the block from memory: a TIFF file behind "Exif", in the marker APP1.
func fromCamera(data []byte) []byte {
	le := binary.LittleEndian
	tag := func(id, kind uint16, count, value uint32) []byte {
		return le.AppendUint32(le.AppendUint32(le.AppendUint16(le.AppendUint16(nil, id), kind), count), value)
	}
	const gps, rationals = 8 + 2 + 2*12 + 4, 8 + 2 + 2*12 + 4 + 2 + 2*12 + 4
	tiff := append([]byte("II*\x00"), le.AppendUint32(nil, 8)...)
	tiff = le.AppendUint16(tiff, 2)
	tiff = append(tiff, tag(0x0112, 3, 1, 6)...)   // Orientation
	tiff = append(tiff, tag(0x8825, 4, 1, gps)...) // GPS Info IFD Pointer
	tiff = le.AppendUint32(tiff, 0)
	tiff = le.AppendUint16(tiff, 2)
	tiff = append(tiff, tag(1, 2, 2, 'N')...)       // GPSLatitudeRef
	tiff = append(tiff, tag(2, 5, 3, rationals)...) // GPSLatitude
	tiff = le.AppendUint32(tiff, 0)
	for _, n := range []uint32{52, 1, 30, 1, 0, 1} {
		tiff = le.AppendUint32(tiff, n)
	}
	block := append([]byte("Exif\x00\x00"), tiff...)
	app1 := binary.BigEndian.AppendUint16([]byte{0xff, 0xe1}, uint16(len(block)+2))
	return append(append(append([]byte{}, data[:2]...), append(app1, block...)...), data[2:]...)
}

// choose chooses a file in the form that does a wish, and waits until the page
// has said what came of it.
func (tab *tab) choose(wish, name string, data []byte) {
	tab.p.t.Helper()
	tab.eval(fmt.Sprintf(`(() => {
		const form = [...document.querySelectorAll("form.ask")].find(f => f.getAttribute("action").endsWith(%q));
		const input = form.querySelector("input[type=file][name=photo]");
		for (let d = input.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
		const files = new DataTransfer();
		files.items.add(new File([Uint8Array.from(atob(%q), c => c.charCodeAt(0))], %q));
		input.files = files.files;
		for (const e of ["input", "change"]) input.dispatchEvent(new Event(e, { bubbles: true }));
	})()`, "/write/"+wish, base64.StdEncoding.EncodeToString(data), name), nil)
	tab.wait(`document.querySelector(".chosen")`)
}

// kept returns the photos in the phone's storage.
func (tab *tab) kept() (photos [][]byte) {
	tab.p.t.Helper()
	var texts []string
	tab.eval(`new Promise((ok, no) => {
		const open = indexedDB.open("ampwright-blobs");
		open.onerror = no;
		open.onsuccess = () => {
			const all = open.result.transaction("blobs").objectStore("blobs").getAll();
			all.onsuccess = () => {
				open.result.close();
				ok(all.result.map(bytes => btoa(Array.from(bytes, b => String.fromCharCode(b)).join(""))));
			};
		};
	})`, &texts)
	for _, text := range texts {
		data, err := base64.StdEncoding.DecodeString(text)
		require.NoError(tab.p.t, err)
		photos = append(photos, data)
	}
	return photos
}

// shows waits until a page shows n photos.
func (tab *tab) shows(n int) {
	tab.p.t.Helper()
	tab.wait(fmt.Sprintf(`(() => {
		const all = [...document.querySelectorAll("main img[data-photo]")];
		const shown = (img) => img.complete && img.naturalWidth > 0;
		all.find(img => !shown(img))?.scrollIntoView(); // what is out of sight is not asked for
		return all.filter(shown).length === %d;
	})()`, n))
}

// savedPhoto saves the photo that is on this phone only as a file, on the page about
// this device, and returns what is in it.
func (tab *tab) savedPhoto() []byte {
	tab.p.t.Helper()
	tab.eval(`(() => {
		const make = URL.createObjectURL;
		URL.createObjectURL = (blob) => { window.savedPhoto = blob; URL.createObjectURL = make; return make.call(URL, blob); };
		document.querySelector("main a[download$='.jpg']").click();
	})()`, nil)
	tab.wait("window.savedPhoto")
	return tab.blob("savedPhoto")
}

// A photo is taken without the laptop: it is kept small, upright, and without the
// place; it is there after a reload and after the browser was killed at once; it
// is on the laptop once that is back. What is on the laptop alone comes when a
// page shows it.
func TestPhotos(t *testing.T) {
	s, p := newShop(t), newPhone(t)
	tab := s.join(p)
	s.stop()

	tab.tap(bench + "write/read?check=motor-iso")
	heic := append([]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), bytes.Repeat([]byte{7}, 500)...)
	tab.choose("read", "one.heic", heic)
	require.Equal(t, picture.ErrHEIC.Error(), tab.text(`document.querySelector(".chosen").innerText`))
	tab.eval(`(() => {
		const form = document.querySelector("form.ask");
		for (const [name, value] of [["value", "8,2M"], ["instrument", "insulation tester 250 V"]]) {
			form.elements[name].value = value;
			form.elements[name].dispatchEvent(new Event("input", { bubbles: true }));
		}
		form.requestSubmit();
	})()`, nil)
	tab.wait(`document.activeElement.type === "file" && document.activeElement.getAttribute("aria-invalid") === "true" && !document.querySelector("form.ask").dataset.sent`)
	require.Equal(t, "8,2M", tab.text(`document.querySelector("[name=value]").value`))
	require.Empty(t, tab.kept())
	tab.choose("read", "one.txt", []byte("no picture"))
	require.Equal(t, picture.ErrNone.Error(), tab.text(`document.querySelector(".chosen").innerText`))

	tab.choose("read", "one.jpg", fromCamera(quarters(t, 3000, 2000, red, green, blue, yellow)))
	require.Contains(t, tab.text(`document.querySelector(".chosen").innerText`), "1067 x 1600 px")
	tab.send("read", "value", "many")
	tab.wait(`document.activeElement.name === "value"`) // what is wrong, and the photo is kept
	tab.shows(1)
	tab.send("read", "value", "8,2M")
	require.Contains(t, tab.text(`document.querySelector(".done").innerText`), "8.2 Mohm")
	p.browser.Kill() // as soon as it says so
	p.start()

	tab = p.open("http://" + s.addr + bench + "check/motor-iso")
	tab.shows(1)
	require.Contains(t, tab.block(), "1 photo")
	photos := tab.kept()
	require.Len(t, photos, 1)
	require.NotContains(t, string(photos[0]), "Exif")
	requireQuarters(t, photos[0], 1067, 1600, blue, red, yellow, green) // turned a quarter to the right
	tab.reload()
	tab.shows(1)
	tab.eval(`document.querySelector("main a:has(img[data-photo])").click()`, nil)
	tab.wait(`location.pathname.includes("/photo/")`)
	tab.shows(1)
	tab.facts()
	require.Contains(t, tab.text("main()"), "; 1 photo on this phone only")
	require.Equal(t, photos[0], tab.savedPhoto(), "as a file of its own, byte for byte")

	s.start()
	tab.eval(`dispatchEvent(new Event("online"))`, nil)
	tab.wait(`!main().includes("on this phone only")`) // by itself
	list, err := s.garage.Blobs.List()
	require.NoError(t, err)
	require.Len(t, list, 1)
	got, err := s.garage.Blobs.Get(list[0].ID)
	require.NoError(t, err)
	require.True(t, bytes.Equal(photos[0], got), "byte for byte")

	data := quarters(t, 600, 400, green, green, red, red)
	id, err := s.garage.Blobs.Put(bytes.NewReader(data))
	require.NoError(t, err)
	s.photo(id)
	tab.step(s)
	require.Len(t, tab.kept(), 1, "nobody has asked for it yet")
	two := p.open("http://" + s.addr + bench + "check/motor-iso") // a tab that does not keep the link
	two.shows(2)
	require.Len(t, two.kept(), 2)
	require.Contains(t, two.kept(), data)
	s.stop()
	two.reload()
	two.shows(2)
	require.Equal(t, "none", two.block())
	two.tap(bench + "record")
	two.wait(`(() => {
		const all = [...document.querySelectorAll("table.paper img[data-photo]")]; // the demo names one that nobody has
		return scrollY === 0 && all.length === 3 && all.filter(img => img.complete && img.naturalWidth > 0).length === 2;
	})()`) // as it is printed
	require.Contains(t, two.text(`document.querySelector("table.paper .absent").innerText`), "the laptop is asked for it once it is in reach")
}

// photo writes a photo of a check down on the laptop.
func (s *shop) photo(id keep.BlobID) {
	s.t.Helper()
	_, err := s.garage.Do(demo.Build, model.Wish{Name: "photo", Values: map[string][]string{"photo": {id.String()}, "check": {"motor-iso"}}}, "")
	require.NoError(s.t, err)
}

// A picture of too many pixels is told by its head, before the browser takes memory
// for them, whatever kind it is of; one whose head is cut off is no picture. What the
// browser itself writes is taken. Where the size stands: ITU-T T.81, B.2.2; W3C,
// "PNG", 11.2.1; RFC 9649, 2.5 to 2.7, and RFC 6386, 9.1; ISO/IEC 23008-12, 6.5.3.
func TestManyPixels(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	tab.tap(bench + "write/read?check=motor-iso")
	tab.eval(`document.querySelectorAll("form.ask details").forEach(d => { d.open = true; })`, nil)
	tab.eval(`void (window.painted = async (type, quality) => {
		const canvas = Object.assign(document.createElement("canvas"), { width: 61, height: 47 });
		canvas.getContext("2d").fillRect(0, 0, 20, 20);
		return new Uint8Array(await (await new Promise(ok => canvas.toBlob(ok, type, quality))).arrayBuffer());
	})`, nil)
	tab.eval(`void (window.told = async (bytes) => {
		const input = document.querySelector("form.ask input[type=file][name=photo]"), files = new DataTransfer();
		files.items.add(new File([bytes], "a.jpg"));
		input.files = files.files;
		input.dispatchEvent(new Event("change", { bubbles: true }));
		while (!document.querySelector(".chosen")) await new Promise(ok => setTimeout(ok, 1));
		return document.querySelector(".chosen").textContent;
	})`, nil)
	painted := func(what string) []byte {
		t.Helper()
		data, err := base64.StdEncoding.DecodeString(tab.text(`btoa(String.fromCharCode(...await painted(` + what + `)))`))
		require.NoError(t, err)
		return data
	}
	alone := func(webp []byte, kind string) []byte { // the picture without what stands around it
		t.Helper()
		at := bytes.Index(webp, []byte(kind))
		require.Positive(t, at, "no %q in %.40q", kind, webp)
		chunk := webp[at : at+8+int(binary.LittleEndian.Uint32(webp[at+4:])+1)&^1]
		return append(append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(4+len(chunk))), "WEBP"...), chunk...)
	}
	say := func(data []byte) string {
		t.Helper()
		return tab.text(fmt.Sprintf(`told(Uint8Array.from(atob(%q), c => c.charCodeAt(0)))`, base64.StdEncoding.EncodeToString(data)))
	}
	with := func(data []byte, at int, size ...byte) []byte {
		data = bytes.Clone(data)
		copy(data[at:], size)
		return data
	}

	small := quarters(t, 60, 48, red, green, blue, yellow)
	sof := bytes.Index(small, []byte{0xff, 0xc0})
	camera := bytes.Clone(small[:2])
	for range 3 { // more than is read at once: what phones put before the frame
		camera = append(append(camera, 0xff, 0xe2, 0xff, 0xff), make([]byte, 0xfffd)...)
	}
	camera = append(append(camera, 0xff), small[2:]...) // a fill byte
	png, extended := painted(`"image/png"`), painted(`"image/webp", .5`)
	require.Equal(t, "VP8X", string(extended[12:16]), "part of it can be seen through")
	lossy, lossless := alone(extended, "VP8 "), alone(painted(`"image/webp", 1`), "VP8L")
	heif := append([]byte("\x00\x00\x00\x18ftypavif\x00\x00\x00\x00mif1avif"), "....ispe\x00\x00\x00\x00\x00\x00\x02\x00\x00\x00\x02\x00....ispe\x00\x00\x00\x00\x00\x00\x30\x00\x00\x00\x30\x00"...)
	for _, c := range []struct {
		kind      string
		data      []byte
		kept, big string
		huge      []byte
		head      int // bytes
	}{
		{"JPEG", small, "60 x 48", "65535 x 65535 pixels, 4295 million", with(small, sof+5, 0xff, 0xff, 0xff, 0xff), sof + 9},
		{"JPEG of a camera", camera, "60 x 48", "12000 x 10001 pixels, 121 million", with(camera, len(camera)-len(small)+sof+5, 0x27, 0x11, 0x2e, 0xe0), 40},
		{"PNG", png, "61 x 47", "30000 x 30000 pixels, 900 million", with(png, 16, 0, 0, 0x75, 0x30, 0, 0, 0x75, 0x30), 24},
		{"WebP, lossy", lossy, "61 x 47", "16383 x 16383 pixels, 269 million", with(lossy, 26, 0xff, 0x3f, 0xff, 0x3f), 30},
		{"WebP, lossless", lossless, "61 x 47", "16384 x 16384 pixels, 269 million", with(lossless, 21, 0xff, 0xff, 0xff, 0x0f), 25},
		{"WebP, extended", extended, "61 x 47", "65537 x 65537 pixels, 4296 million", with(extended, 24, 0, 0, 1, 0, 0, 1), 30},
		{"HEIF", heif, "", "12288 x 12288 pixels, 151 million", heif, len(heif)},
	} {
		require.Equal(t, "a.jpg has "+c.big+": at most 120 million are taken", say(c.huge), c.kind)
		require.Empty(t, tab.kept(), c.kind)
		if c.kept == "" {
			continue
		}
		require.Contains(t, say(c.data), "kept as "+c.kept+" px", c.kind)
		var said []string
		tab.eval(fmt.Sprintf(`await (async () => {
			const data = Uint8Array.from(atob(%q), c => c.charCodeAt(0)), all = new Set();
			for (let n = 1; n < %d; n++) all.add(await told(data.slice(0, n)));
			return [...all];
		})()`, base64.StdEncoding.EncodeToString(c.huge), c.head), &said)
		require.Equal(t, []string{picture.ErrNone.Error()}, said, "%s, its head cut off anywhere", c.kind)
	}
	require.Contains(t, say(with(small, sof+5, 0, 0)), picture.ErrNone.Error(), "a height that is told later: T.81, B.2.5")
	tab.eval(`document.querySelector("form.ask").requestSubmit()`, nil)
	tab.wait(`document.activeElement.type === "file"`)
	require.Empty(t, tab.kept())
}
