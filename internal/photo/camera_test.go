package photo_test

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"
)

// This file plays the camera: it writes pictures as phones write them, with
// all that they note. It shares no code with the package.

type byteOrder interface {
	binary.ByteOrder
	binary.AppendByteOrder
}

type tag struct {
	id, kind uint16
	count    uint32
	data     []byte // longer than four bytes: stored after the directory
}

func ascii(id uint16, s string) tag {
	return tag{id, 2, uint32(len(s) + 1), append([]byte(s), 0)}
}

func short(o byteOrder, id, v uint16) tag { return tag{id, 3, 1, o.AppendUint16(nil, v)} }

func degrees(o byteOrder, id uint16, d, m, hundredths uint32) tag {
	var b []byte
	for _, v := range []uint32{d, 1, m, 1, hundredths, 100} {
		b = o.AppendUint32(b, v)
	}
	return tag{id, 5, 3, b}
}

// tiffFile lays out directories one after the other. The first gets pointers
// to the second (0x8769) and the third (0x8825), and is followed by the fourth.
func tiffFile(o byteOrder, directories [4][]tag) []byte {
	size := func(tags []tag) int {
		n := 2 + 12*len(tags) + 4
		for _, t := range tags {
			if len(t.data) > 4 {
				n += len(t.data) + len(t.data)%2
			}
		}
		return n
	}
	directories[0] = append(directories[0], tag{0x8769, 4, 1, make([]byte, 4)}, tag{0x8825, 4, 1, make([]byte, 4)})
	var starts [4]int
	for i, at := 0, 8; i < 4; i++ {
		starts[i] = at
		at += size(directories[i])
	}
	first := directories[0]
	first[len(first)-2].data = o.AppendUint32(nil, uint32(starts[1]))
	first[len(first)-1].data = o.AppendUint32(nil, uint32(starts[2]))

	out := []byte("II*\x00")
	if o.Uint16([]byte{0, 1}) == 1 {
		out = []byte("MM\x00*")
	}
	out = o.AppendUint32(out, uint32(starts[0]))
	for i, tags := range directories {
		out = o.AppendUint16(out, uint16(len(tags)))
		after := starts[i] + 2 + 12*len(tags) + 4
		var long []byte
		for _, t := range tags {
			out = o.AppendUint16(o.AppendUint16(out, t.id), t.kind)
			out = o.AppendUint32(out, t.count)
			if len(t.data) > 4 {
				out = o.AppendUint32(out, uint32(after+len(long)))
				long = append(long, t.data...)
				if len(long)%2 == 1 {
					long = append(long, 0)
				}
				continue
			}
			out = append(out, append(t.data, make([]byte, 4-len(t.data))...)...)
		}
		next := uint32(0)
		if i == 0 {
			next = uint32(starts[3])
		}
		out = append(o.AppendUint32(out, next), long...)
	}
	return out
}

// phoneRecord is the Exif record of a talkative phone.
func phoneRecord(o byteOrder, orientation uint16, date, offset string) []byte {
	dates := []tag{}
	if date != "" {
		dates = append(dates, ascii(0x9003, date))
	}
	if offset != "" {
		dates = append(dates, ascii(0x9011, offset))
	}
	return tiffFile(o, [4][]tag{
		{
			ascii(0x010f, "SecretMake"), ascii(0x0110, "SecretModel"), short(o, 0x0112, orientation),
			ascii(0x0132, "2026:05:01 10:11:12"), ascii(0x013b, "Secret Owner"),
		},
		append(dates,
			tag{0x927c, 7, 24, []byte("MakerNote SN-4711-SECRET")}, tag{0x9286, 7, 22, []byte("ASCII\x00\x00\x00secret garden!")},
			ascii(0xa430, "Secret Owner"), ascii(0xa431, "SN-4711-SECRET"), ascii(0xa435, "LSN-0815-SECRET")),
		{
			ascii(0x0001, "S"), degrees(o, 0x0002, 37, 48, 4896), ascii(0x0003, "E"), degrees(o, 0x0004, 144, 57, 4716),
			ascii(0x001d, "2026:05:01"),
		},
		{short(o, 0x0103, 6), ascii(0x010e, "secret small picture")},
	})
}

// gpsBytes are the latitude as the phone writes it.
func gpsBytes(o byteOrder) []byte { return degrees(o, 2, 37, 48, 4896).data }

func jpegSegment(marker byte, body string) []byte {
	out := []byte{0xff, marker, byte((len(body) + 2) >> 8), byte(len(body) + 2)}
	return append(out, body...)
}

