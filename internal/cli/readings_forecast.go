package cli

import (
	"fmt"
	"path/filepath"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/internal/store"
)

// forecast takes a forecast in, or shows how it is read.
func (c readingsImport) forecast(r *run, s *store.Store, file readings.File, o readings.Options) error {
	now := r.clock()
	f, report, err := readings.Foresee(r.ctx, file, o, now)
	if err != nil {
		return fmt.Errorf("%s: %w", c.In, err)
	}
	if c.Yes {
		e := care.Entry{ID: newID(), At: now, Kind: care.ForecastIn, Detail: care.Detail{Foreseen: &f}}
		if problems := e.Check(now); len(problems) > 0 {
			return fmt.Errorf("%s: %w", c.In, problems[0])
		}
		if _, err := s.Append(r.ctx, []care.Entry{e}); err != nil {
			return storeProblem("keeping the forecast", err)
		}
	}
	if c.JSON {
		return writeJSON(r.out, struct {
			Format   string           `json:"format"`
			Kept     bool             `json:"import"` // false: only tried
			Layout   *readings.Layout `json:"layout"`
			Forecast care.Foreseen    `json:"forecast"`
		}{"velamen-forecast-1", c.Yes, report.Layout, f})
	}
	fmt.Fprintf(r.out, "%s is read so\n", c.In)
	describeLayout(r.out, report.Layout)
	where := "every outdoor space"
	if f.Space != "" {
		where = f.Space
	}
	light := ", without light"
	if len(f.PPFD) > 0 {
		light = ", with light"
	}
	fmt.Fprintf(r.out, "\nIt tells of %d hours for %s%s, from %s to %s.\n", len(f.TempC), where, light,
		f.Start.In(o.Zone).Format("Mon 2 Jan 15:04"), f.Until().In(o.Zone).Format("Mon 2 Jan 15:04"))
	if !c.Yes {
		fmt.Fprintln(r.out, "Nothing was kept yet: the same command with --yes keeps it in the place of the forecast before.")
		return nil
	}
	fmt.Fprintf(r.out, "The plan goes by %s until then; what is measured counts before it.\n", filepath.Base(c.In))
	return nil
}
