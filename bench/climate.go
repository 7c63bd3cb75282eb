package main

import (
	"bufio"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"time"
)

// writeLog writes a logger's file of temperature and humidity every ten seconds.
func writeLog(path string, rows int) (err error) {
	file, err := os.Create(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	w := bufio.NewWriterSize(file, 1<<20)
	if _, err := w.WriteString("Time,Temperature (°C),Humidity (%)\n"); err != nil {
		return err
	}
	const every = 10 * time.Second
	at := time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC).Add(-time.Duration(rows) * every)
	for i := range rows {
		line := at.AppendFormat(w.AvailableBuffer(), "2006-01-02 15:04:05")
		day := math.Sin(float64(i) * 2 * math.Pi / 8640)
		line = append(line, ',')
		line = strconv.AppendFloat(line, 20+4*day+0.1*float64(i%7), 'f', 2, 64)
		line = append(line, ',')
		line = strconv.AppendFloat(line, 65-12*day+0.5*float64(i%5), 'f', 1, 64)
		if _, err := w.Write(append(line, '\n')); err != nil {
			return err
		}
		at = at.Add(every)
	}
	return w.Flush()
}

// hourOf is what is compared of an hour: lines, and lowest, mean and highest of
// temperature, humidity and deficit.
type hourOf [10]float64

// hoursIn reads hours from a table whose first cell begins with day and hour.
func hoursIn(path string, skip int) (map[string]hourOf, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	r := csv.NewReader(bufio.NewReader(file))
	r.FieldsPerRecord = -1
	hours := map[string]hourOf{}
	for n := 0; ; n++ {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return hours, nil
		}
		if err != nil {
			return nil, err
		}
		if n < skip {
			continue
		}
		var h hourOf
		if len(cells) < 1+len(h) || len(cells[0]) < 13 {
			return nil, fmt.Errorf("%s, line %d: %q is no hour", filepath.Base(path), n+1, cells)
		}
		for i := range h {
			if h[i], err = strconv.ParseFloat(cells[1+i], 64); err != nil {
				return nil, err
			}
		}
		hours[cells[0][:10]+" "+cells[0][11:13]] = h
	}
}

// hoursApart returns the largest difference of two tables, which must have the
// same hours. Velamen counts readings, two to a line.
func hoursApart(ours, theirs map[string]hourOf) (float64, error) {
	if len(ours) != len(theirs) || len(ours) == 0 {
		return 0, fmt.Errorf("%d hours here, %d there", len(ours), len(theirs))
	}
	most := 0.0
	for name, o := range ours {
		t, there := theirs[name]
		if !there || o[0] != 2*t[0] {
			return 0, fmt.Errorf("hour %s: %v readings here, %v lines there", name, o[0], t[0])
		}
		for i := 1; i < len(o); i++ {
			most = math.Max(most, math.Abs(o[i]-t[i]))
		}
	}
	return most, nil
}

