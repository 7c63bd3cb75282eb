package store

import (
	"errors"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"velamen/internal/care"
)

// A block gives back what was packed, whatever it is.
func TestBlocksGiveBackWhatWasPacked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := blockOf(rapid.Int64Range(-1e9, 4e9).Draw(t, "at"))
		times := rapid.SliceOfNDistinct(rapid.Int64Range(start, start+blockSeconds-1), 1, 200, rapid.ID).Draw(t, "times")
		slices.Sort(times)
		list := make([]readingAt, len(times))
		for i, at := range times {
			list[i] = readingAt{at, rapid.Int64Range(-1e9, 1e9).Draw(t, "value")}
		}
		got, err := unpackBlock(nil, start, packBlock(start, list))
		if err != nil || !slices.Equal(got, list) {
			t.Fatalf("got %v, %v, packed %v", got, err, list)
		}
	})
}

// Readings at regular times that change slowly take little more than a byte each.
func BenchmarkPackBlock(b *testing.B) {
	list := make([]readingAt, 1440)
	for i := range list {
		list[i] = readingAt{int64(10 * i), 2000 + int64(i*7%23)}
	}
	size := 0
	for b.Loop() {
		size = len(packBlock(0, list))
	}
	b.ReportMetric(float64(size)/float64(len(list)), "bytes/reading")
}

func FuzzUnpackBlock(f *testing.F) {
	f.Add(packBlock(14400, []readingAt{{14400, 2150}, {14460, 2151}, {14520, 2149}, {20000, -3}}))
	f.Fuzz(func(t *testing.T, packed []byte) {
		list, err := unpackBlock(nil, 14400, packed)
		if err != nil {
			return
		}
		again, err := unpackBlock(nil, 14400, packBlock(14400, list))
		if err != nil || !slices.Equal(again, list) || len(list) == 0 {
			t.Errorf("%v becomes %v, %v", list, again, err)
		}
	})
}

