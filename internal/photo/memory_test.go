package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"runtime"
	"testing"
)

// The limit on memory rests on how many bytes for each pixel a decoder is said
// to need at most.
func TestDecodersNeedNoMoreThanSaid(t *testing.T) {
	area := image.Rect(0, 0, 1024, 768)
	encoded := func(encode func(*bytes.Buffer) error) []byte {
		var out bytes.Buffer
		if err := encode(&out); err != nil {
			t.Fatal(err)
		}
		return out.Bytes()
	}
	asPNG := func(m image.Image) []byte {
		return encoded(func(out *bytes.Buffer) error { return png.Encode(out, m) })
	}
	asJPEG := func(m image.Image) []byte {
		return encoded(func(out *bytes.Buffer) error { return jpeg.Encode(out, m, nil) })
	}
	file := func(name string) []byte {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	half := image.NewNRGBA(area)
	half.Set(0, 0, color.NRGBA{1, 2, 3, 4})
	for name, data := range map[string][]byte{
		"JPEG":                  asJPEG(image.NewRGBA(area)),
		"grey JPEG":             asJPEG(image.NewGray(area)),
		"progressive JPEG":      file("testdata/bench/large-progressive.jpg"),
		"PNG":                   asPNG(image.NewRGBA(area)),
		"PNG with transparency": asPNG(half),
		"grey PNG":              asPNG(image.NewGray(area)),
		"PNG of 16 bits":        asPNG(image.NewRGBA64(area)),
		"woven PNG":             file("testdata/bench/large-woven.png"),
		"lossy WebP":            file("testdata/bench/large-lossy.webp"),
		"lossless WebP":         file("testdata/bench/large-lossless.webp"),
	} {
		k, err := recognise(data)
		if err != nil {
			t.Fatal(err)
		}
		c, err := k.clean(data)
		if err != nil {
			t.Fatal(err)
		}
		config, err := k.config(bytes.NewReader(c.data))
		if err != nil {
			t.Fatal(err)
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if _, err := open(k, c.data); err != nil {
			t.Fatal(err)
		}
		runtime.ReadMemStats(&after)
		// 256 kB are left to tables and buffers, which do not grow with a picture;
		// a fiftieth to rows and blocks that are not full.
		said := uint64(int64(config.Width*config.Height)*c.bytesPerPixel)*51/50 + 256<<10
		if used := after.TotalAlloc - before.TotalAlloc; used > said {
			t.Errorf("%s: %d bytes were used, %d said to be enough", name, used, said)
		}
	}
}
