package bundle

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
	"velamen/internal/store/intake"
	"velamen/science/basis"
)

// Table is one CSV file of an export.
type Table struct {
	Name string // of the file
	rows [][]string
}

// Tables returns the journal, and the collection that it describes, as tables.
func Tables(entries []care.Entry, c *care.Collection) ([]Table, error) {
	journal, err := journalTable(entries, c)
	if err != nil {
		return nil, err
	}
	return []Table{journal, plantTable(c), spaceTable(c), waterTable(c), feedTable(c)}, nil
}

// Write writes the table with every cell guarded.
func (t Table) Write(to io.Writer) error {
	w := csv.NewWriter(to)
	w.UseCRLF = true
	for _, row := range t.rows {
		guarded := make([]string, len(row))
		for i, cell := range row {
			guarded[i] = intake.Guard(cell)
		}
		if err := w.Write(guarded); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

// WriteFolder writes tables into a folder, which is made if need be. Files that
// are there are an error unless replace is set.
func WriteFolder(folder string, tables []Table, replace bool) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	for _, t := range tables {
		if _, err := os.Lstat(filepath.Join(folder, t.Name)); err == nil && !replace {
			return fmt.Errorf("%s: %w", filepath.Join(folder, t.Name), store.ErrExists)
		}
	}
	for _, t := range tables {
		if err := store.WriteFile(filepath.Join(folder, t.Name), replace, t.Write); err != nil {
			return err
		}
	}
	return nil
}

func journalTable(entries []care.Entry, c *care.Collection) (Table, error) {
	t := Table{Name: "journal.csv", rows: [][]string{{"id", "at", "recorded", "kind", "plant", "label", "corrects", "by", "note", "detail"}}}
	for _, e := range entries {
		label := ""
		if p := c.Plants[e.Plant]; p != nil {
			label = p.Record.Label
		}
		detail, err := json.Marshal(e.Detail)
		if err != nil {
			return Table{}, fmt.Errorf("entry %s: %w", e.ID, err)
		}
		t.rows = append(t.rows, []string{
			e.ID, moment(e.At), moment(e.Recorded), string(e.Kind), e.Plant, label, e.Corrects, e.By, e.Detail.Note, string(detail),
		})
	}
	return t, nil
}

// plantTable has the headings that an intake understands.
func plantTable(c *care.Collection) Table {
	t := Table{Name: "plants.csv", rows: [][]string{{
		"label", "name", "group", "space", "leaves", "leaf length (cm)", "leaf width (cm)", "leaf area (cm2)", "pseudobulbs", "vigour",
		"repotted", "work", "roots kept", "pot (cm)", "material", "medium", "mount", "ended", "how it ended", "plant",
	}}}
	plants := slices.SortedFunc(maps.Values(c.Plants), func(a, b *care.PlantState) int {
		return strings.Compare(a.Record.Label+"\x00"+a.ID, b.Record.Label+"\x00"+b.ID)
	})
	for _, p := range plants {
		r, repot := p.Record, p.Record.Repot
		pot, material, mount := "", "", ""
		if k := repot.To.Container; k != nil {
			pot, material = figure(k.NominalCm), k.Material
		}
		if m := repot.To.Mount; m != nil {
			mount = m.Material
		}
		t.rows = append(t.rows, []string{
			r.Label, r.Name, r.Group, r.Space, figure(r.Leaves), figure(r.LeafLengthCm), figure(r.LeafWidthCm), figure(r.LeafAreaCm2),
			figure(r.Pseudobulbs), string(r.Vigour), day(repot.Date), string(repot.Work), figure(repot.RootsKept), pot, material,
			mix(repot.To.Medium), mount, day(p.Ended), string(p.EndedHow), p.ID,
		})
	}
	return t
}

func spaceTable(c *care.Collection) Table {
	t := Table{Name: "spaces.csv", rows: [][]string{{
		"space", "kind", "day (°C)", "night (°C)", "day humidity (%)", "night humidity (%)", "air", "light", "light unit", "light from", "light hours", "covers",
	}}}
	for _, s := range c.Spaces {
		t.rows = append(t.rows, []string{
			s.Name, string(s.Kind), figure(s.DayC), figure(s.NightC), figure(s.DayRHPercent), figure(s.NightRHPercent), string(s.Air),
			figure(s.Light.Level), string(s.Light.Unit), s.Light.Source, figure(s.Light.HoursPerDay), strings.Join(s.Covers, "; "),
		})
	}
	return t
}

func waterTable(c *care.Collection) Table {
	t := Table{Name: "waters.csv", rows: [][]string{{"water", "EC (mS/cm)", "hardness (mg/L CaCO3)", "alkalinity (mg/L CaCO3)", "softened", "ions (JSON)"}}}
	for _, w := range c.Waters {
		t.rows = append(t.rows, []string{w.Name, figure(w.ECmS), figure(w.HardnessMgLCaCO3), figure(w.AlkalinityMgLCaCO3), yes(w.SoftenedByIonExchange), inJSON(w.Ions)})
	}
	return t
}

func feedTable(c *care.Collection) Table {
	t := Table{Name: "feeds.csv", rows: [][]string{{"feed", "label (JSON)"}}}
	for _, f := range c.Feeds {
		t.rows = append(t.rows, []string{f.Name, inJSON(f.Label)})
	}
	return t
}

func figure(v basis.Value) string {
	if v.Grade == 0 {
		return ""
	}
	text := strconv.FormatFloat(v.Value, 'f', -1, 64)
	// Three decimals can be taken for thousands: an intake refuses to guess.
	if _, decimals, ok := strings.Cut(text, "."); ok && len(decimals) == 3 {
		text += "0"
	}
	return text
}

func mix(components []care.Component) string {
	parts := make([]string, len(components))
	for i, c := range components {
		parts[i] = strconv.FormatFloat(c.Parts, 'f', -1, 64) + " " + c.Medium
	}
	return strings.Join(parts, " + ")
}

func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

func moment(t time.Time) string { return t.Format(time.RFC3339Nano) }

func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}

// inJSON writes what has too many parts for columns. The types of the domain
// always have a JSON form once they came out of a journal.
func inJSON(v any) string {
	text, err := json.Marshal(v)
	if err != nil || string(text) == "null" {
		return ""
	}
	return string(text)
}
