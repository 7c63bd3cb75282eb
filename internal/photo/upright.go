package photo

import "image"

// orientation is how a stored picture has to be turned or mirrored to stand
// upright, 1 to 8. Exif tells it by the side of the scene that the first stored
// row and the first stored column show:
//
//	    first row   first column
//	1   top         left
//	2   top         right
//	3   bottom      right
//	4   bottom      left
//	5   left        top
//	6   right       top
//	7   right       bottom
//	8   left        bottom       jpegexiforient(1), G. Vollbeding
type orientation uint8

const upright orientation = 1

// swapsSides reports whether stored rows are columns of the scene.
func (o orientation) swapsSides() bool { return o >= 5 }

// size returns the size of the upright picture.
func (o orientation) size(width, height int) (int, int) {
	if o.swapsSides() {
		return height, width
	}
	return width, height
}

// apply returns the picture upright.
func (o orientation) apply(stored *image.RGBA) *image.RGBA {
	if o == upright {
		return stored
	}
	width, height := o.size(stored.Rect.Dx(), stored.Rect.Dy())
	out := image.NewRGBA(image.Rect(0, 0, width, height))
	fromRight := o == 2 || o == 3 || o == 6 || o == 7
	fromBottom := o == 3 || o == 4 || o == 7 || o == 8
	for y := range height {
		down := y
		if fromBottom {
			down = height - 1 - y
		}
		for x := range width {
			across := x
			if fromRight {
				across = width - 1 - x
			}
			from := stored.Stride*down + 4*across
			if o.swapsSides() {
				from = stored.Stride*across + 4*down
			}
			to := out.Stride*y + 4*x
			copy(out.Pix[to:to+4], stored.Pix[from:from+4])
		}
	}
	return out
}
