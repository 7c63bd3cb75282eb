package photo

import (
	"image"

	"golang.org/x/image/draw"
)

// bandPixels is how many rows or columns are worked on at once.
const bandPixels = 64

// fit returns the size with the same proportions whose longer side is at most
// longest. It never enlarges.
func fit(width, height, longest int) (int, int) {
	long := max(width, height)
	if long <= longest {
		return width, height
	}
	scaled := func(side int) int {
		return max(1, (2*side*longest+long)/(2*long)) // rounded to the nearest
	}
	return scaled(width), scaled(height)
}

// shrink returns the picture on white paper, its longer side at most longest,
// resampled with the kernel of Catmull and Rom.
//
// The kernel works on rows and columns one after the other, so that the picture
// can be made narrower band by band and then lower strip by strip. Each band is
// resampled in one direction only, where the kernel leaves the other one exactly
// as it is. Done in one go, the resampler would keep 32 bytes for every row of
// the picture and column of the result: 200 MB for twelve megapixels.
func shrink(src image.Image, longest int) *image.RGBA {
	from := src.Bounds()
	width, height := from.Dx(), from.Dy()
	toWidth, toHeight := fit(width, height, longest)

	narrow := image.NewRGBA(image.Rect(0, 0, toWidth, height))
	band := image.NewRGBA(image.Rect(0, 0, width, min(bandPixels, height)))
	across := draw.CatmullRom.NewScaler(toWidth, band.Rect.Dy(), width, band.Rect.Dy())
	for top := 0; top < height; top += bandPixels {
		rows := image.Rect(0, 0, width, min(bandPixels, height-top))
		draw.Draw(band, rows, image.White, image.Point{}, draw.Src)
		draw.Draw(band, rows, src, from.Min.Add(image.Pt(0, top)), draw.Over)
		to := image.Rect(0, top, toWidth, top+rows.Dy())
		if toWidth == width {
			draw.Draw(narrow, to, band, image.Point{}, draw.Src)
		} else {
			across.Scale(narrow, to, band, rows, draw.Src, nil)
		}
	}
	if toHeight == height {
		return narrow
	}

	out := image.NewRGBA(image.Rect(0, 0, toWidth, toHeight))
	strip := min(bandPixels, toWidth)
	down := draw.CatmullRom.NewScaler(strip, toHeight, strip, height)
	for left := 0; left < toWidth; left += strip {
		right := min(left+strip, toWidth)
		down.Scale(out, image.Rect(left, 0, right, toHeight), narrow, image.Rect(left, 0, right, height), draw.Src, nil)
	}
	return out
}
