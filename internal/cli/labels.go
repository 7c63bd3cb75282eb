package cli

import (
	"bytes"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/paper"
	"velamen/internal/store"
)

// labelsCommand prints labels for pots.
type labelsCommand struct {
	File    string  `arg:"" help:"The collection, or a case file (.toml)."`
	Out     string  `short:"o" required:"" help:"The PDF to write." placeholder:"FILE"`
	Sheet   string  `help:"A4, Letter, tape, or the sheet's own measures in mm, as 100x150." default:"A4" placeholder:"SIZE"`
	Columns int     `help:"Labels across." default:"3" placeholder:"N"`
	Rows    int     `help:"Labels down." default:"8" placeholder:"N"`
	Label   string  `help:"Size of a label in mm, as 70x37; left out, labels fill the sheet. For a tape it is needed." placeholder:"WxH"`
	Left    float64 `help:"Margin on the left, mm." placeholder:"MM"`
	Top     float64 `help:"Margin on top, mm." placeholder:"MM"`
	Across  float64 `help:"Gap between labels, across, mm." placeholder:"MM"`
	Down    float64 `help:"Gap between labels, down, mm." placeholder:"MM"`
	Skip    int     `help:"Labels of the first sheet that are used up already." placeholder:"N"`
	Space   string  `help:"Only the plants of this space." placeholder:"NAME"`
	Address string  `help:"Where phones reach the pages, as https://host:8420; the codes lead there. Left out, there are no codes." placeholder:"URL"`
}

func (c labelsCommand) Run(r *run) error {
	g, err := c.grid()
	if err != nil {
		return err
	}
	if c.Address != "" {
		if u, err := url.Parse(c.Address); err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" {
			return fmt.Errorf("--address %q is no address; write it as https://host:8420", c.Address)
		}
	}
	plants, units, err := c.plants(r)
	if err != nil {
		return err
	}
	var labels []paper.Label
	for _, p := range plants {
		if c.Space != "" && !strings.EqualFold(p.Space, c.Space) {
			continue
		}
		labels = append(labels, c.label(p, units))
	}
	if len(labels) == 0 {
		return fmt.Errorf("%s has no plant to make a label for", c.File)
	}
	var pdf bytes.Buffer
	if err := paper.WriteLabels(&pdf, labels, g, r.today); err != nil {
		return err
	}
	if err := writeWhole(c.Out, pdf.Bytes()); err != nil {
		return err
	}
	fmt.Fprintf(r.out, "%s: %d labels of %.4g × %.4g mm.\n", c.Out, len(labels), g.LabelWidth, g.LabelHeight)
	if cut := paper.CutShort(labels, g); len(cut) > 0 {
		fmt.Fprintf(r.out, "Too long for these labels even in the smallest type, and cut short with “…”: %s\n", strings.Join(cut, ", "))
	}
	var texts []string
	for _, l := range labels {
		texts = append(texts, l.Label, l.Name, l.Medium)
	}
	if lacking := paper.Lacking(texts...); lacking != "" {
		fmt.Fprintf(r.out, "No font here has these letters, and □ stands for each: %s\n", lacking)
	}
	return nil
}

// grid makes the measures of the sheet.
func (c labelsCommand) grid() (paper.Grid, error) {
	g := paper.Grid{Rows: c.Rows, Columns: c.Columns, LeftMargin: c.Left, TopMargin: c.Top, GapAcross: c.Across, GapDown: c.Down, Skip: c.Skip}
	if c.Label != "" {
		if err := bySize(c.Label, &g.LabelWidth, &g.LabelHeight); err != nil {
			return g, fmt.Errorf("--label: %w", err)
		}
	}
	if strings.EqualFold(c.Sheet, "tape") {
		return paper.Tape(g.LabelWidth, g.LabelHeight), paper.Tape(g.LabelWidth, g.LabelHeight).Check()
	}
	if size, err := paper.SizeOf(c.Sheet); err == nil {
		g.WidthMM, g.HeightMM = size.WidthMM, size.HeightMM
	} else if err := bySize(c.Sheet, &g.WidthMM, &g.HeightMM); err != nil {
		return g, fmt.Errorf("--sheet: %w", err)
	}
	g.Fill()
	return g, g.Check()
}

// bySize reads two measures in mm.
func bySize(text string, width, height *float64) error {
	var rest string
	if n, _ := fmt.Sscanf(strings.ToLower(strings.ReplaceAll(text, " ", ""))+"$", "%gx%g%s", width, height, &rest); n != 3 || rest != "$" {
		return fmt.Errorf("%q is no size; write width and height in mm, as 70x37", text)
	}
	return nil
}

// plants are those of a case file, or the living ones of a collection.
func (c labelsCommand) plants(r *run) ([]care.Plant, care.Units, error) {
	tables, err := culture.Load()
	if err != nil {
		return nil, care.Units{}, failed("reading the culture tables", err)
	}
	if strings.EqualFold(filepath.Ext(c.File), ".toml") {
		file, name, err := open(c.File, r.in)
		if err != nil {
			return nil, care.Units{}, err
		}
		defer file.Close()
		kase, units, err := casefile.Read(file, name, tables)
		return kase.Plants, units, err
	}
	collection, done, err := c.collection(r)
	if err != nil {
		return nil, care.Units{}, err
	}
	return living(collection), collection.Settings.Units, done()
}

func (c labelsCommand) collection(r *run) (*care.Collection, func() error, error) {
	kept, err := store.OpenReading(r.ctx, c.File, r.clock)
	if err != nil {
		return nil, nil, storeProblem("opening the collection", err)
	}
	collection, err := collectionIn(r, kept)
	if err != nil {
		_ = kept.Close()
		return nil, nil, err
	}
	return collection, func() error { return storeProblem("closing the collection", kept.Close()) }, nil
}

// label is what stands on the label of a plant.
func (c labelsCommand) label(p care.Plant, units care.Units) paper.Label {
	l := paper.Label{Label: plantTitle(p), Name: p.Name}
	if l.Name == "" {
		l.Name = p.Group
	}
	if c.Address != "" {
		l.Link = strings.TrimSuffix(c.Address, "/") + "/p/" + url.PathEscape(p.Label)
	}
	if !p.Repot.Date.IsZero() {
		work := p.Repot.Work
		if work == "" {
			work = care.Repotted
		}
		l.Work, l.Date = capital(string(work)), p.Repot.Date.Format("2 Jan 2006")
		if p.Repot.To.Known() {
			l.Medium = p.Repot.To.Says(units)
		}
	}
	return l
}
