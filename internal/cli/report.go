package cli

import (
	"encoding/json"
	"io"

	"velamen/internal/care"
)

// writeJSON writes indented JSON that ends in a line break.
func writeJSON(w io.Writer, v any) error {
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	return encoder.Encode(v)
}

// report is the JSON answer of velamen course.
type report struct {
	Format  string        `json:"format"`
	Courses []care.Course `json:"courses"`
}

// courseReport wraps courses for programs. Without because the reasons are
// left out: they are nine tenths of the text.
func courseReport(courses []care.Course, because bool) report {
	if !because {
		for i := range courses {
			courses[i] = courses[i].WithoutBecause()
		}
	}
	return report{Format: "velamen-course-1", Courses: courses}
}