// climate measures a logger's file to hourly climate.
func (b *bench) climate(ctx context.Context) (report, error) {
	r := report{Title: fmt.Sprintf("A logger's file of %s lines to hourly climate", thousands(b.rows))}
	log := filepath.Join(b.work, "log.csv")
	b.say("climate: writing the logger's file")
	if err := writeLog(log, b.rows); err != nil {
		return r, err
	}
	defer os.Remove(log)
	info, err := os.Stat(log)
	if err != nil {
		return r, err
	}
	// several runs a program; the whole process counts, from its start.
	several := func(name string, args ...string) (cost, error) {
		var costs []cost
		for range b.repeats {
			_, c, _, err := program(ctx, b.work, "", name, args...)
			if err != nil {
				return cost{}, err
			}
			costs = append(costs, c)
		}
		return median(costs), nil
	}
	b.say("climate: velamen readings hours")
	ours, err := several(b.binary, "readings", "hours", "log.csv", "ours.csv", "--zone", "UTC", "--replace")
	if err != nil {
		return r, err
	}
	mine, err := hoursIn(filepath.Join(b.work, "ours.csv"), 1)
	if err != nil {
		return r, err
	}
	const near = 0.0006 // half of the last digit that is written, and a little
	same := func(name string) (string, error) {
		theirs, err := hoursIn(filepath.Join(b.work, "hourly.csv"), 0)
		if err != nil {
			return "", err
		}
		most, err := hoursApart(mine, theirs)
		if err == nil && !(most <= near) {
			err = fmt.Errorf("they differ by %g", most)
		}
		if err != nil {
			return "", fmt.Errorf("velamen and %s: %w", name, err)
		}
		return fmt.Sprintf("%d hours within %.1g", len(mine), most), nil
	}
	const task = "hourly climate, nothing kept"
	var sqlite cost
	if has("sqlite3", "--version") {
		b.say("climate: sqlite3")
		script, err := os.ReadFile(filepath.Join(b.root, peerFolder, "climate.sql"))
		if err != nil {
			return r, err
		}
		// Once: it is long, and its processor time hardly varies.
		if _, sqlite, _, err = program(ctx, b.work, string(script), "sqlite3", ":memory:"); err != nil {
			return r, err
		}
		agree, err := same("sqlite3")
		if err != nil {
			return r, err
		}
		r.Rows = append(r.Rows, row{Task: task, Peer: "sqlite3, .import and SQL, in memory", Ours: ours, Their: sqlite, Same: agree})
	} else {
		r.Missing = append(r.Missing, "sqlite3 (Debian: sqlite3)")
	}
	duck := filepath.Join(b.root, peerFolder, "climate.mjs")
	if _, err := os.Stat(filepath.Join(b.root, "bench", "node_modules", "@duckdb")); err == nil && has("node", "--version") {
		b.say("climate: DuckDB")
		theirs, err := several("node", duck, "log.csv", "hourly.csv")
		if err != nil {
			return r, err
		}
		agree, err := same("DuckDB")
		if err != nil {
			return r, err
		}
		r.Rows = append(r.Rows, row{Task: task, Peer: "DuckDB, read_csv and SQL", Ours: ours, Their: theirs, Same: agree,
			Short: "the one reads and counts columns; the other also looks for gaps, spikes and steps of the clock, resolves the clock of the place, and tells which lines cannot be read and why"})
	} else {
		r.Missing = append(r.Missing, "DuckDB (npm: @duckdb/node-api, into bench/node_modules)")
	}
	b.say("climate: velamen readings import")
	kept, memory, bytes, err := b.importLog(ctx)
	if err != nil {
		return r, err
	}
	if sqlite.CPU > 0 {
		r.Rows = append(r.Rows, row{Task: "import: every reading kept on disk, once, and summed up", Peer: "sqlite3, .import and SQL, in memory", Ours: kept, Their: sqlite,
			Same:  "not the same work: Velamen keeps every reading on disk by sensor and moment, refuses doubles, and can be stopped and go on; sqlite3 holds text lines in memory and forgets them",
			Short: "it packs, seals and writes every reading, reads it again for its summaries, and waits for the disk at every transaction"})
	}
	r.Figures = append(r.Figures,
		figure{"import, lines a second by the clock", thousands(int(float64(b.rows) / kept.Wall.Seconds())), "readings import --yes, summaries included, on disk at the end"},
		figure{"import, most memory", megabytes(memory), "resident"},
		figure{"collection after the import", megabytes(bytes), fmt.Sprintf("%s readings and their summaries; the file had %s", thousands(2*b.rows), megabytes(info.Size()))},
		figure{"hours, lines a second by the clock", thousands(int(float64(b.rows) / ours.Wall.Seconds())), "readings hours: gaps, spikes and steps of the clock are looked for as well"})
	r.Notes = append(r.Notes, "Lowest, mean and highest temperature, humidity and vapour pressure deficit of every hour. Whole processes, from start to end, a file of comma-separated text on disk and in the page cache; DuckDB uses all cores.")
	return r, nil
}

// importLog imports the logger's file into a new collection.
func (b *bench) importLog(ctx context.Context) (c cost, memory, bytes int64, err error) {
	collection := filepath.Join(b.work, "import.velamen")
	defer func() {
		for _, end := range []string{"", "-wal", "-shm"} {
			os.Remove(collection + end)
		}
	}()
	if err := b.sampleCollection(ctx, collection); err != nil {
		return c, 0, 0, err
	}
	_, c, memory, err = program(ctx, b.work, "", b.binary, "readings", "import", collection, "log.csv", "--space", benchSpace, "--zone", "UTC", "--yes")
	if err != nil {
		return c, 0, 0, err
	}
	info, err := os.Stat(collection)
	if err != nil {
		return c, 0, 0, err
	}
	return c, memory, info.Size(), nil
}

func thousands(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + " " + text[i:]
	}
	return text
}
