package photo_test

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"slices"
	"testing"

	"golang.org/x/image/webp"

	"velamen/internal/photo"
)

// Nothing that a camera noted about place, owner or itself survives, in any
// copy; what the kept original shows is the same to the last pixel.
func TestNothingTellsWhereOrWhose(t *testing.T) {
	m := quarters(96, 64)
	secrets := [][]byte{[]byte("secret"), []byte("4711"), []byte("0815"), []byte("gps"), []byte("37.8"), []byte("37,48"), []byte("\xa9xyz"), []byte("mpf"), []byte("ftyp"), []byte("\x07\xea\x05\x01\x0a\x0b\x0c"),
		gpsBytes(binary.LittleEndian), gpsBytes(binary.BigEndian)}
	type sent struct {
		name string
		data []byte
		open func(io.Reader) (image.Image, error)
	}
	pictures := []sent{
		{"JPEG of other programs", read(t, "testdata/bench/progressive.jpg"), jpeg.Decode},
		{"PNG of other programs", read(t, "testdata/bench/plain.png"), png.Decode},
		{"WebP of other programs", read(t, "testdata/bench/lossy.webp"), webp.Decode},
	}
	for name, o := range map[string]byteOrder{"little": binary.LittleEndian, "big": binary.BigEndian} {
		record := phoneRecord(o, 6, "2026:05:01 10:11:12", "+10:00")
		pictures = append(pictures,
			sent{name + "-endian JPEG", phoneJPEG(encodeJPEG(t, m), record), jpeg.Decode},
			sent{name + "-endian PNG", phonePNG(encodePNG(t, m), record), png.Decode},
			sent{name + "-endian WebP", phoneWebP(record), webp.Decode})
	}
	for _, s := range pictures {
		t.Run(s.name, func(t *testing.T) {
			// The search must be able to find something.
			if !slices.ContainsFunc(secrets, func(secret []byte) bool { return bytes.Contains(bytes.ToLower(s.data), secret) }) {
				t.Fatal("there is nothing to remove")
			}
			p := accept(t, s.data)
			for _, one := range []photo.Print{p.View, p.Thumbnail, p.Original} {
				for _, secret := range secrets {
					if bytes.Contains(one.Bytes, secret) || bytes.Contains(bytes.ToLower(one.Bytes), secret) {
						t.Errorf("%d × %d px, %s: %q is still there", one.Width, one.Height, one.MediaType, secret)
					}
				}
			}
			// Every tag in every directory that the kept original has.
			tags := tagsIn(t, recordIn(p.Original.Bytes))
			allowed := []uint16{0x0112, 0x8769, 0x9003, 0x9011}
			if !slices.Equal(tags, allowed) {
				t.Errorf("the kept original has the tags %#x, want %#x", tags, allowed)
			}
			if tags := recordIn(p.View.Bytes); tags != nil {
				t.Error("the copy for viewing has a record")
			}

			before, err := s.open(bytes.NewReader(s.data))
			if err != nil {
				t.Fatal(err)
			}
			after, err := s.open(bytes.NewReader(p.Original.Bytes))
			if err != nil {
				t.Fatal(err)
			}
			if !samePixels(before, after) {
				t.Error("the kept original shows something else")
			}

			// What is kept is accepted again, and gives the same copies.
			again := accept(t, p.Original.Bytes)
			if !sameFiles(again, p) {
				t.Error("taking in the kept original gives other copies")
			}
			if !again.Taken.At.Equal(p.Taken.At) || again.Taken.Zoned != p.Taken.Zoned || p.Taken.IsZero() {
				t.Errorf("taken %v, then %v", p.Taken, again.Taken)
			}
		})
	}
}

func TestKeptJPEGHasItsColours(t *testing.T) {
	record := phoneRecord(binary.BigEndian, 1, "", "")
	p := accept(t, phoneJPEG(encodeJPEG(t, quarters(16, 16)), record))
	if !bytes.Contains(p.Original.Bytes, []byte("ICC_PROFILE\x00\x01\x01a profile of colours")) {
		t.Error("the colour profile is gone")
	}
}

// phoneWebP wraps the picture of another program's file anew.
func phoneWebP(record []byte) []byte {
	picture := solidWebP(96, 64, color.NRGBA{150, 90, 160, 255})
	return append(riff("RIFF", "WEBP"+
		string(riff("VP8X", "\x2c\x00\x00\x00\x5f\x00\x00\x3f\x00\x00"))+
		string(riff("ICCP", "a profile of colours"))+
		string(picture[12:])+
		string(riff("EXIF", string(record)))+
		string(riff("XMP ", "<x creator='Secret Owner'/>"))), "secret tail"...)
}

func samePixels(a, b image.Image) bool {
	if a.Bounds() != b.Bounds() {
		return false
	}
	for y := a.Bounds().Min.Y; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			if a.At(x, y) != b.At(x, y) {
				return false
			}
		}
	}
	return true
}

// recordIn finds the TIFF file in a picture by its first bytes.
func recordIn(picture []byte) []byte {
	for _, start := range []string{"MM\x00*", "II*\x00"} {
		if i := bytes.Index(picture, []byte(start)); i >= 0 {
			return picture[i:]
		}
	}
	return nil
}

// tagsIn lists the tags of all directories, with those that are pointed to.
func tagsIn(t *testing.T, record []byte) []uint16 {
	t.Helper()
	if record == nil {
		t.Fatal("the kept original has no record")
	}
	var o binary.ByteOrder = binary.BigEndian
	if record[0] == 'I' {
		o = binary.LittleEndian
	}
	var tags []uint16
	var walk func(at uint32)
	walk = func(at uint32) {
		for at != 0 {
			n := uint32(o.Uint16(record[at:]))
			for i := range n {
				entry := record[at+2+12*i:]
				id := o.Uint16(entry)
				tags = append(tags, id)
				if id == 0x8769 || id == 0x8825 || id == 0xa005 {
					walk(o.Uint32(entry[8:]))
				}
			}
			at = o.Uint32(record[at+2+12*n:])
		}
	}
	walk(o.Uint32(record[4:]))
	return tags
}
