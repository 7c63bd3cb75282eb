package store_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"velamen/internal/care"
	"velamen/internal/store"
	"velamen/science/light"

	_ "modernc.org/sqlite"
)

// keepAll keeps any number of readings.
func keepAll(t *testing.T, s *store.Store, list []care.Reading) (sum store.Kept) {
	t.Helper()
	for part := range slices.Chunk(list, store.ReadingBatch) {
		k, err := s.KeepReadings(t.Context(), part)
		if err != nil {
			t.Fatal(err)
		}
		sum.Added, sum.Doubled, sum.Differ = sum.Added+k.Added, sum.Doubled+k.Doubled, sum.Differ+k.Differ
	}
	return sum
}

func settle(t *testing.T, s *store.Store, k care.DayClock) {
	t.Helper()
	if _, err := s.Settle(t.Context(), func(string) care.DayClock { return k }, nil); err != nil {
		t.Fatal(err)
	}
}

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// weather invents readings of two sensors: one of air every 7 minutes and one of
// air and light every 20 s to 5 minutes, with gaps.
func weather(from time.Time, days int, seed uint64) []care.Reading {
	chance := rand.New(rand.NewPCG(seed, 2))
	var list []care.Reading
	for at := from; at.Before(from.AddDate(0, 0, days)); at = at.Add(7 * time.Minute) {
		hour := float64(at.Unix()%86400) / 3600
		temp := 20 + 6*math.Sin((hour-9)/24*2*math.Pi) + chance.Float64()
		list = append(list,
			care.Reading{Space: "shelf", Source: "logger", Quantity: care.AirTemperature, At: at, Value: temp},
			care.Reading{Space: "shelf", Source: "logger", Quantity: care.AirHumidity, At: at, Value: 60 - 10*math.Sin((hour-9)/24*2*math.Pi) + chance.Float64()},
		)
	}
	for at := from; at.Before(from.AddDate(0, 0, days)); at = at.Add(time.Duration(20+chance.IntN(280)) * time.Second) {
		if chance.IntN(3000) == 0 {
			at = at.Add(5 * time.Hour)
		}
		hour := float64(at.Unix()%86400) / 3600
		list = append(list,
			care.Reading{Space: "shelf", Source: "node", Quantity: care.AirTemperature, At: at, Value: 21 + chance.Float64()},
			care.Reading{Space: "shelf", Source: "node", Quantity: care.LeafLight, At: at, Value: math.Max(0, 400*math.Sin((hour-6)/12*math.Pi))},
		)
	}
	return list
}

var melbourne = care.DayClock{Site: &light.Site{LatDeg: -37.8, LonDeg: 145}}

// inTables puts the readings of a store into plain tables of their own, for SQL to
// reckon with.
func inTables(t *testing.T, s *store.Store) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", filepath.Join(t.TempDir(), "plain")) // in Go alone: the one in C knows no exp()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	tx, err := db.BeginTx(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	exec := func(query string, args ...any) {
		if _, err := tx.ExecContext(t.Context(), query, args...); err != nil {
			t.Fatal(err)
		}
	}
	exec("CREATE TABLE channel (id INTEGER PRIMARY KEY, source TEXT, quantity TEXT)")
	exec("CREATE TABLE reading (channel INTEGER, at INTEGER, value INTEGER, PRIMARY KEY (channel, at))")
	ids := map[[2]string]int{}
	for r, err := range s.Readings(t.Context(), store.ReadingQuery{}) {
		if err != nil {
			t.Fatal(err)
		}
		key := [2]string{r.Source, string(r.Quantity)}
		if ids[key] == 0 {
			ids[key] = len(ids) + 1
			exec("INSERT INTO channel VALUES (?, ?, ?)", ids[key], r.Source, string(r.Quantity))
		}
		steps := 100.0
		if r.Quantity == care.LeafLight {
			steps = 10
		}
		exec("INSERT INTO reading VALUES (?, ?, ?)", ids[key], r.At.Unix(), int64(math.Round(r.Value*steps)))
	}
	if err := tx.Commit(); err != nil {
		t.Fatal(err)
	}
	return db
}

