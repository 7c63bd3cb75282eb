package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// Markers of a JPEG file, ITU-T T.81, table B.1 (from memory).
const (
	markerSOF0  = 0xc0 // baseline
	markerSOF1  = 0xc1 // extended
	markerSOF2  = 0xc2 // progressive
	markerDHT   = 0xc4
	markerRST0  = 0xd0
	markerRST7  = 0xd7
	markerSOI   = 0xd8
	markerEOI   = 0xd9
	markerSOS   = 0xda
	markerDQT   = 0xdb
	markerDRI   = 0xdd
	markerAPP0  = 0xe0
	markerAPP1  = 0xe1
	markerAPP2  = 0xe2
	markerAPP14 = 0xee
	markerAPP15 = 0xef
	markerCOM   = 0xfe
)

// adobeNote is the length of the note that begins with "Adobe".
const adobeNote = 12

var errEndsEarly = errors.New("the file ends early")

// cleanJPEG copies the segments that make up the picture, untouched, and of the
// others only what is needed to show it right: the colour profile and two short
// notes on the meaning of the colours. Everything else goes, known or not: Exif
// with position, serial numbers and the small picture inside it, XMP, captions,
// comments, and whatever follows the end, where phones put films and second
// pictures with positions of their own.
func cleanJPEG(data []byte) (cleaned, error) {
	c := cleaned{exif: exif{orientation: upright}}
	var (
		rest                    = make([]byte, 0, len(data)) // what follows the start and the Exif record
		seenExif, ended         bool
		frames, scans           int
		components, progressive int64
	)
	for at := 2; !ended; {
		// Bytes that are no marker are passed over, as the decoder does.
		if at+2 > len(data) {
			return c, damaged(errEndsEarly)
		}
		marker := data[at+1]
		if data[at] != 0xff || marker == 0 || marker == 0xff {
			at++
			continue
		}
		at += 2
		if marker == markerEOI {
			ended = true
			continue
		}
		if marker >= markerRST0 && marker <= markerRST7 {
			continue
		}
		if at+2 > len(data) {
			return c, damaged(errEndsEarly)
		}
		length := int(binary.BigEndian.Uint16(data[at:]))
		if length < 2 || at+length > len(data) {
			return c, damaged(errEndsEarly)
		}
		segment, body := data[at-2:at+length], data[at+2:at+length]
		at += length

		switch marker {
		case markerSOF0, markerSOF1, markerSOF2:
			if frames++; frames > 1 || len(body) < 6 {
				return c, damaged(errors.New("the size of the picture is not given once"))
			}
			components = int64(body[5])
			if marker == markerSOF2 {
				progressive = 1
			}
			rest = append(rest, segment...)
		case markerDHT, markerDQT, markerDRI:
			rest = append(rest, segment...)
		case markerSOS:
			if scans++; scans > mostScans {
				return c, refuse(TooLarge, "The picture is stored in more than %d layers, which would take too long to open. Save it as an ordinary JPEG and send that.", mostScans)
			}
			end := scanEnd(data, at)
			rest = append(append(rest, segment...), data[at:end]...)
			at = end
		case markerAPP0:
			rest = append(rest, jfif(body)...)
		case markerAPP1:
			if record, ok := bytes.CutPrefix(body, []byte("Exif\x00\x00")); ok && !seenExif {
				seenExif = true
				c.exif = readExif(record)
			}
		case markerAPP2:
			if bytes.HasPrefix(body, []byte("ICC_PROFILE\x00")) {
				rest = append(rest, segment...)
			}
		case markerAPP14:
			// It tells whether colours are RGB or CMYK.
			if len(body) >= adobeNote && bytes.HasPrefix(body, []byte("Adobe")) {
				rest = append(rest, jpegSegment(markerAPP14, body[:adobeNote])...)
			}
		default:
			if marker != markerCOM && (marker < markerAPP0 || marker > markerAPP15) {
				return c, damaged(fmt.Errorf("unknown JPEG marker %#x", marker))
			}
		}
	}

	c.data = append(c.data, 0xff, markerSOI)
	if record := c.exif.record(); record != nil {
		c.data = append(c.data, jpegSegment(markerAPP1, append([]byte("Exif\x00\x00"), record...))...)
	}
	c.data = append(append(c.data, rest...), 0xff, markerEOI)
	// A progressive picture is gathered as numbers of four bytes each.
	c.bytesPerPixel = components * (1 + 4*progressive)
	return c, nil
}

// scanEnd returns where the coded data that begins at a position end: at the
// next marker that is not one of the restart markers inside them.
func scanEnd(data []byte, at int) int {
	for at+1 < len(data) {
		i := bytes.IndexByte(data[at:len(data)-1], 0xff)
		if i < 0 {
			break
		}
		at += i
		switch next := data[at+1]; {
		case next == 0xff:
			at++
		case next == 0 || next >= markerRST0 && next <= markerRST7:
			at += 2
		default:
			return at
		}
	}
	return len(data)
}

// jfif returns the fixed part of a JFIF note, without the small picture that
// may follow it.
func jfif(body []byte) []byte {
	const fixed = 14
	if !bytes.HasPrefix(body, []byte("JFIF\x00")) {
		return nil
	}
	note := make([]byte, fixed)
	copy(note, body[:min(len(body), fixed-2)])
	return jpegSegment(markerAPP0, note)
}

func jpegSegment(marker byte, body []byte) []byte {
	out := binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(body)+2))
	return append(out, body...)
}
