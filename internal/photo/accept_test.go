package photo_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math"
	"os"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"

	"golang.org/x/image/webp"

	"velamen/internal/photo"
)

func accept(tb testing.TB, data []byte) *photo.Picture {
	tb.Helper()
	p, err := photo.Accept(bytes.NewReader(data), photo.Limits{})
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

func read(tb testing.TB, name string) []byte {
	tb.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		tb.Fatal(err)
	}
	return data
}

func decode(tb testing.TB, p photo.Print) image.Image {
	tb.Helper()
	img, err := jpeg.Decode(bytes.NewReader(p.Bytes))
	if err != nil {
		tb.Fatal(err)
	}
	if img.Bounds() != image.Rect(0, 0, p.Width, p.Height) {
		tb.Fatalf("a copy of %d × %d px is %v", p.Width, p.Height, img.Bounds())
	}
	return img
}

// looks compares a colour. JPEG of quality 85 keeps an even field of colour
// within a few levels; 12 of 255 allows for that and the change to YCbCr.
func looks(tb testing.TB, what string, img image.Image, x, y int, want color.RGBA) {
	tb.Helper()
	r, g, b, _ := img.At(x, y).RGBA()
	for i, got := range [3]uint32{r >> 8, g >> 8, b >> 8} {
		if math.Abs(float64(got)-float64([3]uint8{want.R, want.G, want.B}[i])) > 12 {
			tb.Errorf("%s: at (%d, %d) the colour is %d %d %d, want %v", what, x, y, r>>8, g>>8, b>>8, want)
			return
		}
	}
}

// shows checks the colours of the four quarters of both copies.
func shows(tb testing.TB, what string, p *photo.Picture, upperLeft, upperRight, lowerLeft, lowerRight color.RGBA) {
	tb.Helper()
	for _, one := range []photo.Print{p.View, p.Thumbnail} {
		img := decode(tb, one)
		w, h := one.Width, one.Height
		looks(tb, what, img, w/4, h/4, upperLeft)
		looks(tb, what, img, w*3/4, h/4, upperRight)
		looks(tb, what, img, w/4, h*3/4, lowerLeft)
		looks(tb, what, img, w*3/4, h*3/4, lowerRight)
	}
}

func TestKindsOfPictures(t *testing.T) {
	m := quarters(96, 64)
	paletted := image.NewPaletted(m.Rect, color.Palette{red, green, blue, grey})
	deep := image.NewNRGBA64(m.Rect)
	plain := image.NewGray(m.Rect)
	cut := image.NewNRGBA(m.Rect)
	for y := range 64 {
		for x := range 96 {
			paletted.Set(x, y, m.At(x, y))
			deep.Set(x, y, m.At(x, y))
			plain.Set(x, y, color.Gray{170})
			if x < 48 {
				cut.Set(x, y, m.At(x, y))
			}
		}
	}
	even := color.RGBA{170, 170, 170, 255}
	mauve := color.RGBA{150, 90, 160, 255}
	for _, c := range []struct {
		name      string
		data      []byte
		mediaType string
		quarters  [4]color.RGBA
	}{
		{"JPEG", encodeJPEG(t, m), "image/jpeg", [4]color.RGBA{red, green, blue, grey}},
		{"grey JPEG", encodeJPEG(t, plain), "image/jpeg", [4]color.RGBA{even, even, even, even}},
		{"PNG", encodePNG(t, m), "image/png", [4]color.RGBA{red, green, blue, grey}},
		{"PNG with a palette", encodePNG(t, paletted), "image/png", [4]color.RGBA{red, green, blue, grey}},
		{"PNG of 16 bits", encodePNG(t, deep), "image/png", [4]color.RGBA{red, green, blue, grey}},
		{"PNG whose right half is empty", encodePNG(t, cut), "image/png", [4]color.RGBA{red, white, blue, white}},
		{"lossless WebP", solidWebP(96, 64, color.NRGBA(mauve)), "image/webp", [4]color.RGBA{mauve, mauve, mauve, mauve}},
		// Of other programs' making, and to be turned.
		{"progressive JPEG", read(t, "testdata/bench/progressive.jpg"), "image/jpeg", [4]color.RGBA{blue, red, grey, green}},
		{"lossy WebP", read(t, "testdata/bench/lossy.webp"), "image/webp", [4]color.RGBA{blue, red, grey, green}},
		{"PNG with a record", read(t, "testdata/bench/plain.png"), "image/png", [4]color.RGBA{blue, red, grey, green}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := accept(t, c.data)
			shows(t, c.name, p, c.quarters[0], c.quarters[1], c.quarters[2], c.quarters[3])
			if p.Original.MediaType != c.mediaType || p.View.MediaType != "image/jpeg" || p.Thumbnail.MediaType != "image/jpeg" {
				t.Errorf("kinds %s, %s, %s", p.Original.MediaType, p.View.MediaType, p.Thumbnail.MediaType)
			}
			if p.View.Width*p.View.Height != 96*64 || p.Original.Width != p.View.Width || p.Original.Height != p.View.Height {
				t.Errorf("sizes %d × %d and %d × %d", p.View.Width, p.View.Height, p.Original.Width, p.Original.Height)
			}
			// The same again, however the bytes come in.
			for how, r := range map[string]io.Reader{
				"whole": bytes.NewReader(c.data), "in halves": iotest.HalfReader(bytes.NewReader(c.data)),
				"byte by byte": iotest.OneByteReader(bytes.NewReader(c.data)), "with a late end": iotest.DataErrReader(bytes.NewReader(c.data)),
			} {
				again, err := photo.Accept(r, photo.Limits{})
				if err != nil {
					t.Fatalf("%s: %v", how, err)
				}
				if !sameFiles(again, p) {
					t.Errorf("%s, the copies differ", how)
				}
			}
		})
	}
}