// Hourly figures agree with those that SQL works out of the raw readings: minima,
// maxima, counts, and means in which each sensor counts the same. The vapour
// pressure deficit is checked with Tetens' equation as ASAE D271.2 and Murray
// (1967) have it, es = 0.61078·exp(17.269·T/(T+237.3)); FAO-56 differs by its
// rounding, below 0.1 %.
func TestHourlySummariesAgreeWithSQL(t *testing.T) {
	path := filepath.Join(t.TempDir(), "orchids.velamen")
	s := create(t, path, atStart)
	list := weather(atStart().AddDate(0, 0, -30).Add(-90*time.Minute), 20, 1)
	keepAll(t, s, list)
	k := melbourne
	k.Zone = zone(t, "Australia/Melbourne")
	settle(t, s, k)
	hours, err := s.ClimateHours(t.Context(), "Shelf", atStart().AddDate(0, -2, 0), atStart())
	if err != nil || len(hours) < 20*24-2 {
		t.Fatalf("%d hours, %v", len(hours), err)
	}
	db := inTables(t, s)
	rows, err := db.QueryContext(t.Context(), `
		WITH value AS (SELECT c.source, c.quantity, r.at / 3600 AS hour, r.value * CASE c.quantity WHEN 'light' THEN 0.1 ELSE 0.01 END AS v
				FROM reading r JOIN channel c ON c.id = r.channel),
			sensor AS (SELECT quantity, hour, source, min(v) AS low, avg(v) AS mean, max(v) AS high, count(*) AS n FROM value GROUP BY quantity, hour, source),
			every AS (SELECT quantity, hour, min(low) AS low, avg(mean) AS mean, max(high) AS high, sum(n) AS n FROM sensor GROUP BY quantity, hour),
			vpd AS (SELECT t.at / 3600 AS hour, avg(0.61078 * exp(17.269 * t.value / 100.0 / (t.value / 100.0 + 237.3)) * (1 - h.value / 10000.0)) AS mean
				FROM channel ct JOIN channel ch ON ch.source = ct.source AND ct.quantity = 'temperature' AND ch.quantity = 'humidity'
				JOIN reading t ON t.channel = ct.id JOIN reading h ON h.channel = ch.id AND h.at = t.at GROUP BY t.at / 3600)
		SELECT every.hour, quantity, low, every.mean, high, n, coalesce(vpd.mean, 0) FROM every LEFT JOIN vpd ON vpd.hour = every.hour`)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	byHour := map[int64]care.ClimateHour{}
	for _, h := range hours {
		byHour[h.Start.Unix()/3600] = h
	}
	compared := 0
	for rows.Next() {
		var hour int64
		var quantity care.Quantity
		var want care.Spread
		var vpd float64
		if err := rows.Scan(&hour, &quantity, &want.Min, &want.Mean, &want.Max, &want.Count, &vpd); err != nil {
			t.Fatal(err)
		}
		h := byHour[hour]
		got, within := h.TempC, 0.00051 // half of the step that summaries are kept in
		switch quantity {
		case care.AirHumidity:
			got = h.RHPercent
			if math.Abs(h.VPDKPa.Mean-vpd) > 0.001*vpd+0.0006 {
				t.Errorf("hour %d: deficit %g kPa, want %g", hour, h.VPDKPa.Mean, vpd)
			}
		case care.LeafLight:
			got, within = h.PPFD, 0.0051
		}
		if math.Abs(got.Min-want.Min) > within || math.Abs(got.Mean-want.Mean) > within || math.Abs(got.Max-want.Max) > within || got.Count != want.Count {
			t.Errorf("hour %d %s: %+v, want %+v", hour, quantity, got, want)
		}
		compared++
	}
	if err := rows.Err(); err != nil || compared < 1000 {
		t.Fatalf("%d figures compared, %v", compared, err)
	}
}