// phoneJPEG wraps a picture as phones do.
func phoneJPEG(plain, record []byte) []byte {
	o := binary.LittleEndian
	out := append([]byte{}, plain[:2]...)
	out = append(out, jpegSegment(0xe1, "Exif\x00\x00"+string(record))...)
	out = append(out, jpegSegment(0xe1, "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta exif:GPSLatitude='37,48.816S' creator='Secret Owner'/>")...)
	out = append(out, jpegSegment(0xe2, "ICC_PROFILE\x00\x01\x01a profile of colours")...)
	out = append(out, jpegSegment(0xe2, "MPF\x00secret second picture")...)
	out = append(out, jpegSegment(0xe0, "JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x01\x02"+"secret")...)
	out = append(out, jpegSegment(0xeb, "JP\x00\x00secret content credentials")...)
	out = append(out, jpegSegment(0xed, "Photoshop 3.0\x008BIMSecretville")...)
	out = append(out, jpegSegment(0xfe, "secret comment "+string(gpsBytes(o)))...)
	out = append(out, plain[2:]...)
	// A film and a second picture behind the end, with positions of their own.
	out = append(out, "\x00\x00\x00\x18ftypmp42 \xa9xyz+37.8136+144.9631/ secret film"...)
	return append(append(out, plain[:2]...), jpegSegment(0xe1, "Exif\x00\x00"+string(record))...)
}

func pngChunk(name, body string) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	out = append(out, name+body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}

// phonePNG puts chunks behind the head of a PNG, and something behind its end.
func phonePNG(plain, record []byte) []byte {
	const head = 8 + 25
	out := append([]byte{}, plain[:head]...)
	out = append(out, pngChunk("tEXt", "Author\x00Secret Owner")...)
	out = append(out, pngChunk("eXIf", string(record))...)
	out = append(out, pngChunk("tIME", "\x07\xea\x05\x01\x0a\x0b\x0c")...)
	out = append(out, plain[head:]...)
	return append(out, "secret tail"...)
}

// solidWebP writes a lossless WebP of one colour: each of the five codes has
// one symbol, so that pixels take no bits at all and any size is a few bytes.
// VP8L: RFC 9649, section 3 (from memory).
func solidWebP(width, height int, c color.NRGBA) []byte {
	var out []byte
	var bits uint64
	var n int
	put := func(v uint64, count int) {
		bits |= v << n
		for n += count; n >= 8; n -= 8 {
			out = append(out, byte(bits))
			bits >>= 8
		}
	}
	put(0x2f, 8)
	put(uint64(width-1), 14)
	put(uint64(height-1), 14)
	put(1, 1) // alpha is used
	put(0, 3) // version
	put(0, 1) // no transform
	put(0, 1) // no colour cache
	put(0, 1) // one set of codes
	for _, symbol := range []uint8{c.G, c.R, c.B, c.A, 0} {
		put(1, 1) // simple code
		put(0, 1) // of one symbol
		put(1, 1) // in eight bits
		put(uint64(symbol), 8)
	}
	if n > 0 {
		out = append(out, byte(bits))
	}
	return riff("RIFF", "WEBP"+string(riff("VP8L", string(out))))
}

func riff(name, body string) []byte {
	out := binary.LittleEndian.AppendUint32([]byte(name), uint32(len(body)))
	out = append(out, body...)
	return append(out, make([]byte, len(body)%2)...)
}

// quarters draws a picture with a colour in each quarter.
func quarters(width, height int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			c := grey
			switch {
			case x < width/2 && y < height/2:
				c = red
			case y < height/2:
				c = green
			case x < width/2:
				c = blue
			}
			m.SetRGBA(x, y, c)
		}
	}
	return m
}

var (
	red   = color.RGBA{220, 30, 30, 255}
	green = color.RGBA{30, 200, 30, 255}
	blue  = color.RGBA{30, 30, 220, 255}
	grey  = color.RGBA{200, 200, 200, 255}
	white = color.RGBA{255, 255, 255, 255}
)

func encodeJPEG(tb testing.TB, m image.Image) []byte {
	tb.Helper()
	var out bytes.Buffer
	if err := jpeg.Encode(&out, m, &jpeg.Options{Quality: 95}); err != nil {
		tb.Fatal(err)
	}
	return out.Bytes()
}

func encodePNG(tb testing.TB, m image.Image) []byte {
	tb.Helper()
	var out bytes.Buffer
	if err := png.Encode(&out, m); err != nil {
		tb.Fatal(err)
	}
	return out.Bytes()
}
