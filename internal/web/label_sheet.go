package web

import (
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/paper"
)

// labelFields are the measures of label paper, as somebody takes them with a
// ruler.
type labelFields struct {
	Page, Width, Height   field // of the sheet, or of the tape's label
	Columns, Rows         field
	LabelWidth, LabelHigh field
	Left, Top             field
	GapAcross, GapDown    field
	Skip, Outlines        field
	Cut                   field // asked where something is too long
}

// A sheet's measures in the grower's own unit, millimetres or inches.
var sheetLength = measure{"a measure of label paper", "mm", 0, 1200, either(inches, "in", "mm"), []writing{{"mm", "", 1, 0}, {"cm", "", 10, 0}, {"in", "inch inches", 25.4, 0}}}

const (
	onTape  = "tape"
	onOther = "other"
)

func newLabelFields(u care.Units) labelFields {
	unit := sheetLength.usual(u)
	ask := func(name, label, value string) field {
		return field{Name: name, Label: label, Unit: unit, Mode: "decimal", Value: value}
	}
	q := labelFields{
		Page:  field{Name: "sheet", Label: "Sheet", Type: "select"},
		Width: ask("width", "Its width", ""), Height: ask("height", "Its height", ""),
		Columns: field{Name: "columns", Label: "Labels across", Mode: "numeric", Value: "3"}, Rows: field{Name: "rows", Label: "Labels down", Mode: "numeric", Value: "8"},
		LabelWidth: ask("label_width", "Width of a label", ""), LabelHigh: ask("label_height", "Height of a label", ""),
		Left: ask("left", "Margin on the left", ""), Top: ask("top", "Margin on top", ""),
		GapAcross: ask("across", "Gap between, across", ""), GapDown: ask("down", "Gap between, down", ""),
		Skip:     field{Name: "skip", Label: "Used up already", Mode: "numeric", Hint: "So many labels of the first sheet are left out."},
		Outlines: field{Name: "outlines", Label: "Draw the edges, to cut out or to check the measures", Type: "checkbox"},
		Cut:      field{Name: "cut", Label: "Print what is too long cut short, with “…”", Type: "checkbox"},
	}
	q.LabelWidth.Hint = "Left empty, the labels fill the sheet within its margins."
	q.Width.Hint = "For a tape: the length of a label; for another sheet: its width."
	q.Page.Options = []choice{{"A4", "A4", true}, {"Letter", "US Letter", false}, {onTape, "A tape: each label by itself", false}, {onOther, "Another sheet", false}}
	return q
}

func (q *labelFields) list() []*field {
	return []*field{&q.Page, &q.Width, &q.Height, &q.Columns, &q.Rows, &q.LabelWidth, &q.LabelHigh, &q.Left, &q.Top, &q.GapAcross, &q.GapDown, &q.Skip, &q.Outlines, &q.Cut}
}

// grid reads the measures.
func (f *form) grid(u care.Units) paper.Grid {
	mm := func(name string) float64 {
		if v := f.number(name, sheetLength, u); v != nil {
			return *v
		}
		return 0
	}
	whole := func(name string, otherwise int) int {
		if n := f.whole(name, 100); n != nil {
			return *n
		}
		return otherwise
	}
	var g paper.Grid
	switch kind := f.text("sheet"); kind {
	case onTape:
		g = paper.Tape(mm("width"), mm("height"))
		g.Outlines = f.checked("outlines")
	case onOther, "", "A4", "Letter":
		g = paper.Grid{
			Columns: whole("columns", 3), Rows: whole("rows", 8), LabelWidth: mm("label_width"), LabelHeight: mm("label_height"),
			LeftMargin: mm("left"), TopMargin: mm("top"), GapAcross: mm("across"), GapDown: mm("down"), Skip: whole("skip", 0), Outlines: f.checked("outlines"),
		}
		if kind == onOther {
			g.WidthMM, g.HeightMM = mm("width"), mm("height")
		} else if size, err := paper.SizeOf(kind); err == nil {
			g.WidthMM, g.HeightMM = size.WidthMM, size.HeightMM
		}
		g.Fill()
	default:
		f.say("sheet", "%q is not one of the choices.", kind)
	}
	if f.wrong() {
		return g
	}
	if err := g.Check(); err != nil {
		f.say("columns", "%s.", sentence(err.Error()))
	}
	return g
}

