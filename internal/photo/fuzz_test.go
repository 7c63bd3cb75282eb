package photo_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image/color"
	"image/jpeg"
	"testing"

	"velamen/internal/photo"
)

// Whatever arrives is refused with a reason or becomes copies that open, are
// not larger than asked, and of which the original gives the same copies again.
func FuzzAccept(f *testing.F) {
	m := quarters(24, 16)
	record := phoneRecord(binary.BigEndian, 6, "2026:05:01 10:11:12", "+10:00")
	plainJPEG, plainPNG := encodeJPEG(f, m), encodePNG(f, m)
	for _, seed := range [][]byte{
		nil, plainJPEG, plainPNG, phoneJPEG(plainJPEG, record), phonePNG(plainPNG, record), phoneWebP(record),
		solidWebP(5, 3, color.NRGBA(red)), solidWebP(16384, 16384, color.NRGBA(red)),
		[]byte("\x00\x00\x00\x18ftypheic"), []byte("GIF89a"),
		read(f, "testdata/bench/progressive.jpg"), read(f, "testdata/bench/plain.png"), read(f, "testdata/bench/lossy.webp"),
	} {
		f.Add(seed)
	}
	limits := photo.Limits{Bytes: 1 << 16, Pixels: 1 << 16, Side: 4096, MemoryBytes: 1 << 20}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := photo.Accept(bytes.NewReader(data), limits)
		if err != nil {
			var refusal *photo.Refusal
			if !errors.As(err, &refusal) || refusal.Text == "" || refusal.Cause == 0 {
				t.Fatalf("refused without a reason: %v", err)
			}
			return
		}
		for _, one := range []photo.Print{p.View, p.Thumbnail} {
			config, err := jpeg.DecodeConfig(bytes.NewReader(one.Bytes))
			if err != nil || config.Width != one.Width || config.Height != one.Height {
				t.Fatalf("a copy of %d × %d px is %d × %d (%v)", one.Width, one.Height, config.Width, config.Height, err)
			}
		}
		if max(p.View.Width, p.View.Height) > photo.ViewPixels || max(p.Thumbnail.Width, p.Thumbnail.Height) > photo.ThumbnailPixels ||
			p.View.Width > p.Original.Width || p.View.Height > p.Original.Height {
			t.Fatalf("sizes %d × %d, %d × %d", p.View.Width, p.View.Height, p.Thumbnail.Width, p.Thumbnail.Height)
		}
		// The rebuilt record may be longer than what it replaces, by no more than
		// its own length.
		if len(p.Original.Bytes) > len(data)+256 {
			t.Fatalf("%d bytes grew to %d", len(data), len(p.Original.Bytes))
		}
		again, err := photo.Accept(bytes.NewReader(p.Original.Bytes), photo.Limits{})
		if err != nil {
			t.Fatalf("the kept original is refused: %v", err)
		}
		if !sameFiles(again, p) {
			t.Fatal("the kept original gives other copies")
		}
		if !again.Taken.At.Equal(p.Taken.At) || again.Taken.Zoned != p.Taken.Zoned {
			t.Fatalf("taken %v, then %v", p.Taken, again.Taken)
		}
	})
}