// The same readings give the same summaries whatever order and portions they
// come in, how often each comes, and when summaries are made in between.
func TestSummariesDoNotDependOnTheWay(t *testing.T) {
	k := melbourne
	k.Zone = zone(t, "Australia/Adelaide") // half an hour off
	list := weather(atStart().AddDate(0, 0, -12), 8, 3)
	read := func(s *store.Store) ([]care.ClimateHour, []care.ClimateDay) {
		hours, err := s.ClimateHours(t.Context(), "shelf", time.Time{}.AddDate(1990, 0, 0), atStart())
		if err != nil {
			t.Fatal(err)
		}
		days, err := s.ClimateDays(t.Context(), "shelf", time.Time{}.AddDate(1990, 0, 0), atStart().AddDate(0, 0, 2))
		if err != nil {
			t.Fatal(err)
		}
		return hours, days
	}
	once := create(t, filepath.Join(t.TempDir(), "once"), atStart)
	if got := keepAll(t, once, list); got.Added != len(list) || got.Doubled+got.Differ != 0 {
		t.Fatalf("%+v of %d", got, len(list))
	}
	settle(t, once, k)
	hours, days := read(once)
	if len(days) < 8 || days[3].DLIHours < 10 {
		t.Fatalf("%d days: %+v", len(days), days)
	}

	chance := rand.New(rand.NewPCG(4, 4))
	other := create(t, filepath.Join(t.TempDir(), "other"), atStart)
	mixed := slices.Concat(list, list[:3000])
	chance.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
	sum := store.Kept{}
	for part := range slices.Chunk(mixed, 1700) {
		got := keepAll(t, other, part)
		sum.Added, sum.Doubled, sum.Differ = sum.Added+got.Added, sum.Doubled+got.Doubled, sum.Differ+got.Differ
		if chance.IntN(2) == 0 {
			settle(t, other, k)
		}
	}
	if want := (store.Kept{Added: len(list), Doubled: 3000}); sum != want {
		t.Errorf("%+v, want %+v", sum, want)
	}
	settle(t, other, k)
	otherHours, otherDays := read(other)
	if diff := cmp.Diff(hours, otherHours); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(days, otherDays); diff != "" {
		t.Error(diff)
	}

	// Another clock, and back.
	far := k
	far.Zone = zone(t, "America/Los_Angeles")
	settle(t, other, far)
	if _, moved := read(other); cmp.Equal(days, moved) {
		t.Error("another time zone changes no day")
	}
	settle(t, other, k)
	if backHours, backDays := read(other); !cmp.Equal(hours, backHours) || !cmp.Equal(days, backDays) {
		t.Error("the days differ after the clock was set and set back")
	}
}

func TestAReadingIsKeptOnce(t *testing.T) {
	s := create(t, filepath.Join(t.TempDir(), "orchids.velamen"), atStart)
	one := care.Reading{Space: "shelf", Source: "typed", Quantity: care.AirTemperature, At: atStart().Add(-time.Hour), Value: 21.3}
	other := one
	other.Value = 31.3
	if got := keepAll(t, s, []care.Reading{one, one, other}); got != (store.Kept{Added: 1, Doubled: 1, Differ: 1}) {
		t.Errorf("%+v", got)
	}
	for _, wrong := range []care.Reading{
		{Space: "shelf", Quantity: care.AirTemperature, At: atStart(), Value: 85},
		{Space: "shelf", Quantity: care.AirHumidity, At: atStart(), Value: math.NaN()},
		{Space: "shelf", Quantity: "rain", At: atStart(), Value: 1},
		{Quantity: care.AirHumidity, At: atStart(), Value: 50},
		{Space: "shelf", Quantity: care.AirHumidity, At: atStart().AddDate(0, 0, 2), Value: 50},
		{Space: "shelf", Quantity: care.AirHumidity, Value: 50},
	} {
		fine := one
		fine.At = atStart()
		if _, err := s.KeepReadings(t.Context(), []care.Reading{fine, wrong}); err == nil {
			t.Errorf("%+v is kept", wrong)
		}
	}
	var values []float64
	for r, err := range s.Readings(t.Context(), store.ReadingQuery{Space: "shelf"}) {
		if err != nil {
			t.Fatal(err)
		}
		values = append(values, r.Value)
	}
	if !slices.Equal(values, []float64{21.3}) {
		t.Errorf("kept %v: an unsound batch must leave nothing behind", values)
	}
	if err := s.TakeBackReadings(t.Context(), "shelf", "typed", one.At); err != nil {
		t.Fatal(err)
	}
	if err := s.TakeBackReadings(t.Context(), "shelf", "typed", one.At); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("taking it back twice gives %v", err)
	}
	// Written down and taken back once more, both stay as they came, and count
	// for nothing.
	one.Value = 35.5
	if _, err := s.KeepReadings(t.Context(), []care.Reading{one}); err != nil {
		t.Fatal(err)
	}
	if err := s.TakeBackReadings(t.Context(), "shelf", "typed", one.At); err != nil {
		t.Fatal(err)
	}
	var kept []string
	for r, err := range s.Readings(t.Context(), store.ReadingQuery{}) {
		if err != nil {
			t.Fatal(err)
		}
		kept = append(kept, fmt.Sprintf("%s %g", r.Source, r.Value))
	}
	if want := []string{"typed, taken back 21.3", "typed, taken back, taken back 35.5"}; !slices.Equal(kept, want) {
		t.Errorf("kept %q, want %q", kept, want)
	}
	if _, err := s.Settle(t.Context(), func(string) care.DayClock { return care.DayClock{Zone: time.UTC} }, nil); err != nil {
		t.Fatal(err)
	}
	hours, err := s.ClimateHours(t.Context(), "shelf", one.At.Add(-time.Hour), one.At.Add(time.Hour))
	sensors, sensorsErr := s.Sensors(t.Context())
	if len(hours) > 0 || len(sensors) > 0 || err != nil || sensorsErr != nil {
		t.Errorf("what was taken back counts: %v, %v (%v, %v)", hours, sensors, err, sensorsErr)
	}
}

