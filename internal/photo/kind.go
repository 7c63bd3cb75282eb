package photo

import (
	"bytes"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"strings"

	"golang.org/x/image/webp"
)

// kind is one kind of picture that can be opened.
type kind struct {
	mediaType string
	clean     func(data []byte) (cleaned, error)
	config    func(io.Reader) (image.Config, error)
	open      func(io.Reader) (image.Image, error)
}

// cleaned is a file without anything but the picture, its orientation and its
// date.
type cleaned struct {
	data []byte
	exif exif
	// bytesPerPixel is an upper bound of what the decoder needs.
	bytesPerPixel int64
}

const pngSignature = "\x89PNG\r\n\x1a\n"

// recognise tells the kind of a file from its first bytes; what a name or a
// sender says of it does not count.
func recognise(data []byte) (kind, error) {
	begins := func(prefix string) bool { return bytes.HasPrefix(data, []byte(prefix)) }
	has := func(at int, s string) bool { return len(data) >= at && bytes.HasPrefix(data[at:], []byte(s)) }
	switch {
	case begins("\xff\xd8\xff"):
		return kind{"image/jpeg", cleanJPEG, jpeg.DecodeConfig, jpeg.Decode}, nil
	case begins(pngSignature):
		return kind{"image/png", cleanPNG, png.DecodeConfig, png.Decode}, nil
	case begins("RIFF") && has(8, "WEBP"):
		return kind{"image/webp", cleanWebP, webp.DecodeConfig, webp.Decode}, nil

	case len(data) == 0:
		return kind{}, refuse(NotAPicture, "The file is empty. Choose a picture and send it again.")
	case has(4, "ftyp"):
		return kind{}, boxed(data)
	case begins("GIF8"):
		return kind{}, refuse(WrongKind, "This is a GIF, which has too few colours for a photograph. Send it as JPEG or PNG.")
	case begins("II*\x00") || begins("MM\x00*") || begins("II+\x00") || begins("MM\x00+") || begins("FUJIFILM") || begins("IIRO") || begins("IIU\x00"):
		return kind{}, refuse(WrongKind, "This is a TIFF or a camera's raw picture. Save it as JPEG and send that.")
	case begins("\xff\x0a") || begins("\x00\x00\x00\x0cJXL "):
		return kind{}, refuse(WrongKind, "This is a JPEG XL picture, which cannot be opened here. Save it as ordinary JPEG and send that.")
	case begins("BM"):
		return kind{}, refuse(WrongKind, "This looks like a BMP picture. Save it as JPEG or PNG and send that.")
	case begins("%PDF"):
		return kind{}, refuse(NotAPicture, "This is a PDF. Send the photograph itself, as JPEG.")
	}
	return kind{}, refuse(NotAPicture, "This is not a picture that can be opened here. Send a photograph as JPEG, PNG or WebP.")
}

// heicText was checked against published guides for the iPhone (Settings,
// Camera, Formats, Most Compatible); the way of other phones is from memory.
const heicText = "This is a HEIC picture, which cannot be opened here. Let the phone make JPEG: " +
	"on an iPhone or iPad choose Settings, Camera, Formats, Most Compatible; " +
	"on other phones turn off high-efficiency pictures (HEIF) in the settings of the camera. " +
	"To send this one, save or export it as JPEG first, or take a screenshot of it."

// boxed refuses a file of the family to which HEIC, AVIF and films belong, by
// the brand it names.
func boxed(data []byte) *Refusal {
	brand := string(data[8:min(12, len(data))])
	switch {
	case strings.HasPrefix(brand, "he") || brand == "mif1" || brand == "msf1":
		return refuse(WrongKind, "%s", heicText)
	case strings.HasPrefix(brand, "avi"):
		return refuse(WrongKind, "This is an AVIF picture, which cannot be opened here. Save it as JPEG and send that.")
	}
	return refuse(NotAPicture, "This is a film. Send a photograph, as JPEG.")
}
