package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"strings"

	"velamen/internal/care"
)

// Progress is told how far long work has come. It may be nil.
type Progress func(doing string, done, total int)

func (p Progress) tell(doing string, done, total int) {
	if p != nil && (done%256 == 0 || done == total) {
		p(doing, done, total)
	}
}

// Report is what a check of a collection found.
type Report struct {
	Schema   int64
	Entries  int
	Photos   int
	Readings int
	Damage   []Damaged // of the file, its tables and its entries
	Lost     []Damaged // photographs that are missing or damaged
	Notes    []string  // worth knowing, no damage
	more     int
}

// Sound reports whether nothing at all is damaged.
func (r *Report) Sound() bool { return len(r.Damage) == 0 && len(r.Lost) == 0 }

// mostDamage bounds the list of what is damaged; the rest is counted.
const mostDamage = 200

func (r *Report) damage(what, format string, args ...any) {
	if len(r.Damage) == mostDamage {
		r.more++
		return
	}
	r.Damage = append(r.Damage, Damaged{What: what, Why: fmt.Sprintf(format, args...)})
}

// Verify reads a whole collection and reports everything that is damaged: the
// file by SQLite's own check, references between tables, the tables against
// their schema, each entry's digest and content, each photograph's hash. It
// changes nothing, and may run while another process writes the file. The
// error is about the check itself, not about damage.
func Verify(ctx context.Context, path string, progress Progress) (Report, error) {
	var r Report
	path, err := find(path)
	if err != nil {
		return r, err
	}
	db, err := connect(path, reading.on(path), 1)
	if err != nil {
		return r, err
	}
	defer db.Close()
	if r.Schema, err = identify(ctx, db, path); err != nil {
		var newer *Newer
		if errors.As(err, &newer) || ctx.Err() != nil {
			return r, err
		}
		r.damage("the file", "%v", err)
		return r, nil
	}
	v := verifier{db: db, path: path, r: &r, progress: progress, pictured: map[string]bool{}}
	return r, v.all(ctx)
}

type verifier struct {
	db       *sql.DB
	path     string
	r        *Report
	progress Progress
	pictured map[string]bool // hashes that entries speak of
}

func (v *verifier) all(ctx context.Context) error {
	steps := []func(context.Context) error{v.file, v.references, v.schema, v.entries}
	if v.r.Schema >= 2 {
		steps = append(steps, v.photos)
	}
	switch {
	case v.r.Schema >= 6:
		steps = append(steps, v.readings, v.summaries)
	case v.r.Schema >= 4:
		steps = append(steps, v.plainReadings)
	}
	for _, step := range steps {
		// A damaged page makes a query fail: that is a finding, and what else
		// can be read is still worth checking.
		if err := step(ctx); err != nil {
			if ctx.Err() != nil {
				return fmt.Errorf("stopped: %w", ctx.Err())
			}
			v.r.damage("the file", "%v", err)
		}
	}
	if v.r.more > 0 {
		v.r.Damage = append(v.r.Damage, Damaged{What: "and", Why: fmt.Sprintf("%d more", v.r.more)})
	}
	return nil
}

func (v *verifier) file(ctx context.Context) error {
	v.progress.tell("checking the file", 0, 0)
	rows, err := v.db.QueryContext(ctx, "PRAGMA integrity_check(50)")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			return err
		}
		if text != "ok" {
			v.r.damage("the file", "%s", strings.TrimSpace(text))
		}
	}
	return rows.Err()
}

func (v *verifier) references(ctx context.Context) error {
	rows, err := v.db.QueryContext(ctx, "PRAGMA foreign_key_check")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var table, parent string
		var rowid sql.NullInt64
		var key int64
		if err := rows.Scan(&table, &rowid, &parent, &key); err != nil {
			return err
		}
		v.r.damage("table "+table, "row %d refers to a row of %s that is not there", rowid.Int64, parent)
	}
	return rows.Err()
}

func (v *verifier) schema(ctx context.Context) error {
	if v.r.Schema < Version {
		v.r.Notes = append(v.r.Notes, fmt.Sprintf("the file has schema %d; this release brings it to %d when it is next opened", v.r.Schema, Version))
		return nil
	}
	err := checkSchema(ctx, v.db, v.path)
	var drift *Drift
	if errors.As(err, &drift) {
		v.r.damage("the tables", "changed by another program: %s", list(drift.Objects))
		return nil
	}
	return err
}

func (v *verifier) entries(ctx context.Context) error {
	var total int
	if err := v.db.QueryRowContext(ctx, "SELECT count(*) FROM entry").Scan(&total); err != nil {
		return err
	}
	rows, err := v.db.QueryContext(ctx, "SELECT "+entryColumns+", digest, seq FROM entry ORDER BY seq")
	if err != nil {
		return err
	}
	defer rows.Close()
	next := int64(1)
	for rows.Next() {
		var r row
		var seq int64
		if err := r.scan(rows, &r.digest, &seq); err != nil {
			return err
		}
		if seq != next {
			v.r.damage("the journal", "%d entries are missing before entry %s", seq-next, r.id)
		}
		next = seq + 1
		v.entry(&r)
		v.r.Entries++
		v.progress.tell("checking entries", v.r.Entries, total)
	}
	return rows.Err()
}

// changedSince says that an entry is not what was recorded.
const changedSince = "it was changed after it was recorded: its digest does not match"

