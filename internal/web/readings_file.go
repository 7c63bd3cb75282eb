package web

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"velamen/internal/care"
	"velamen/internal/readings"
)

// A logger's file that is sent from a page: shown first, then added.
const (
	mostFileBytes = 16 << 20
	fileTime      = 3 * time.Minute
	// waitTime is how long a file that was shown waits to be added.
	waitTime    = 30 * time.Minute
	mostWaiting = 4
)

// waitingFiles holds files that were shown and may be added. They are lost when
// the server ends: nothing was promised of them yet.
type waitingFiles struct {
	mu   sync.Mutex
	list []waitingFile
}

type waitingFile struct {
	id, name string
	content  []byte
	until    time.Time
}

// put keeps a file and returns its id; the oldest gives way.
func (w *waitingFiles) put(name string, content []byte, now time.Time) string {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.list) == mostWaiting {
		w.list = w.list[1:]
	}
	id := newID()
	w.list = append(w.list, waitingFile{id, name, content, now.Add(waitTime)})
	return id
}

func (w *waitingFiles) get(id string, now time.Time) (waitingFile, bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, one := range w.list {
		if one.id == id && now.Before(one.until) {
			return one, true
		}
	}
	return waitingFile{}, false
}

// uploadForm asks for a logger's file, and shows how it is read.
type uploadForm struct {
	File, Holds, Source, Zone, Dates, Map field
	Waiting                               string // id of a file that was shown
	Name                                  string // of it
	Columns                               []columnView
	Facts                                 []string
	Added                                 string // what became of it
}

// columnView is how one column is read.
type columnView struct{ Heading, Meaning string }

func newUploadForm(space care.Space, zone *time.Location) uploadForm {
	u := uploadForm{
		File:   field{Name: "file", Label: "File"},
		Holds:  holdsField(space),
		Source: field{Name: "source", Label: "Name of the sensor", Hint: "Its file name when left empty. Two files of one sensor need the same name."},
		Zone:   field{Name: "zone", Label: "Its clock runs in", Value: zone.String(), Hint: "Europe/Berlin, or +10:00 for a clock that is never changed."},
		Dates:  field{Name: "dates", Label: "Order of dates", Type: "select", Options: []choice{{"", "as the file shows", true}, {"dmy", "day, month, year", false}, {"mdy", "month, day, year", false}, {"ymd", "year, month, day", false}}},
		Map:    field{Name: "map", Label: "Columns, where the headings do not say it", Hint: "temperature=CH1:F, humidity=3"},
	}
	return u
}

func (u *uploadForm) fields() []*field {
	return []*field{&u.Holds, &u.Source, &u.Zone, &u.Dates, &u.Map}
}

