package photo

import (
	"fmt"
	"io"
)

// The usual limits. Phones of today send 2 to 15 MB and 12 to 50 megapixels.
const (
	UsualBytes       = 25 << 20
	UsualPixels      = 60_000_000
	UsualSide        = 20_000
	UsualMemoryBytes = 512 << 20

	// mostScans is how many scans one JPEG may have. Each scan makes the decoder
	// visit the whole picture, however few bytes it takes, so that a small file
	// of many scans could keep it busy for hours. Progressive files have about ten.
	mostScans = 64
)

// Limits bound what is accepted. A zero field stands for the usual limit.
type Limits struct {
	Bytes  int64 // size of the file
	Pixels int64 // width times height
	Side   int   // longer side, px
	// MemoryBytes is what the decoder may need for the picture. It refuses the
	// largest pictures in the kinds that take most room for each pixel.
	MemoryBytes int64
}

func (l Limits) filled() Limits {
	if l.Bytes == 0 {
		l.Bytes = UsualBytes
	}
	if l.Pixels == 0 {
		l.Pixels = UsualPixels
	}
	if l.Side == 0 {
		l.Side = UsualSide
	}
	if l.MemoryBytes == 0 {
		l.MemoryBytes = UsualMemoryBytes
	}
	return l
}

// read returns everything r has to give, or refuses it.
func (l Limits) read(r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, l.Bytes+1))
	if err != nil {
		return nil, fmt.Errorf("reading the picture: %w", err)
	}
	if int64(len(data)) > l.Bytes {
		return nil, refuse(TooLarge, "The file is larger than %s. Send a smaller copy of the picture.", megabytes(l.Bytes))
	}
	return data, nil
}

// check refuses a picture by the size it claims to have.
func (l Limits) check(width, height int, bytesPerPixel int64) error {
	if width <= 0 || height <= 0 {
		return refuse(Damaged, "The file says that the picture has no size. Send it again.")
	}
	// Sides are at most 2³¹, so that their product fits.
	pixels := int64(width) * int64(height)
	switch {
	case max(width, height) > l.Side:
		return refuse(TooLarge, "The picture is %d × %d pixels; a side may have at most %d. Send a smaller copy.", width, height, l.Side)
	case pixels > l.Pixels:
		return refuse(TooLarge, "The picture has %d megapixels; at most %d can be opened. Send a smaller copy.", (pixels+999_999)/1_000_000, l.Pixels/1_000_000)
	case pixels*bytesPerPixel > l.MemoryBytes:
		return refuse(TooLarge, "Opening this picture would take %s of memory; at most %s are allowed. Send a smaller copy, or an ordinary JPEG.",
			megabytes(pixels*bytesPerPixel), megabytes(l.MemoryBytes))
	}
	return nil
}

func megabytes(n int64) string {
	if n < 1<<20 {
		return fmt.Sprintf("%d bytes", n)
	}
	return fmt.Sprintf("%d MB", n>>20)
}