// measured returns a closed collection with readings and their summaries.
func measured(t *testing.T) string {
	t.Helper()
	path := made(t)
	s, err := Open(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var list []care.Reading
	for at := fixedNow().Add(-9 * time.Hour); at.Before(fixedNow()); at = at.Add(10 * time.Minute) {
		for quantity, value := range map[care.Quantity]float64{care.AirTemperature: 21.5, care.AirHumidity: 60} {
			list = append(list, care.Reading{Space: "bench", Source: "logger", Quantity: quantity, At: at, Value: value})
		}
	}
	if _, err := s.KeepReadings(t.Context(), list); err != nil {
		t.Fatal(err)
	}
	settleIn(t, s)
	return path
}

func settleIn(t *testing.T, s *Store) {
	t.Helper()
	if _, err := s.Settle(t.Context(), func(string) care.DayClock { return care.DayClock{Zone: time.UTC} }, nil); err != nil {
		t.Fatal(err)
	}
}

// What sensors measured is never given out changed, by whatever cell it comes; the
// check finds it.
func TestChangedReadingsAreNotGivenOut(t *testing.T) {
	for _, statement := range []string{
		"UPDATE reading_block SET packed = CAST(X'0101' || substr(packed, 3) AS BLOB)",
		"UPDATE reading_block SET start = start + 14400 WHERE start = (SELECT max(start) FROM reading_block)",
		"UPDATE reading_block SET digest = zeroblob(32)",
		"UPDATE channel SET source = 'logges'",
		"UPDATE channel SET quantity = 'light' WHERE quantity = 'humidity'",
		"UPDATE measured_space SET name = 'binch'",
	} {
		path := measured(t)
		change(t, path, statement)
		s, err := Open(t.Context(), path, fixedNow)
		if err != nil {
			t.Fatal(err)
		}
		var found error
		for r, err := range s.Readings(t.Context(), ReadingQuery{}) {
			if found = err; err == nil && r.Value != 21.5 && r.Value != 60 {
				t.Errorf("%s: %+v is given out", statement, r)
			}
		}
		_, sensors := s.Sensors(t.Context())
		var damaged *Damaged
		if !errors.As(found, &damaged) || !errors.As(sensors, &damaged) {
			t.Errorf("%s: readings give %v, sensors %v", statement, found, sensors)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if r := verify(t, path); len(r.Damage) == 0 {
			t.Errorf("%s: the check finds nothing", statement)
		}
	}
}

// A changed summary is not given out, and is made again from the readings.
func TestChangedSummariesAreMadeAgain(t *testing.T) {
	from, until := fixedNow().AddDate(0, 0, -2), fixedNow().AddDate(0, 0, 2)
	for _, statement := range []string{
		"UPDATE climate_hour SET temp_max = temp_max + 1",
		"UPDATE climate_hour SET lit = 1 - lit",
		`UPDATE climate_day SET summary = replace(summary, '21.5', '25.5')`,
	} {
		path := measured(t)
		change(t, path, statement)
		if r := verify(t, path); len(r.Damage) == 0 {
			t.Errorf("%s: the check finds nothing", statement)
		}
		s, err := Open(t.Context(), path, fixedNow)
		if err != nil {
			t.Fatal(err)
		}
		read := func() error {
			_, hours := s.ClimateHours(t.Context(), "bench", from, until)
			_, days := s.ClimateDays(t.Context(), "bench", from, until)
			return errors.Join(hours, days)
		}
		var damaged *Damaged
		if err := read(); !errors.As(err, &damaged) {
			t.Errorf("%s: reading gives %v", statement, err)
		}
		settleIn(t, s)
		if err := read(); err != nil {
			t.Errorf("%s: made again, reading gives %v", statement, err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if r := verify(t, path); !r.Sound() {
			t.Errorf("%s: made again: %+v", statement, r)
		}
	}
}

// How far a file was imported counts for nothing once it was changed: the file is
// read anew, and nothing is skipped.
func TestAChangedMarkOfAFileStartsAnew(t *testing.T) {
	path := made(t)
	s, err := Open(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	mark := FileMark{Digest: [32]byte{1}, Name: "log.csv", Lines: 40}
	if _, err := s.KeepOfFile(t.Context(), mark, nil); err != nil {
		t.Fatal(err)
	}
	if m, err := s.FileMarkOf(t.Context(), mark.Digest, mark.Name); err != nil || m.Lines != 40 {
		t.Errorf("%+v, %v", m, err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	change(t, path, "UPDATE reading_file SET lines = 168")
	if s, err = Open(t.Context(), path, fixedNow); err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if m, err := s.FileMarkOf(t.Context(), mark.Digest, mark.Name); err != nil || m.Lines != 0 {
		t.Errorf("changed: %+v, %v", m, err)
	}
}

// What is noted of a picture is never given out changed; sent again, the picture is
// noted anew.
func TestChangedNotesOfAPictureAreNotGivenOut(t *testing.T) {
	path, photos := filled(t)
	change(t, path, "UPDATE photo SET width = width + 64, taken = 1 WHERE hash = '"+photos[0].Hash+"'")
	s, err := Open(t.Context(), path, fixedNow)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var damaged *Damaged
	if _, err := s.PhotoInfo(t.Context(), photos[0].Hash); !errors.As(err, &damaged) {
		t.Errorf("got %v", err)
	}
	if r := verify(t, path); len(r.Damage) != 1 || r.Photos != 1 {
		t.Errorf("%+v", r)
	}
	if p, err := s.PutPhoto(t.Context(), Photo{MediaType: "image/jpeg"}, []byte("the first picture")); err != nil || p.Width != 0 || !p.Taken.IsZero() {
		t.Errorf("sent again: %+v, %v", p, err)
	}
	if r := verify(t, path); !r.Sound() || r.Photos != 2 {
		t.Errorf("after that: %+v", r)
	}
}
