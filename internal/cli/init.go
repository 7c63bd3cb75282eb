package cli

import (
	"errors"
	"fmt"
	"strings"

	"github.com/google/uuid"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/demo"
	"velamen/internal/store"
	"velamen/internal/store/intake"
	"velamen/science/basis"
)

// initCommand makes a new collection.
type initCommand struct {
	File      string   `arg:"" help:"The file to make, such as orchids.velamen."`
	Latitude  *float64 `help:"Where the plants stand, in decimal degrees, north positive: --latitude=-37.8" placeholder:"DEGREES"`
	Longitude *float64 `help:"The same, east positive: --longitude=145" placeholder:"DEGREES"`
	Sample    bool     `help:"Fill it with an invented collection for trying things out."`
}

func (c initCommand) Run(r *run) (err error) {
	place, err := c.place()
	if err != nil {
		return err
	}
	entries, err := c.entries(r, place)
	if err != nil {
		return err
	}
	s, err := store.Create(r.ctx, c.File, r.clock)
	if err != nil {
		return storeProblem("making the collection", err)
	}
	defer func() { err = errors.Join(err, storeProblem("closing the collection", s.Close())) }()
	if _, err := s.Append(r.ctx, entries); err != nil {
		return storeProblem("filling the collection", err)
	}
	fmt.Fprintf(r.out, "The collection is in %s, photographs will be in %s.\n", c.File, store.PhotoFolder(c.File))
	if c.Sample {
		fmt.Fprintln(r.out, "No plant in it exists: it is for trying things out.")
	}
	fmt.Fprintf(r.out, "A spreadsheet or case file of your own:  velamen import %s plants.csv\n", c.File)
	return nil
}

// place checks the coordinates; nil when none are given.
func (c initCommand) place() (*care.Place, error) {
	if c.Latitude == nil && c.Longitude == nil {
		return nil, nil
	}
	var place care.Place
	for _, d := range []struct {
		flag  string
		value *float64
		most  float64
		into  *basis.Value
	}{{"latitude", c.Latitude, 90, &place.LatitudeDeg}, {"longitude", c.Longitude, 180, &place.LongitudeDeg}} {
		if d.value == nil {
			continue
		}
		if !(*d.value >= -d.most && *d.value <= d.most) {
			return nil, fmt.Errorf("--%s %g is outside −%g to %g degrees", d.flag, *d.value, d.most, d.most)
		}
		*d.into = basis.Exactly(*d.value, "°", basis.Given, "")
	}
	return &place, nil
}

// entries returns what the new collection starts with.
func (c initCommand) entries(r *run, place *care.Place) ([]care.Entry, error) {
	if c.Sample {
		if place != nil {
			return nil, errors.New("the invented collection has its own place; leave out --sample or the coordinates")
		}
		return sample(r)
	}
	if place == nil {
		return nil, nil
	}
	return []care.Entry{{ID: newID(), At: r.clock(), Kind: care.PlaceSet, Detail: care.Detail{Place: place}}}, nil
}

// sample returns the invented collection as entries.
func sample(r *run) ([]care.Entry, error) {
	tables, err := culture.Load()
	if err != nil {
		return nil, failed("reading the culture tables", err)
	}
	kase, units, err := casefile.Read(strings.NewReader(demo.CaseFile(r.today)), demo.FileName, tables)
	if err != nil {
		return nil, failed("reading the invented collection", err)
	}
	settings := care.Entry{
		ID: newID(), At: r.clock(), Kind: care.SettingsSet, Detail: care.Detail{Settings: &care.Settings{Units: units, SampleDataOnly: true}},
	}
	into := intake.Into{Have: care.Replay([]care.Entry{settings}, r.clock()), Tables: tables, Now: r.clock(), NewID: newID}
	draft := intake.Case(kase, units, into)
	if n := draft.Problems(); n > 0 {
		return nil, failed("reading the invented collection", fmt.Errorf("%d problems", n))
	}
	return append([]care.Entry{settings}, draft.Entries...), nil
}

// newID makes an id, later than all made before.
func newID() string { return uuid.Must(uuid.NewV7()).String() }

// storeProblem tells apart what the person can mend about a collection's file
// from what failed.
func storeProblem(doing string, err error) error {
	if err == nil {
		return nil
	}
	var newer *store.Newer
	var drift *store.Drift
	var conflict *store.Conflict
	if errors.As(err, &newer) || errors.As(err, &drift) || errors.As(err, &conflict) {
		return err
	}
	for _, mendable := range []error{store.ErrInUse, store.ErrForeign, store.ErrExists, store.ErrUnfinished,
		store.ErrDiskFull, store.ErrDiskReadOnly, store.ErrLocked} {
		if errors.Is(err, mendable) {
			return err
		}
	}
	if errors.Is(err, store.ErrMissing) {
		return fmt.Errorf("%w; make a collection with: velamen init FILE", err)
	}
	return failed(doing, err)
}