// takeFile shows how a logger's file is read, or adds the one that was shown.
func (s *Server) takeFile(w http.ResponseWriter, r *http.Request) error {
	space, err := s.spaceOf(r)
	if err != nil {
		return err
	}
	if s.Readings == nil {
		return fmt.Errorf("%w: readings", errUnavailable)
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	again := func(change func(*uploadForm)) error {
		return s.againClimate(w, r, func(v *climateView) {
			f.keep(v.Upload.fields()...)
			v.Upload.File.Error = f.errors["file"]
			change(&v.Upload)
		})
	}
	file, found := s.fileOf(f, r)
	if f.wrong() {
		return again(func(*uploadForm) {})
	}
	o := readings.Options{Space: space.Name, Source: f.text("source"), Dates: readings.DateOrder(f.text("dates")), LightFrom: lightOf(space), Zone: s.zone()}
	if o.Source == "" {
		o.Source = strings.TrimSuffix(file.name, filepath.Ext(file.name))
	}
	if text := f.text("zone"); text != "" && text != o.Zone.String() {
		if o.Zone, err = readings.ParseZone(text); err != nil {
			f.say("zone", "%s.", sentence(err.Error()))
		}
	}
	if o.Map, err = readings.ParseMap(f.text("map")); err != nil {
		f.say("map", "%s.", sentence(err.Error()))
	}
	if f.wrong() {
		return again(func(*uploadForm) {})
	}
	in := readings.File{Name: file.name, ReadSeeker: bytes.NewReader(file.content), Bytes: int64(len(file.content))}
	add := found && f.text("do") == "add"
	if holds := f.text("holds"); holds == holdsForecast || holds == holdsForOutdoors {
		return s.takeForecast(w, r, f, file, o, add)
	}
	var report readings.Report
	if add {
		report, err = readings.Import(r.Context(), in, o, s.Readings, s.Now(), nil)
	} else {
		report, err = readings.Try(r.Context(), in, o, s.Now(), nil)
	}
	if err != nil {
		if errors.Is(err, r.Context().Err()) && r.Context().Err() != nil {
			return err
		}
		f.say("file", "%s", ended(sentence(err.Error())))
		return again(func(u *uploadForm) {
			u.Waiting, u.Name = file.id, file.name
		})
	}
	if add {
		if err := s.settle(r.Context()); err != nil {
			return err
		}
	}
	v, err := s.newClimateView(r)
	if err != nil {
		return err
	}
	f.keep(v.Upload.fields()...)
	v.Upload.Name = file.name
	v.Upload.show(report, o)
	if add {
		v.Upload.Added = addedWords(report)
		v.Notice = v.Upload.Added
	} else {
		v.Upload.Waiting = file.id
	}
	return s.render(w, r, http.StatusOK, "climate.html", v)
}

// fileOf returns the file that was sent, or the one that waits.
func (s *Server) fileOf(f *form, r *http.Request) (file waitingFile, waited bool) {
	sent, header, err := r.FormFile("file")
	if err == nil && header.Size > 0 {
		defer sent.Close()
		content, err := io.ReadAll(io.LimitReader(sent, mostFileBytes+1))
		switch {
		case err != nil:
			f.say("file", "The file did not arrive whole; try again.")
		case len(content) > mostFileBytes:
			f.say("file", "The file is larger than %d MB; use the command velamen readings import for it.", mostFileBytes>>20)
		default:
			file.name, file.content = filepath.Base(header.Filename), content
			file.id = s.waiting.put(file.name, content, s.Now())
		}
		return file, false
	}
	if err == nil {
		sent.Close()
	}
	if err == nil && header.Filename != "" {
		f.say("file", "%s is empty.", filepath.Base(header.Filename))
		return file, false
	}
	if id := f.text("waiting"); id != "" {
		if file, ok := s.waiting.get(id, s.Now()); ok {
			return file, true
		}
		f.say("file", "It was shown too long ago; choose it again.")
		return file, false
	}
	f.say("file", "Choose a file.")
	return file, false
}

// show says how a file is read.
func (u *uploadForm) show(report readings.Report, o readings.Options) {
	findings := report.Findings
	say := func(format string, args ...any) { u.Facts = append(u.Facts, fmt.Sprintf(format, args...)) }
	if l := report.Layout; l != nil {
		for i, c := range l.Columns {
			name := c.Heading
			if name == "" {
				name = fmt.Sprintf("column %d", i+1)
			}
			what := "not read"
			switch {
			case c.Meaning == readings.NotRead:
			case c.Taken:
				what = fmt.Sprintf("%s, taken to be in %s by its values", c.Meaning, c.Unit)
			case c.Unit != "":
				what = fmt.Sprintf("%s in %s", c.Meaning, c.Unit)
			default:
				what = string(c.Meaning)
			}
			u.Columns = append(u.Columns, columnView{name, what})
		}
		first := ""
		for _, r := range l.Example.Values {
			_, _, unit := r.Quantity.Range()
			first += fmt.Sprintf(", %s %.4g %s", r.Quantity, r.Value, unit)
		}
		say("The first line says %s%s.", l.Example.At.In(o.Zone).Format("2 January 2006, 15:04 MST"), first)
		for _, c := range l.Columns {
			if c.Unit == readings.Lux || c.Unit == readings.Kilolux || c.Unit == readings.FootCandle {
				say("Light is turned into µmol/m²/s as that of %s.", o.LightFrom)
			}
		}
	}
	if findings.Values > 0 {
		say("%d lines with %d readings, from %s to %s.", findings.Lines, findings.Values,
			findings.First.In(o.Zone).Format("2 January 2006, 15:04"), findings.Last.In(o.Zone).Format("2 January 2006, 15:04"))
	}
	for _, part := range []struct {
		n         int
		one, many string
		list      []readings.Finding
	}{
		{findings.LeftOut, "line cannot be read and is left out", "lines cannot be read and are left out", findings.Wrong},
		{findings.Steps, "time runs against the others", "times run against the others", findings.StepsAt},
		{findings.Gaps, "gap", "gaps", findings.GapList},
		{findings.Spikes, "single spike is kept but left out of the summaries", "single spikes are kept but left out of the summaries", findings.SpikeAt},
	} {
		if part.n == 0 {
			continue
		}
		first := ", in line"
		if part.n > 1 {
			first = "; the first in line"
		}
		say("%s%s %d: %s.", counted(part.n, part.one, part.many), first, part.list[0].Line, part.list[0].Text)
	}
}

func addedWords(r readings.Report) string {
	switch {
	case r.Resumed > 0 && r.Added == 0:
		return "This file had been imported before: nothing is new."
	case r.Kept.Differ > 0:
		return fmt.Sprintf("%d readings are added, %d were there already, and %d differ from what was there for the same moment: what was there stays.", r.Added, r.Kept.Doubled, r.Kept.Differ)
	}
	return fmt.Sprintf("%d readings are added; %d were there already.", r.Added, r.Kept.Doubled)
}
