package photo

import (
	"bytes"
	"encoding/binary"
)

// Flags of the first chunk of an extended WebP file, RFC 9649, section 2.7
// (from memory).
const (
	webpAnimated = 1 << 1
	webpExif     = 1 << 3
	webpAlpha    = 1 << 4
	webpProfile  = 1 << 5
)

// cleanWebP copies the chunks that make up the picture and its colours, and
// drops all others and what follows the end.
func cleanWebP(data []byte) (cleaned, error) {
	c := cleaned{exif: exif{orientation: upright}, bytesPerPixel: 8}
	moving := refuse(WrongKind, "This is a moving WebP picture. Send a photograph, as JPEG.")
	// Size of a RIFF file: of all that follows the first eight bytes.
	end := min(int64(len(data)), 8+int64(binary.LittleEndian.Uint32(data[4:8])))
	var extended, rest []byte
	var seenExif bool
	for at := int64(12); end-at >= 8; {
		name := string(data[at : at+4])
		length := int64(binary.LittleEndian.Uint32(data[at+4:]))
		if length > end-at-8 {
			return c, damaged(errEndsEarly)
		}
		body := data[at+8 : at+8+length]
		at += 8 + length + length%2

		switch name {
		case "VP8X":
			if extended == nil && len(body) >= 10 {
				extended = bytes.Clone(body[:10])
				if extended[0]&webpAnimated != 0 {
					return c, moving
				}
			}
		case "ANIM", "ANMF":
			return c, moving
		case "VP8 ", "VP8L", "ALPH", "ICCP":
			rest = append(rest, riffChunk(name, body)...)
		case "EXIF":
			if !seenExif {
				seenExif = true
				// Some programs keep the heading that only JPEG needs.
				c.exif = readExif(bytes.TrimPrefix(body, []byte("Exif\x00\x00")))
			}
		}
	}

	content := []byte("WEBP")
	if extended == nil {
		// A simple file has no room for a record.
		c.exif = exif{orientation: upright}
		content = append(content, rest...)
	} else {
		extended[0] &= webpAlpha | webpProfile
		record := c.exif.record()
		if record != nil {
			extended[0] |= webpExif
		}
		content = append(append(content, riffChunk("VP8X", extended)...), rest...)
		if record != nil {
			content = append(content, riffChunk("EXIF", record)...)
		}
	}
	c.data = riffChunk("RIFF", content)
	return c, nil
}

func riffChunk(name string, body []byte) []byte {
	out := binary.LittleEndian.AppendUint32([]byte(name), uint32(len(body)))
	out = append(out, body...)
	if len(body)%2 == 1 {
		out = append(out, 0)
	}
	return out
}
