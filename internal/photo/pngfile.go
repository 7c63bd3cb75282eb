package photo

import (
	"encoding/binary"
	"errors"
	"hash/crc32"
)

// cleanPNG copies the chunks that make up the picture and its colours, and
// drops texts, dates, all private chunks and what follows the end. Of a moving
// picture its first frame stays.
func cleanPNG(data []byte) (cleaned, error) {
	c := cleaned{exif: exif{orientation: upright}}
	const frame = 12 // length, name and checksum around the body of a chunk
	var head, rest []byte
	var seenExif, ended bool
	for at := len(pngSignature); !ended; {
		if len(data)-at < frame {
			return c, damaged(errEndsEarly)
		}
		length := int64(binary.BigEndian.Uint32(data[at:]))
		if length > int64(len(data)-at-frame) {
			return c, damaged(errEndsEarly)
		}
		end := at + frame + int(length)
		name, body, chunk := string(data[at+4:at+8]), data[at+8:end-4], data[at:end]
		at = end

		if head == nil {
			if name != "IHDR" || len(body) != 13 {
				return c, damaged(errors.New("a PNG begins with its size"))
			}
			head = chunk
			continue
		}
		switch name {
		case "IEND":
			ended = true
			rest = append(rest, chunk...)
		case "PLTE", "IDAT", "tRNS", "gAMA", "cHRM", "sRGB", "iCCP":
			rest = append(rest, chunk...)
		case "eXIf":
			if !seenExif {
				seenExif = true
				c.exif = readExif(body)
			}
		}
	}

	c.data = append([]byte(pngSignature), head...)
	if record := c.exif.record(); record != nil {
		c.data = append(c.data, pngChunk("eXIf", record)...)
	}
	c.data = append(c.data, rest...)
	c.bytesPerPixel = 4
	if depth := head[8+8]; depth == 16 {
		c.bytesPerPixel = 8
	}
	// The seven passes of an interlaced picture are opened apart and merged.
	if interlaced := head[8+12] != 0; interlaced {
		c.bytesPerPixel *= 2
	}
	return c, nil
}

func pngChunk(name string, body []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	out = append(append(out, name...), body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}