func TestASecondDeliveryChangesNothing(t *testing.T) {
	s := create(t, filepath.Join(t.TempDir(), "orchids.velamen"), atStart)
	d := store.Delivery{Client: "c", Packet: 7, Digest: [32]byte{1}}
	r := care.Reading{Space: "shelf", Source: "s", Quantity: care.AirTemperature, At: atStart(), Value: 20}
	keep := func(want bool, again bool, digest byte, at time.Time) {
		t.Helper()
		d.Again, d.Digest[0], r.At = again, digest, at
		if _, fresh, err := s.KeepDelivered(t.Context(), d, []care.Reading{r}); err != nil || fresh != want {
			t.Errorf("fresh %v, want %v (%v)", fresh, want, err)
		}
	}
	keep(true, false, 1, atStart())
	keep(false, true, 1, atStart().Add(time.Second))   // sent again
	keep(true, true, 2, atStart().Add(2*time.Second))  // marked so, but the first was never seen
	keep(true, false, 2, atStart().Add(3*time.Second)) // a new message that says the same
	keep(false, true, 2, atStart().Add(4*time.Second)) // and that one again
	n := 0
	for range s.Readings(t.Context(), store.ReadingQuery{}) {
		n++
	}
	if n != 3 {
		t.Errorf("%d readings, want 3", n)
	}
}

// A process that ends between keeping and summarising leaves nothing undone.
func TestSettlingGoesOnAfterAnEnd(t *testing.T) {
	path := filepath.Join(t.TempDir(), "orchids.velamen")
	k := melbourne
	k.Zone = time.UTC
	s, err := store.Create(t.Context(), path, atStart)
	if err != nil {
		t.Fatal(err)
	}
	keepAll(t, s, weather(atStart().AddDate(0, 0, -200), 190, 9)[:60000])
	ctx, stop := context.WithCancel(t.Context())
	_, err = s.Settle(ctx, func(string) care.DayClock { return k }, func(string, int, int) { stop() })
	if !errors.Is(err, context.Canceled) {
		t.Fatalf("stopped: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if s, err = store.Open(t.Context(), path, atStart); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	settle(t, s, k)
	days, err := s.ClimateDays(t.Context(), "shelf", atStart().AddDate(-1, 0, 0), atStart())
	if err != nil || len(days) < 100 {
		t.Fatalf("%d days, %v", len(days), err)
	}
}

// The daily sum of light agrees with the trapezoids that SQL makes of
// neighbouring readings no more than an hour apart.
func TestDailyLightAgreesWithSQL(t *testing.T) {
	path := filepath.Join(t.TempDir(), "orchids.velamen")
	s := create(t, path, atStart)
	from := atStart().Truncate(24*time.Hour).AddDate(0, 0, -20)
	keepAll(t, s, weather(from, 10, 5))
	k := care.DayClock{Zone: time.UTC}
	settle(t, s, k)
	days, err := s.ClimateDays(t.Context(), "shelf", from, atStart())
	if err != nil || len(days) < 10 {
		t.Fatalf("%d days, %v", len(days), err)
	}
	db := inTables(t, s)
	for _, day := range days[1:9] {
		// Steps that reach over midnight are shared out by time; at night, when
		// these cross it, both ends are dark.
		var mol, hours float64
		err := db.QueryRowContext(t.Context(), `
			WITH step AS (SELECT at, value * 0.1 AS v, lag(at) OVER (ORDER BY at) AS before, lag(value * 0.1) OVER (ORDER BY at) AS u
				FROM reading WHERE channel = (SELECT id FROM channel WHERE quantity = 'light'))
			SELECT sum((at - before) * (u + v) / 2) / 1e6, sum(min(at, ?2) - max(before, ?1)) / 3600.0
			FROM step WHERE at - before <= 3600 AND before < ?2 AND at > ?1`, day.Date.Unix(), day.Date.AddDate(0, 0, 1).Unix()).Scan(&mol, &hours)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(mol-day.DLIMol) > 1e-6 || math.Abs(hours-day.DLIHours) > 1e-6 || mol < 1 {
			t.Errorf("%s: %g mol over %g h, want %g over %g", day.Date.Format(time.DateOnly), day.DLIMol, day.DLIHours, mol, hours)
		}
	}
}
