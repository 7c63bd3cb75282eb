package store

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/pressly/goose/v3"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// schemaText is every table, index and trigger of the newest version, as
// SQLite itself writes them.
//
//go:embed schema.sql
var schemaText string

// Version is the schema this release reads and writes.
const Version = 6

// applicationID marks a file as a collection, at byte 68 of its header: the
// letters VELM.
const applicationID = 0x56454c4d

// migrations returns the steps between versions of the schema.
func migrations(db *sql.DB) (*goose.Provider, error) {
	steps, err := fs.Sub(migrationFiles, "migrations")
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectSQLite3, db, steps, goose.WithDisableGlobalRegistry(true), goose.WithGoMigrations(sealing))
}

// migrate brings a file to the newest version. Each step is one transaction.
func migrate(ctx context.Context, db *sql.DB) error {
	steps, err := migrations(db)
	if err != nil {
		return fmt.Errorf("reading the schema steps: %w", err)
	}
	if _, err := steps.Up(ctx); err != nil {
		return fmt.Errorf("bringing the file to schema %d: %w", Version, err)
	}
	return nil
}

// identify returns the schema version of a collection. A file that is none, or
// that a newer release wrote, is an error.
func identify(ctx context.Context, db *sql.DB, path string) (version int64, err error) {
	id, err := pragmaNumber(ctx, db, "application_id")
	switch {
	case notADatabase(err):
		return 0, fmt.Errorf("%s: %w", path, ErrForeign)
	case err != nil:
		return 0, err
	case id != applicationID:
		return 0, fmt.Errorf("%s: %w", path, ErrForeign)
	}
	if version, err = pragmaNumber(ctx, db, "user_version"); err != nil {
		return 0, err
	}
	if version > Version {
		return version, &Newer{Path: path, Have: version, Known: Version}
	}
	return version, nil
}

// schemaOf returns the tables, indices and triggers of a file, by name. Those
// of SQLite and of the migration record are not ours.
func schemaOf(ctx context.Context, db *sql.DB) (map[string]string, error) {
	rows, err := db.QueryContext(ctx, `SELECT type || ' ' || name, sql FROM sqlite_schema
		WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite\_%' ESCAPE '\' AND name NOT LIKE 'goose\_%' ESCAPE '\'`)
	if err != nil {
		return nil, fmt.Errorf("reading the schema: %w", err)
	}
	defer rows.Close()
	objects := map[string]string{}
	for rows.Next() {
		var name, text string
		if err := rows.Scan(&name, &text); err != nil {
			return nil, fmt.Errorf("reading the schema: %w", err)
		}
		objects[name] = text
	}
	return objects, rows.Err()
}

// schemaAsText writes objects in the order and form of schema.sql.
func schemaAsText(objects map[string]string) string {
	names := make([]string, 0, len(objects))
	for name := range objects {
		names = append(names, name)
	}
	slices.Sort(names)
	var b strings.Builder
	for _, name := range names {
		fmt.Fprintf(&b, "-- %s\n%s;\n\n", name, objects[name])
	}
	return b.String()
}

// checkSchema compares the tables of a file with those it should have.
func checkSchema(ctx context.Context, db *sql.DB, path string) error {
	objects, err := schemaOf(ctx, db)
	if err != nil {
		return err
	}
	if schemaAsText(objects) == schemaText {
		return nil
	}
	wanted := parseSchema(schemaText)
	var differ []string
	for name, text := range wanted {
		if objects[name] != text {
			differ = append(differ, name)
		}
	}
	for name := range objects {
		if _, ok := wanted[name]; !ok {
			differ = append(differ, name)
		}
	}
	slices.Sort(differ)
	return &Drift{Path: path, Objects: differ}
}

// parseSchema reads what schemaAsText writes.
func parseSchema(text string) map[string]string {
	objects := map[string]string{}
	for part := range strings.SplitSeq(text, ";\n\n") {
		name, sql, ok := strings.Cut(strings.TrimPrefix(part, "-- "), "\n")
		if ok {
			objects[name] = sql
		}
	}
	return objects
}
