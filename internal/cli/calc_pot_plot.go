package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"

	"velamen/internal/plot"
)

// checkPlotName refuses a file that does not say it is a picture.
func checkPlotName(path string) error {
	if path == "" || strings.EqualFold(filepath.Ext(path), ".svg") {
		return nil
	}
	return fmt.Errorf("--plot: %q does not end in .svg; pictures are drawn as SVG only", path)
}

// picture draws the water and the EC over the days.
func (p *potRun) picture() plot.Chart {
	n := len(p.trace.Wetness)
	days, wet, ec := make([]float64, n+1), make([]float64, n+1), make([]float64, n+1)
	wet[0], ec[0] = 100*p.pot.Wetness(&p.start), p.pot.ECmS(&p.start)
	saltiest := math.Max(ec[0], p.mostEC)
	for hour := range n {
		days[hour+1] = float64(hour+1) / 24
		wet[hour+1], ec[hour+1] = 100*p.trace.Wetness[hour], p.trace.ECmS[hour]
		saltiest = math.Max(saltiest, ec[hour+1])
	}
	var pours []plot.Mark
	for _, m := range p.trace.Marks {
		name := fmt.Sprintf("%s mL of %s mS/cm", shown(m.Drainage.PouredML, 0, 0), shown(m.ECmS, 2, 0))
		pours = append(pours, plot.Mark{Name: name, X: float64(m.Hour) / 24})
	}
	return plot.Chart{
		Title: capital(p.describe()),
		Description: fmt.Sprintf("Over %d days, %d pours: wetness ends at %s %% of what the pot holds, EC at %s mS/cm.",
			p.days, len(pours), shown(wet[n], 0, 0), shown(ec[n], 2, 0)),
		XLabel: "days from the start; ticks under the floor are pours", XMax: float64(p.days),
		Panels: []plot.Panel{
			{Label: "water held, % of what it can hold", YMax: 100,
				Lines:  []plot.Line{{Name: "water", Role: plot.Growth, X: days, Y: wet}},
				Limits: []plot.Limit{{Name: "driest allowed", Y: 100 * p.driest}}, Marks: pours},
			{Label: "EC of the water in it, mS/cm", YMax: roundUp(1.05 * math.Max(saltiest, 0.1)),
				Lines:  []plot.Line{{Name: "EC", Role: plot.Waiting, X: days, Y: ec}},
				Limits: []plot.Limit{{Name: "saltiest allowed", Y: p.mostEC}, {Name: "wanted after a flush", Y: p.targetEC}}, Marks: pours},
		},
	}
}

// roundUp returns the next tick at or above a value, for the top of an axis.
func roundUp(top float64) float64 {
	ticks := plot.Ticks(0, top, 5)
	step := ticks[1] - ticks[0]
	return step * math.Ceil(top/step-1e-9)
}

// writePlot puts a picture in its place in one step: whoever looks sees the old
// file or the whole new one.
func writePlot(path, picture string) (err error) {
	folder := filepath.Dir(path)
	temporary, err := os.CreateTemp(folder, ".velamen-*.svg")
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("--plot: there is no folder %s", folder)
	}
	if err != nil {
		return failed("writing the picture", err)
	}
	defer func() {
		if err != nil {
			os.Remove(temporary.Name())
			err = failed("writing the picture "+path, err)
		}
	}()
	if _, err = temporary.WriteString(picture); err == nil {
		err = temporary.Sync()
	}
	if closing := temporary.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return err
	}
	// A temporary file is private; a picture is for whoever may read the folder.
	if err = os.Chmod(temporary.Name(), 0o644); err != nil {
		return err
	}
	return os.Rename(temporary.Name(), path)
}
