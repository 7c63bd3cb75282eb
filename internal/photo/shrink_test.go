package photo

import (
	"image"
	"image/color"
	"math"
	"testing"

	"golang.org/x/image/draw"
	"pgregory.net/rapid"
)

// numbered returns a picture no two pixels of which are alike.
func numbered(width, height int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, width, height))
	for i := range width * height {
		m.SetRGBA(i%width, i/width, color.RGBA{uint8(i), uint8(i >> 8), 77, 255})
	}
	return m
}

// inverse returns the orientation that undoes this one. Only the two quarter
// turns differ from their inverses.
func (o orientation) inverse() orientation {
	switch o {
	case 6:
		return 8
	case 8:
		return 6
	}
	return o
}

func TestTurningBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := numbered(rapid.IntRange(1, 40).Draw(t, "width"), rapid.IntRange(1, 40).Draw(t, "height"))
		o := orientation(rapid.IntRange(1, 8).Draw(t, "orientation"))
		turned := o.apply(m)
		if w, h := o.size(m.Rect.Dx(), m.Rect.Dy()); turned.Rect != image.Rect(0, 0, w, h) {
			t.Fatalf("orientation %d makes %v of %v", o, turned.Rect, m.Rect)
		}
		back := o.inverse().apply(turned)
		if back.Rect != m.Rect || string(back.Pix) != string(m.Pix) {
			t.Fatalf("orientation %d and its inverse %d do not cancel out", o, o.inverse())
		}
	})
	// The inverse of an orientation is one of the eight, and no two share it;
	// none but the first leaves a picture as it is.
	m := numbered(5, 3)
	seen := map[orientation]bool{}
	for o := upright; o <= 8; o++ {
		seen[o.inverse()] = true
		if same := string(o.apply(m).Pix) == string(m.Pix); same != (o == upright) {
			t.Errorf("orientation %d leaves the picture as it is: %v", o, same)
		}
	}
	if len(seen) != 8 {
		t.Errorf("%d inverses", len(seen))
	}
}

func TestFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 20000).Draw(t, "width"), rapid.IntRange(1, 20000).Draw(t, "height")
		longest := rapid.IntRange(1, 4096).Draw(t, "longest")
		gotW, gotH := fit(w, h, longest)
		if gotW < 1 || gotH < 1 || gotW > w || gotH > h || max(gotW, gotH) > longest {
			t.Fatalf("%d × %d becomes %d × %d", w, h, gotW, gotH)
		}
		if max(w, h) <= longest && (gotW != w || gotH != h) || max(w, h) > longest && max(gotW, gotH) != longest {
			t.Fatalf("%d × %d becomes %d × %d", w, h, gotW, gotH)
		}
		// Proportions are kept to half a pixel, but for the pixel that must remain.
		scale := float64(gotW) / float64(w)
		if w < h {
			scale = float64(gotH) / float64(h)
		}
		if math.Abs(float64(gotW)-scale*float64(w)) > 0.501 && gotW > 1 || math.Abs(float64(gotH)-scale*float64(h)) > 0.501 && gotH > 1 {
			t.Fatalf("%d × %d becomes %d × %d", w, h, gotW, gotH)
		}
		if ww, hh := fit(gotW, gotH, longest); ww != gotW || hh != gotH {
			t.Fatal("fitting again changes the size")
		}
	})
}

// Working band by band gives what the resampler gives in one go.
func TestBandsDoNotShow(t *testing.T) {
	for _, size := range [][2]int{{333, 500}, {500, 333}, {200, 64}, {201, 65}, {130, 7}, {700, 129}} {
		// A leaf's edge, a grain, and a slow change of colour.
		m := image.NewYCbCr(image.Rect(0, 0, size[0], size[1]), image.YCbCrSubsampleRatio420)
		for y := range size[1] {
			for x := range size[0] {
				v := 128 + 60*math.Sin(float64(x)/9) + 40*math.Cos(float64(y)/5) + 20*math.Sin(float64(x*y))
				m.Y[m.YOffset(x, y)] = uint8(v)
				m.Cb[m.COffset(x, y)] = uint8(100 + x*60/size[0])
				m.Cr[m.COffset(x, y)] = uint8(90 + y*80/size[1])
			}
		}
		got := shrink(m, 100)
		want := image.NewRGBA(got.Rect)
		draw.CatmullRom.Scale(want, want.Rect, m, m.Rect, draw.Src, nil)
		// Between the two passes, values are rounded to whole levels. The kernel
		// carries that on with weights whose absolute values add up to less than
		// 1.3, so to 0.65; the last rounding then differs by one level at most,
		// and clipping of overshoots before the second pass by one more.
		worst := 0
		for i := range got.Pix {
			worst = max(worst, int(math.Abs(float64(got.Pix[i])-float64(want.Pix[i]))))
		}
		if worst > 2 {
			t.Errorf("%v: a pixel differs by %d levels", size, worst)
		}
	}
}

func TestShrinkKeepsEvenColours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := color.RGBA{rapid.Uint8().Draw(t, "red"), rapid.Uint8().Draw(t, "green"), rapid.Uint8().Draw(t, "blue"), 255}
		// A part of a larger picture, not at its corner.
		large := image.NewRGBA(image.Rect(0, 0, 300, 200))
		part := image.Rect(rapid.IntRange(1, 100).Draw(t, "left"), rapid.IntRange(1, 90).Draw(t, "top"), 290, 190)
		draw.Draw(large, part, image.NewUniform(c), image.Point{}, draw.Src)
		m := shrink(large.SubImage(part), rapid.IntRange(1, 300).Draw(t, "longest"))
		for i := 0; i < len(m.Pix); i += 4 {
			if got := (color.RGBA{m.Pix[i], m.Pix[i+1], m.Pix[i+2], m.Pix[i+3]}); got != c {
				t.Fatalf("%v becomes %v", c, got)
			}
		}
	})
}
