package web

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"velamen/internal/care"
	"velamen/internal/photo"
	"velamen/science/basis"
	"velamen/science/growth"
)

// measureView is a picture in which a root is measured: by marks that a module
// sets, or by their coordinates.
type measureView struct {
	frame
	Plant         plantHead
	Action, Entry string
	Picture       photoThumb
	Width, Height int
	Zoom          string
	Scale         field
	Marks         field
	ScaleLength   field
	Tilt          field
	Root          field
	Tip           field
	Result        *measuredView
	Problem       string
}

// measuredView is what the marks come to.
type measuredView struct {
	Length, Range string
	Why           *becauseView
}

func (s *Server) measureViewOf(r *http.Request) (*measureView, specimen, care.Entry, error) {
	sp, err := s.specimenOf(r)
	if err != nil {
		return nil, sp, care.Entry{}, err
	}
	e, err := s.standingEntry(r, sp)
	if err == nil && (e.Detail.Photo == "" || s.Photos == nil) {
		err = fmt.Errorf("%w: the entry has no picture", errNotFound)
	}
	if err != nil {
		return nil, sp, e, err
	}
	info, _, err := s.Photos.Photo(r.Context(), e.Detail.Photo)
	if err != nil {
		return nil, sp, e, fmt.Errorf("reading a picture: %w", err)
	}
	u := sp.settings.Units
	unit := rootLength.usual(u)
	v := &measureView{
		Plant: newPlantHead(sp), Action: sp.path() + "/measure/" + e.ID, Entry: newID(), Picture: newThumb(sp, e), Width: info.Width, Height: info.Height,
		Scale:       field{Name: "scale", Label: "Two marks on the scale", Hint: "As x y, x y in pixels of the picture, from its upper left corner.", Required: true},
		Marks:       field{Name: "root_marks", Label: "Marks along the root, from its start to the tip", Type: "textarea", Hint: "As x y, x y and so on: two or more, one at each bend.", Required: true},
		ScaleLength: field{Name: "scale_length", Label: "True distance of the two marks on the scale", Unit: unit, Mode: "decimal", Required: true},
		Tilt:        field{Name: "tilt", Label: "How far may the root lean out of the picture?", Type: "radios"},
		Root:        field{Name: "root", Label: "Mark of the root", Hint: "Such as A, or the colour of its tie.", Required: true, Type: "listed"},
		Tip:         field{Name: "tip", Label: "Tip", Type: "select", Options: slices.Clone(tips)},
	}
	for i, t := range tilts {
		v.Tilt.Options = append(v.Tilt.Options, choice{t.word, t.label(), i == 1})
	}
	for mark := range sp.state.Roots {
		v.Root.Options = append(v.Root.Options, choice{Value: mark, Label: mark})
	}
	slices.SortFunc(v.Root.Options, func(a, b choice) int { return strings.Compare(a.Value, b.Value) })
	v.Title, v.Here, v.Style, v.Module = "Measure a root", "collection", "plant.css", "modules/measure.js"
	return v, sp, e, nil
}

// tilt is how far a root may lean out of the picture, and what that hides of it.
type tilt struct {
	word, says string
	degrees    basis.Value
}

var tilts = []tilt{
	{"flat", "It lies flat against the scale", basis.Assumed(0, 0, 8, "°")},
	{"usual", "A little, as roots do", photo.UsualTiltDegrees},
	{"much", "Clearly towards me or away", basis.Assumed(25, 15, 35, "°")},
}

func (t tilt) label() string {
	return fmt.Sprintf("%s: %.0f to %.0f°, up to %.0f %% too short", t.says, t.degrees.Low, t.degrees.High, 100*growth.TiltShortening(t.degrees.High))
}

func (s *Server) showMeasure(w http.ResponseWriter, r *http.Request) error {
	v, _, _, err := s.measureViewOf(r)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "photo-measure.html", v)
}