// Each orientation is written as its definition says: what the scene shows at
// the side that the first row, and the first column, stand for.
func TestPicturesAreTurnedUpright(t *testing.T) {
	// Sides of the scene along the first row and column: jpegexiforient(1),
	// G. Vollbeding, Independent JPEG Group.
	sides := map[uint16][2]string{
		1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
		5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"},
	}
	const w, h = 96, 64
	scene := quarters(w, h)
	for value, side := range sides {
		stored := image.NewRGBA(image.Rect(0, 0, w, h))
		if value >= 5 {
			stored = image.NewRGBA(image.Rect(0, 0, h, w))
		}
		for row := range stored.Rect.Dy() {
			for column := range stored.Rect.Dx() {
				var x, y int
				for i, from := range side {
					n := [2]int{row, column}[i] // how far from that side of the scene
					switch from {
					case "top":
						y = n
					case "bottom":
						y = h - 1 - n
					case "left":
						x = n
					case "right":
						x = w - 1 - n
					}
				}
				stored.Set(column, row, scene.At(x, y))
			}
		}
		for name, o := range map[string]byteOrder{"little": binary.LittleEndian, "big": binary.BigEndian} {
			record := phoneRecord(o, value, "2026:05:01 10:11:12", "+10:00")
			for kind, data := range map[string][]byte{
				"JPEG": phoneJPEG(encodeJPEG(t, stored), record), "PNG": phonePNG(encodePNG(t, stored), record),
			} {
				p := accept(t, data)
				if p.View.Width != w || p.View.Height != h || p.Original.Width != w || p.Original.Height != h {
					t.Errorf("%s, orientation %d, %s-endian: %d × %d px", kind, value, name, p.View.Width, p.View.Height)
				}
				shows(t, kind, p, red, green, blue, grey)
				// The kept original has to be turned by whoever shows it.
				shows(t, kind+" again", accept(t, p.Original.Bytes), red, green, blue, grey)
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	whole := encodeJPEG(t, quarters(96, 64))
	moving := riff("RIFF", "WEBP"+string(riff("VP8X", "\x02\x00\x00\x00\x0f\x00\x00\x0f\x00\x00"))+string(riff("ANIM", "\x00\x00\x00\x00\x00\x00")))
	for _, c := range []struct {
		name  string
		data  string
		cause photo.Cause
		says  string
	}{
		{"nothing", "", photo.NotAPicture, "empty"},
		{"text", "Paphiopedilum, repotted on Tuesday", photo.NotAPicture, "not a picture"},
		{"page", "<!DOCTYPE html><title>x</title>", photo.NotAPicture, "not a picture"},
		{"drawing", "<svg xmlns='http://www.w3.org/2000/svg'/>", photo.NotAPicture, "not a picture"},
		{"PDF", "%PDF-1.7", photo.NotAPicture, "PDF"},
		{"film", "\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00", photo.NotAPicture, "film"},
		{"HEIC", "\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", photo.WrongKind, "Most Compatible"},
		{"HEIF", "\x00\x00\x00\x18ftypmif1\x00\x00\x00\x00mif1heic", photo.WrongKind, "Most Compatible"},
		{"AVIF", "\x00\x00\x00\x18ftypavif\x00\x00\x00\x00", photo.WrongKind, "AVIF"},
		{"box cut short", "\x00\x00\x00\x18ftyp", photo.NotAPicture, "film"},
		{"GIF", "GIF89a\x01\x00\x01\x00", photo.WrongKind, "GIF"},
		{"raw", "II*\x00\x10\x00\x00\x00", photo.WrongKind, "raw"},
		{"JPEG XL", "\xff\x0a\x00", photo.WrongKind, "JPEG XL"},
		{"BMP", "BM\x00\x00", photo.WrongKind, "BMP"},
		{"moving WebP", string(moving), photo.WrongKind, "moving"},
		{"JPEG without a picture", "\xff\xd8\xff\xd9", photo.Damaged, "again"},
		{"half a JPEG", string(whole[:len(whole)/2]), photo.Damaged, "again"},
		{"JPEG without its end", string(whole[:len(whole)-2]), photo.Damaged, "again"},
		{"PNG without a picture", "\x89PNG\r\n\x1a\n" + string(pngChunk("IHDR", "\x00\x00\x00\x01\x00\x00\x00\x01\x08\x02\x00\x00\x00")) + string(pngChunk("IEND", "")), photo.Damaged, "again"},
		{"PNG of no size", "\x89PNG\r\n\x1a\n" + string(pngChunk("IHDR", "\x00\x00\x00\x00\x00\x00\x00\x01\x08\x02\x00\x00\x00")) + string(pngChunk("IEND", "")), photo.Damaged, "again"},
		{"PNG with a wrong checksum", strings.Replace(string(encodePNG(t, quarters(8, 8))), "IDAT", "IDAT\x00", 1), photo.Damaged, "again"},
		{"WebP without a picture", "RIFF\x04\x00\x00\x00WEBP", photo.Damaged, "again"},
	} {
		_, err := photo.Accept(strings.NewReader(c.data), photo.Limits{})
		var refusal *photo.Refusal
		if !errors.As(err, &refusal) {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if refusal.Cause != c.cause || !strings.Contains(refusal.Text, c.says) || !strings.Contains(err.Error(), refusal.Text) {
			t.Errorf("%s: cause %d, %q", c.name, refusal.Cause, refusal.Text)
		}
	}
}

// Small files that would grow enormously, or take for ever, are refused before
// anything of their size is reserved.
func TestBombsAreRefused(t *testing.T) {
	whole := encodeJPEG(t, quarters(16, 16))
	sized := func(marker byte, w, h int) []byte { // a JPEG that claims another size
		at := bytes.Index(whole, []byte{0xff, 0xc0})
		out := bytes.Clone(whole)
		out[at+1] = marker
		binary.BigEndian.PutUint16(out[at+5:], uint16(h))
		binary.BigEndian.PutUint16(out[at+7:], uint16(w))
		return out
	}
	scan := whole[bytes.Index(whole, []byte{0xff, 0xda}) : len(whole)-2]
	layered := append(append(bytes.Clone(whole[:len(whole)-2]), bytes.Repeat(scan, 64)...), 0xff, 0xd9)
	png := func(w, h uint32, depth byte) []byte {
		head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
		head = append(head, depth, 6, 0, 0, 1)
		return []byte("\x89PNG\r\n\x1a\n" + string(pngChunk("IHDR", string(head))) + string(pngChunk("IDAT", "\x78\x9c")) + string(pngChunk("IEND", "")))
	}
	for _, c := range []struct {
		name string
		data []byte
		says string
	}{
		{"WebP of 268 megapixels in 36 bytes", solidWebP(16384, 16384, color.NRGBA(red)), "269 megapixels"},
		{"JPEG of 4295 megapixels", sized(0xc0, 65535, 65535), "65535 × 65535"},
		{"long JPEG", sized(0xc0, 20001, 1), "20001 × 1"},
		{"progressive JPEG of 50 megapixels", sized(0xc2, 10000, 5000), "memory"},
		{"JPEG of 65 layers", layered, "layers"},
		{"PNG as long as can be", png(1<<20, 1<<20, 8), "a side may have"},
		{"PNG of 16 bits that is woven", png(7000, 7000, 16), "memory"},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := photo.Accept(bytes.NewReader(c.data), photo.Limits{})
		runtime.ReadMemStats(&after)
		var refusal *photo.Refusal
		if !errors.As(err, &refusal) || refusal.Cause != photo.TooLarge || !strings.Contains(refusal.Text, c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
		// The files have at most some tens of kilobytes.
		if used := after.TotalAlloc - before.TotalAlloc; used > 2<<20 {
			t.Errorf("%s: refusing it took %d bytes", c.name, used)
		}
	}
}

func TestLimitsAreThoseOfTheCaller(t *testing.T) {
	data := encodeJPEG(t, quarters(96, 64))
	size := int64(len(data))
	for _, c := range []struct {
		name   string
		limits photo.Limits
		fits   bool
	}{
		{"just enough bytes", photo.Limits{Bytes: size}, true},
		{"one byte too few", photo.Limits{Bytes: size - 1}, false},
		{"just enough pixels", photo.Limits{Pixels: 96 * 64}, true},
		{"one pixel too few", photo.Limits{Pixels: 96*64 - 1}, false},
		{"just long enough", photo.Limits{Side: 96}, true},
		{"one too long", photo.Limits{Side: 95}, false},
		{"just enough memory", photo.Limits{MemoryBytes: 96 * 64 * 3}, true},
		{"one byte of memory too few", photo.Limits{MemoryBytes: 96*64*3 - 1}, false},
	} {
		_, err := photo.Accept(bytes.NewReader(data), c.limits)
		var refusal *photo.Refusal
		if c.fits && err != nil || !c.fits && (!errors.As(err, &refusal) || refusal.Cause != photo.TooLarge) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestABrokenLineIsNoRefusal(t *testing.T) {
	broken := errors.New("the line broke")
	r := io.MultiReader(bytes.NewReader(encodeJPEG(t, quarters(16, 16))), iotest.ErrReader(broken))
	_, err := photo.Accept(r, photo.Limits{})
	var refusal *photo.Refusal
	if !errors.Is(err, broken) || errors.As(err, &refusal) {
		t.Errorf("a broken line gives %v", err)
	}
}

// A picture that did not arrive whole is never taken for a whole one, and
// nothing panics wherever it ends.
func TestEveryPieceOfAPictureIsRefused(t *testing.T) {
	record := phoneRecord(binary.BigEndian, 6, "2026:05:01 10:11:12", "+10:00")
	for name, data := range map[string][]byte{
		"JPEG": phoneJPEG(encodeJPEG(t, quarters(24, 16)), record),
		"PNG":  phonePNG(encodePNG(t, quarters(24, 16)), record),
		"WebP": read(t, "testdata/bench/lossy.webp"),
	} {
		// What follows the picture may be missing.
		end := map[string]int{
			"JPEG": bytes.Index(data, []byte("\xff\xd9\x00\x00\x00\x18ftyp")) + 2,
			"PNG":  bytes.Index(data, []byte("secret tail")),
			"WebP": bytes.Index(data, []byte("EXIF")),
		}[name]
		for n := range end {
			if _, err := photo.Accept(bytes.NewReader(data[:n]), photo.Limits{}); err == nil {
				t.Errorf("the first %d of %d bytes of a %s are accepted", n, len(data), name)
			}
		}
		if _, err := photo.Accept(bytes.NewReader(data[:end]), photo.Limits{}); err != nil {
			t.Errorf("%s without its tail: %v", name, err)
		}
	}
}

func TestSizesOfTheCopies(t *testing.T) {
	for _, c := range []struct{ w, h, viewW, viewH, thumbW, thumbH int }{
		{1, 1, 1, 1, 1, 1},
		{480, 320, 480, 320, 480, 320},
		{2048, 1536, 2048, 1536, 480, 360},
		{2049, 100, 2048, 100, 480, 23},
		{3000, 4000, 1536, 2048, 360, 480},
		{20000, 1, 2048, 1, 480, 1},
		{3, 12000, 1, 2048, 1, 480},
	} {
		p := accept(t, encodeJPEG(t, image.NewGray(image.Rect(0, 0, c.w, c.h))))
		if p.View.Width != c.viewW || p.View.Height != c.viewH || p.Thumbnail.Width != c.thumbW || p.Thumbnail.Height != c.thumbH {
			t.Errorf("%d × %d becomes %d × %d and %d × %d", c.w, c.h, p.View.Width, p.View.Height, p.Thumbnail.Width, p.Thumbnail.Height)
		}
	}
}

func TestDateTaken(t *testing.T) {
	plain := encodeJPEG(t, quarters(16, 16))
	for _, c := range []struct{ date, offset, want string }{
		{"2026:03:14 09:26:53", "+11:00", "2026-03-14T09:26:53+11:00"},
		{"2026:03:14 09:26:53", "", "2026-03-14T09:26:53"},
		{"0000:00:00 00:00:00", "", "2026-05-01T10:11:12"}, // of the last change
		{"", "", "2026-05-01T10:11:12"},
	} {
		p := accept(t, phoneJPEG(plain, phoneRecord(binary.LittleEndian, 1, c.date, c.offset)))
		if got := p.Taken.String(); got != c.want {
			t.Errorf("%q %q: taken %q, want %q", c.date, c.offset, got, c.want)
		}
	}
	if p := accept(t, plain); !p.Taken.IsZero() {
		t.Errorf("a picture without a record was taken %v", p.Taken)
	}
}

func TestKeptWebPStillOpens(t *testing.T) {
	p := accept(t, read(t, "testdata/bench/lossy.webp"))
	if _, err := webp.Decode(bytes.NewReader(p.Original.Bytes)); err != nil {
		t.Error(err)
	}
}

// sameFiles reports whether two pictures are kept as the same bytes.
func sameFiles(a, b *photo.Picture) bool {
	return bytes.Equal(a.View.Bytes, b.View.Bytes) && bytes.Equal(a.Thumbnail.Bytes, b.Thumbnail.Bytes) &&
		bytes.Equal(a.Original.Bytes, b.Original.Bytes)
}