// sendLabels sends the labels of the plants that are asked for: those of one
// space, those with some labels, or all that live here.
func (s *Server) sendLabels(w http.ResponseWriter, r *http.Request) error {
	f := &form{values: r.URL.Query(), errors: map[string]string{}}
	g := f.grid(s.units())
	labels, err := s.labelsFor(r, f)
	if err != nil {
		return err
	}
	if !f.wrong() && !f.checked("cut") {
		if cut := paper.CutShort(labels, g); len(cut) > 0 {
			f.say("cut", "Too long for these labels even in the smallest type: %s. Take larger labels, or print them so.", firstOf(cut, mostCutNamed))
		}
	}
	if f.wrong() {
		return s.showPaperWrong(w, r, f)
	}
	return sendPDF(w, "labels", func(to io.Writer) error { return paper.WriteLabels(to, labels, g, s.Book.Today()) })
}

// mostCutNamed is how many labels that are cut short are named one by one.
const mostCutNamed = 5

// firstOf names the first of a list and counts the rest. What is long is cut
// short here too.
func firstOf(list []string, most int) string {
	var named []string
	for _, one := range list[:min(len(list), most)] {
		if letters := []rune(one); len(letters) > 40 {
			one = string(letters[:39]) + "…"
		}
		named = append(named, one)
	}
	text := strings.Join(named, ", ")
	if more := len(list) - len(named); more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}

// mostLabels bounds one document.
const mostLabels = 5000

func (s *Server) labelsFor(r *http.Request, f *form) ([]paper.Label, error) {
	q := book.Query{Space: f.short("space"), Order: book.BySpace, To: mostLabels}
	found, err := s.Book.Find(r.Context(), q, s.Book.Today())
	if err != nil {
		return nil, err
	}
	wanted := map[string]bool{}
	for _, one := range strings.FieldsFunc(f.text("plants"), func(c rune) bool { return c == ',' || c == ';' || c == '\n' }) {
		wanted[strings.ToLower(strings.TrimSpace(one))] = true
	}
	var labels []paper.Label
	for _, one := range found.Plants {
		if len(wanted) > 0 && !wanted[strings.ToLower(one.Label)] {
			continue
		}
		delete(wanted, strings.ToLower(one.Label))
		sp, err := s.specimen(one.ID)
		if err != nil {
			return nil, err
		}
		labels = append(labels, s.labelOf(r, sp))
	}
	for label := range wanted {
		f.say("plants", "No plant has the label %s.", label)
	}
	if len(labels) == 0 {
		f.say("plants", "No plant is found by this.")
	}
	return labels, nil
}

// labelOf is what stands on the label of a plant.
func (s *Server) labelOf(r *http.Request, sp specimen) paper.Label {
	p := sp.state.Record
	l := paper.Label{Label: p.Label, Name: orWord(p.Name, p.Group), Link: s.address(r) + "/p/" + url.PathEscape(p.Label)}
	if len(sp.state.Repots) > 0 {
		l.Work, l.Date = sentence(string(workOr(p.Repot.Work))), p.Repot.Date.Format("2 Jan 2006")
		if p.Repot.To.Known() {
			l.Medium = p.Repot.To.Says(sp.settings.Units)
		}
	}
	return l
}

// address is where this server was reached: what stands before every path.
func (s *Server) address(r *http.Request) string {
	if s.HTTPS {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}

// sendLabel sends the label of one plant on a piece of its own.
func (s *Server) sendLabel(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	label := s.labelOf(r, sp)
	return sendPDF(w, "label "+sp.label(), func(to io.Writer) error {
		return paper.WriteLabels(to, []paper.Label{label}, paper.Tape(60, 30), s.Book.Today())
	})
}

// spaceChoices lists the spaces, after all of them.
func spaceChoices(c *care.Collection) []choice {
	list := []choice{{Label: "Every space", Chosen: true}}
	for _, one := range c.Spaces {
		list = append(list, choice{one.Name, one.Name, false})
	}
	return list
}

// showPaperWrong shows the page again with what was typed.
func (s *Server) showPaperWrong(w http.ResponseWriter, r *http.Request, f *form) error {
	v := s.newPaperView(r)
	f.keep(v.Label.list()...)
	f.keep(&v.LabelSpace, &v.Plants)
	return s.render(w, r, http.StatusUnprocessableEntity, "paper.html", v)
}
