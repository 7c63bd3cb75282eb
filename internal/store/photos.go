package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"time"
)

// MaxPhotoBytes is the size of the largest picture that is kept.
const MaxPhotoBytes = 32 << 20

// endings are the picture formats that are kept, by media type.
var endings = map[string]string{"image/jpeg": ".jpg", "image/png": ".png", "image/webp": ".webp"}

// Photo is what is known of a picture besides its content.
type Photo struct {
	Hash      string    `json:"hash"` // SHA-256 of the content, in hexadecimal
	MediaType string    `json:"media_type"`
	Bytes     int       `json:"bytes"`
	Width     int       `json:"width"` // pixels; 0 when not known
	Height    int       `json:"height"`
	Taken     time.Time `json:"taken,omitzero"`
	Original  bool      `json:"original,omitempty"` // as it came from the camera
	Recorded  time.Time `json:"recorded,omitzero"`
}

// HashOf returns the hash that a picture is kept under.
func HashOf(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

// CheckPhoto reports a picture that cannot be kept.
func CheckPhoto(p Photo, content []byte) error {
	switch _, known := endings[p.MediaType]; {
	case !known:
		return fmt.Errorf("%q is not a picture format that is kept; JPEG, PNG and WebP are", p.MediaType)
	case len(content) == 0:
		return errors.New("the picture is empty")
	case len(content) > MaxPhotoBytes:
		return fmt.Errorf("the picture has %d bytes; %d are the most", len(content), MaxPhotoBytes)
	case p.Width < 0 || p.Height < 0:
		return fmt.Errorf("a picture cannot be %d × %d pixels", p.Width, p.Height)
	case p.Hash != "" && p.Hash != HashOf(content):
		return &Damaged{What: "photograph " + p.Hash, Why: "the content does not match its hash"}
	}
	return nil
}

// PhotoFolder returns the folder with the pictures of a collection.
func PhotoFolder(path string) string { return path + ".photos" }

func (p Photo) file(collection string) string {
	return filepath.Join(PhotoFolder(collection), p.Hash+endings[p.MediaType])
}

// PutPhoto keeps a picture and returns what is kept of it. A picture that is
// there already is passed over; if its file was lost or damaged, that is
// mended. Hash, Bytes and, unless given, Recorded are filled in.
func (s *Store) PutPhoto(ctx context.Context, p Photo, content []byte) (Photo, error) {
	if s.write == nil {
		return Photo{}, ErrReadOnly
	}
	if err := CheckPhoto(p, content); err != nil {
		return Photo{}, err
	}
	p.Hash, p.Bytes = HashOf(content), len(content)
	if p.Recorded.IsZero() {
		p.Recorded = s.stamp()
	}
	again := false
	var changed *Damaged
	switch there, err := s.PhotoInfo(ctx, p.Hash); {
	case err == nil:
		p = there
	case errors.As(err, &changed): // what was noted of it is lost; what is known now takes its place
		again = true
	case !errors.Is(err, ErrNotFound):
		return Photo{}, err
	}
	// The file comes first: a row without its file would be a broken promise,
	// a file without its row is merely unused.
	if _, err := readPhoto(p, s.path); err != nil {
		if err := os.MkdirAll(PhotoFolder(s.path), 0o700); err != nil {
			return Photo{}, fmt.Errorf("making the folder for photographs: %w", unkept(err))
		}
		err := WriteFile(p.file(s.path), true, func(w io.Writer) error {
			_, err := w.Write(content)
			return err
		})
		if err == nil {
			err = syncFolder(filepath.Dir(s.path))
		}
		if err != nil {
			return Photo{}, fmt.Errorf("keeping a photograph: %w", unkept(err))
		}
	}
	taken, zone := sql.NullInt64{}, int64(0)
	if !p.Taken.IsZero() {
		taken.Valid = true
		taken.Int64, zone = instant(p.Taken)
	}
	recorded, _ := instant(p.Recorded)
	err := s.change(ctx, func(tx *sql.Tx) error {
		cells := []any{p.Hash, p.MediaType, p.Bytes, p.Width, p.Height, taken, zone, p.Original, recorded}
		if again {
			if _, err := tx.ExecContext(ctx, "DELETE FROM photo WHERE hash = ?", p.Hash); err != nil {
				return err
			}
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO photo (hash, media, bytes, width, height, taken, zone, original, recorded, digest)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (hash) DO NOTHING`, append(cells, seal("photo", cells...))...)
		return err
	})
	if err != nil {
		return Photo{}, fmt.Errorf("keeping a photograph: %w", err)
	}
	return s.PhotoInfo(ctx, p.Hash)
}

const (
	unsealedColumns = "hash, media, bytes, width, height, taken, zone, original, recorded"
	photoColumns    = unsealedColumns + ", digest"
)

// scanPhoto reads what is noted of a picture. Notes that are no longer what was
// kept are never returned: that is a *Damaged.
func scanPhoto(from interface{ Scan(...any) error }) (Photo, error) {
	var digest []byte
	p, cells, err := scanUnsealed(from, &digest)
	if err == nil && !bytes.Equal(seal("photo", cells...), digest) {
		return Photo{}, &Damaged{What: "what is noted of photograph " + p.Hash, Why: changedSinceKept}
	}
	return p, err
}

// scanUnsealed reads unsealedColumns, and more, and returns their cells as well.
func scanUnsealed(from interface{ Scan(...any) error }, more ...any) (p Photo, cells []any, err error) {
	var taken sql.NullInt64
	var zone, recorded int64
	into := []any{&p.Hash, &p.MediaType, &p.Bytes, &p.Width, &p.Height, &taken, &zone, &p.Original, &recorded}
	err = from.Scan(append(into, more...)...)
	if taken.Valid {
		p.Taken = moment(taken.Int64, zone)
	}
	p.Recorded = moment(recorded, 0)
	return p, []any{p.Hash, p.MediaType, p.Bytes, p.Width, p.Height, taken, zone, p.Original, recorded}, err
}

// PhotoInfo returns what is known of a picture, or ErrNotFound.
func (s *Store) PhotoInfo(ctx context.Context, hash string) (Photo, error) {
	p, err := scanPhoto(s.read.QueryRowContext(ctx, "SELECT "+photoColumns+" FROM photo WHERE hash = ?", hash))
	if errors.Is(err, sql.ErrNoRows) {
		return Photo{}, fmt.Errorf("photograph %s: %w", hash, ErrNotFound)
	}
	return p, err
}

// Photo returns a picture with its content. Content that no longer matches its
// hash is never returned: that is a *Damaged.
func (s *Store) Photo(ctx context.Context, hash string) (Photo, []byte, error) {
	p, err := s.PhotoInfo(ctx, hash)
	if err != nil {
		return Photo{}, nil, err
	}
	content, err := readPhoto(p, s.path)
	return p, content, err
}

// readPhoto reads a picture's file and checks it.
func readPhoto(p Photo, collection string) ([]byte, error) {
	what := "photograph " + p.Hash
	f, err := os.Open(p.file(collection))
	if errors.Is(err, os.ErrNotExist) {
		return nil, &Damaged{What: what, Why: "its file is missing from " + PhotoFolder(collection)}
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	defer f.Close()
	content := bytes.NewBuffer(make([]byte, 0, p.Bytes+bytes.MinRead))
	if _, err := io.Copy(content, io.LimitReader(f, MaxPhotoBytes+1)); err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	if HashOf(content.Bytes()) != p.Hash {
		return nil, &Damaged{What: what, Why: "its file does not match its hash"}
	}
	return content.Bytes(), nil
}

// Photos streams what is known of every picture, by hash.
func (s *Store) Photos(ctx context.Context) iter.Seq2[Photo, error] {
	return func(yield func(Photo, error) bool) {
		rows, err := s.read.QueryContext(ctx, "SELECT "+photoColumns+" FROM photo ORDER BY hash")
		if err != nil {
			yield(Photo{}, err)
			return
		}
		defer rows.Close()
		for rows.Next() {
			p, err := scanPhoto(rows)
			if !yield(p, err) || err != nil {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(Photo{}, err)
		}
	}
}