func (v *verifier) entry(r *row) {
	what := "entry " + r.id
	if string(r.sum()) != string(r.digest) {
		v.r.damage(what, changedSince)
	}
	e, err := r.entry()
	if err != nil {
		var damaged *Damaged
		errors.As(err, &damaged)
		v.r.damage(what, "%s", damaged.Why)
		return
	}
	for _, problem := range e.Check(e.Recorded) {
		v.r.damage(what, "%v", problem)
	}
	if e.Detail.Photo != "" {
		v.pictured[e.Detail.Photo] = true
	}
}

// readings checks the digest of every block of readings, and that what it holds can
// be.
func (v *verifier) readings(ctx context.Context) error {
	var total int
	if err := v.db.QueryRowContext(ctx, "SELECT count(*) FROM reading_block").Scan(&total); err != nil {
		return err
	}
	rows, err := v.db.QueryContext(ctx, `SELECT m.name, c.source, c.quantity, b.start, b.packed, b.digest
		FROM channel c JOIN measured_space m ON m.id = c.space JOIN reading_block b ON b.channel = c.id`)
	if err != nil {
		return err
	}
	defer rows.Close()
	var list []readingAt
	for n := 1; rows.Next(); n++ {
		var of measures
		var start int64
		var packed, digest sql.RawBytes
		if err := rows.Scan(&of.space, &of.source, &of.quantity, &start, &packed, &digest); err != nil {
			return err
		}
		v.progress.tell("checking readings", n, total)
		read, err := of.open(list[:0], start, packed, digest)
		var damaged *Damaged
		if errors.As(err, &damaged) {
			v.r.damage(damaged.What, "%s", damaged.Why)
			continue
		}
		list = read
		v.r.Readings += len(list)
		low, high, unit := of.quantity.Range()
		for _, r := range list {
			if value := of.reading(r).Value; value < low || value > high {
				v.r.damage(of.String(), "says %g %s, which cannot be", value, unit)
				break
			}
		}
	}
	return rows.Err()
}

// summaries checks the digests of what is made from readings.
func (v *verifier) summaries(ctx context.Context) error {
	return eachSummary(ctx, v.db, 0, func(damaged *Damaged) { v.r.damage(damaged.What, "%s", damaged.Why) })
}

// plainReadings is readings for files of a schema that had no blocks: their range
// is all that tells.
func (v *verifier) plainReadings(ctx context.Context) error {
	v.progress.tell("checking readings", 0, 0)
	rows, err := v.db.QueryContext(ctx, `SELECT m.name, c.source, c.quantity, count(r.at), min(r.value), max(r.value)
		FROM channel c JOIN measured_space m ON m.id = c.space JOIN reading r ON r.channel = c.id GROUP BY c.id`)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var space, source string
		var quantity care.Quantity
		var n int
		var least, most float64
		if err := rows.Scan(&space, &source, &quantity, &n, &least, &most); err != nil {
			return err
		}
		v.r.Readings += n
		low, high, unit := quantity.Range()
		if least, most = least/steps[quantity], most/steps[quantity]; least < low || most > high {
			v.r.damage(fmt.Sprintf("the %s by %s in %s", quantity, source, space), "goes from %g to %g %s, which cannot be", least, most, unit)
		}
	}
	return rows.Err()
}

func (v *verifier) photos(ctx context.Context) error {
	var list []Photo
	columns, scan := photoColumns, scanPhoto
	if v.r.Schema < 6 {
		columns, scan = unsealedColumns, func(from interface{ Scan(...any) error }) (Photo, error) {
			p, _, err := scanUnsealed(from)
			return p, err
		}
	}
	rows, err := v.db.QueryContext(ctx, "SELECT "+columns+" FROM photo ORDER BY hash")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		p, err := scan(rows)
		var damaged *Damaged
		if errors.As(err, &damaged) {
			v.r.damage(damaged.What, "%s", damaged.Why)
			continue
		}
		if err != nil {
			return err
		}
		list = append(list, p)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for _, p := range list {
		if err := ctx.Err(); err != nil {
			return err
		}
		v.r.Photos++
		v.progress.tell("checking photographs", v.r.Photos, len(list))
		delete(v.pictured, p.Hash)
		if _, err := readPhoto(p, v.path); err != nil {
			var damaged *Damaged
			if !errors.As(err, &damaged) {
				damaged = &Damaged{What: "photograph " + p.Hash, Why: err.Error()}
			}
			v.r.Lost = append(v.r.Lost, *damaged)
		}
	}
	if n := len(v.pictured); n > 0 {
		v.r.Notes = append(v.r.Notes, fmt.Sprintf("%d photographs are spoken of in entries but have not arrived yet", n))
	}
	return v.strays(list)
}

// strays counts files in the folder of photographs that nothing refers to.
func (v *verifier) strays(list []Photo) error {
	files, err := os.ReadDir(PhotoFolder(v.path))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	known := map[string]bool{}
	for _, p := range list {
		known[p.Hash+endings[p.MediaType]] = true
	}
	n := 0
	for _, f := range files {
		if !known[f.Name()] {
			n++
		}
	}
	if n > 0 {
		v.r.Notes = append(v.r.Notes, fmt.Sprintf("%d files in %s belong to no photograph", n, PhotoFolder(v.path)))
	}
	return nil
}
