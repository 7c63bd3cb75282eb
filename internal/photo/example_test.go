package photo_test

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"log"
	"strings"

	"velamen/internal/photo"
)

// A picture of twelve megapixels comes in from a phone.
func ExampleAccept() {
	var sent bytes.Buffer
	if err := jpeg.Encode(&sent, image.NewGray(image.Rect(0, 0, 4000, 3000)), nil); err != nil {
		log.Fatal(err)
	}
	picture, err := photo.Accept(&sent, photo.Limits{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("view", picture.View.Width, "×", picture.View.Height)
	fmt.Println("thumbnail", picture.Thumbnail.Width, "×", picture.Thumbnail.Height)
	// Output:
	// view 2048 × 1536
	// thumbnail 480 × 360
}

func ExampleAccept_refused() {
	_, err := photo.Accept(strings.NewReader("GIF89a"), photo.Limits{})
	var refusal *photo.Refusal
	if errors.As(err, &refusal) {
		fmt.Println(refusal.Text)
	}
	// Output:
	// This is a GIF, which has too few colours for a photograph. Send it as JPEG or PNG.
}

// A root of three marks beside 30 mm of a ruler. Nobody noted how far the root
// leant towards the lens, so the usual range is assumed.
func ExampleMarks_Length() {
	marks := photo.Marks{
		Width: 2048, Height: 1536,
		Scale: [2]photo.Point{{X: 240, Y: 1300}, {X: 960, Y: 1310}}, ScaleMM: 30,
		Root: []photo.Point{{X: 700, Y: 300}, {X: 780, Y: 620}, {X: 940, Y: 900}},
	}
	length, err := marks.Length()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.1f mm, standard error %.1f mm (%v)\n", length.MM.Value, length.ErrorMM, length.MM.Grade)
	fmt.Printf("assumed: tilt %g to %g°\n", length.Photograph.TiltDegrees.Low, length.Photograph.TiltDegrees.High)
	// Output:
	// 27.5 mm, standard error 0.8 mm (assumption)
	// assumed: tilt 0 to 15°
}