// measurePicture works a length out of marks and, once the grower has seen it,
// keeps it as a reading of the day of the picture.
func (s *Server) measurePicture(w http.ResponseWriter, r *http.Request) error {
	v, sp, e, err := s.measureViewOf(r)
	if err != nil {
		return err
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	length := f.pictureLength(sp.settings.Units, v.Width, v.Height)
	if f.text("step") == "keep" {
		mark := f.required("root", "Which root is it? Give it a mark.")
		tip := f.text("tip")
		if !f.wrong() {
			reading := care.RootReading{Root: mark, LengthMM: length.MM.Value, HowMM: length.ErrorMM, Tip: tip}
			entry := s.newEntry(care.RootsRead, sp.id, care.Detail{Roots: []care.RootReading{reading}, Note: "measured in the photograph of " + photoDate(e)})
			entry.At = e.At
			f.checkEntry(entry, s.Now())
			if !f.wrong() {
				if err := f.refusedBy(s.keep(r, f.text("entry"), entry)); err != nil {
					return err
				}
			}
			if !f.wrong() {
				return seeOther(w, r, sp.path()+"?done=kept#roots")
			}
		}
	}
	f.keep(&v.Scale, &v.Marks, &v.ScaleLength, &v.Tilt, &v.Root, &v.Tip)
	v.Zoom, v.Entry, v.Problem = f.text("zoom"), f.text("entry"), f.errors[""]
	status := http.StatusOK
	if f.wrong() {
		status = http.StatusUnprocessableEntity
	}
	if length != nil {
		v.Result = newMeasured(sp.settings.Units, *length)
	}
	return s.render(w, r, status, "photo-measure.html", v)
}

// pictureLength reads the marks and measures; what is wrong is said at its
// field, and nothing is returned then.
func (f *form) pictureLength(u care.Units, width, height int) *photo.Length {
	m := photo.Marks{Width: width, Height: height}
	if zoom, err := strconv.ParseFloat(f.text("zoom"), 64); err == nil {
		m.Zoom = zoom
	}
	scale := f.points("scale")
	if !f.wrong() && len(scale) != 2 {
		f.say("scale", "Two marks are needed on the scale; here are %d.", len(scale))
	}
	m.Root = f.points("root_marks")
	f.required("scale_length", "How far apart are the two marks on the scale?")
	m.ScaleMM = f.quantity("scale_length", scaleLength, u, basis.Value{}).Value
	for _, t := range tilts {
		if f.text("tilt") == t.word {
			m.TiltDegrees = t.degrees
		}
	}
	if f.wrong() {
		return nil
	}
	copy(m.Scale[:], scale)
	length, err := m.Length()
	var wrong *photo.MarkError
	switch {
	case errors.As(err, &wrong):
		names := map[string]string{"scale": "scale", "root": "root_marks", "scale_mm": "scale_length"}
		f.say(names[wrong.Field], "%s.", sentence(wrong.Text))
		return nil
	case err != nil:
		f.say("", "%s.", sentence(err.Error()))
		return nil
	}
	return &length
}

// scaleLength is what is read off a scale in a picture.
var scaleLength = measure{"the distance of the marks on the scale", "mm", 1, 5000, rootLength.usual, rootLength.writings}

// points reads places in a picture: numbers two by two, whatever stands between.
func (f *form) points(name string) []photo.Point {
	words := strings.FieldsFunc(f.text(name), func(r rune) bool { return strings.ContainsRune(" ,;\n\r\t()", r) })
	if len(words) == 0 {
		f.say(name, "Set the marks in the picture, or write down where they are.")
		return nil
	}
	if len(words)%2 != 0 {
		f.say(name, "A place takes two numbers, across and down; here are %d numbers.", len(words))
		return nil
	}
	var list []photo.Point
	for i := 0; i < len(words); i += 2 {
		x, errX := strconv.ParseFloat(words[i], 64)
		y, errY := strconv.ParseFloat(words[i+1], 64)
		if err := errors.Join(errX, errY); err != nil {
			f.say(name, "%q is no place in the picture.", words[i]+" "+words[i+1])
			return nil
		}
		list = append(list, photo.Point{X: x, Y: y})
	}
	return list
}

func newMeasured(u care.Units, l photo.Length) *measuredView {
	p := l.Photograph
	mm := func(x float64) basis.Value { return basis.Exactly(x, "mm", basis.Assumption, "") }
	return &measuredView{
		Length: u.Show(l.MM), Range: u.ShowRange(l.MM),
		Why: newBecause(u, &care.Because{
			Rule: "the root's marks in pixels / the scale's marks in pixels × the scale's true length, lengthened by what the tilt hides and corrected for the root's distance from the scale",
			Inputs: []care.Input{
				{Name: "true length on the scale", Value: basis.Exactly(p.ScaleMM, "mm", basis.Given, "")},
				{Name: "tilt of the root", Value: p.TiltDegrees}, {Name: "camera to scale", Value: p.ScaleDistanceMM}, {Name: "root in front of the scale", Value: p.RootInFrontMM},
				{Name: "error from marks at bends", Value: mm(l.BendsMM)}, {Name: "error from the way between marks", Value: mm(l.BetweenMM)},
				{Name: "standard error, all in all", Value: mm(l.ErrorMM)},
			},
			Note: "a tilt of 10° takes 1.5 % off a root, 20° takes 6 %, 30° takes 13 %: hold the camera square to it",
		}, 0, ""),
	}
}
