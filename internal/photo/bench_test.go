package photo_test

import (
	"bytes"
	"image"
	"math/rand/v2"
	"testing"

	"velamen/internal/photo"
)

// twelveMegapixels draws something as busy as a bench: leaves, and the grain
// of a phone's sensor.
func twelveMegapixels(b *testing.B) []byte {
	b.Helper()
	random := rand.New(rand.NewPCG(5, 6))
	m := image.NewYCbCr(image.Rect(0, 0, 4000, 3000), image.YCbCrSubsampleRatio420)
	for y := range 3000 {
		for x := range 4000 {
			m.Y[y*m.YStride+x] = uint8(60 + (x/37^y/53)%120 + random.IntN(12))
		}
	}
	for i := range m.Cb {
		m.Cb[i], m.Cr[i] = uint8(110+i%997/100), uint8(120+i%631/100)
	}
	return encodeJPEG(b, m)
}

func BenchmarkAccept12MP(b *testing.B) {
	data := twelveMegapixels(b)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := photo.Accept(bytes.NewReader(data), photo.Limits{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLength(b *testing.B) {
	m := flat()
	m.Root = []photo.Point{{X: 300, Y: 300}, {X: 500, Y: 320}, {X: 640, Y: 470}, {X: 610, Y: 700}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Length(); err != nil {
			b.Fatal(err)
		}
	}
}
