package photo

import (
	"encoding/json"
	"errors"
	"fmt"
)

// Record tells which files belong to one picture. It is kept in the Folder
// like them, and its own hash is the one that the journal needs to remember:
// through it each file can be found and compared.
type Record struct {
	View      Stored  `json:"view"`
	Thumbnail Stored  `json:"thumbnail"`
	Original  *Stored `json:"original,omitempty"` // nil unless originals are kept
	Taken     Taken   `json:"taken"`
}

// Stored is one file of a picture.
type Stored struct {
	Hash      string `json:"sha256"`
	MediaType string `json:"media_type"`
	Width     int    `json:"width"` // px, as it is shown
	Height    int    `json:"height"`
	Bytes     int    `json:"bytes"`
}

// ErrNotARecord is the answer to the hash of a file that is something else.
var ErrNotARecord = errors.New("this file is not the record of a picture")

// Keep stores a picture and returns the hash of its record. The original is
// stored only if asked for. The record is written last, so that there is none
// whose files are missing. Keeping the same picture again changes nothing.
func (f *Folder) Keep(p *Picture, original bool) (record string, err error) {
	r := Record{View: p.View.stored(), Thumbnail: p.Thumbnail.stored(), Taken: p.Taken}
	prints := []Print{p.View, p.Thumbnail}
	if original {
		kept := p.Original.stored()
		r.Original = &kept
		prints = append(prints, p.Original)
	}
	for _, one := range prints {
		if _, err := f.Put(one.Bytes); err != nil {
			return "", err
		}
	}
	content, err := json.Marshal(r)
	if err != nil {
		return "", fmt.Errorf("writing the record of a picture: %w", err)
	}
	return f.Put(content)
}

// Record returns the record with the hash. Errors: those of Get, or
// ErrNotARecord.
func (f *Folder) Record(hash string) (Record, error) {
	content, err := f.Get(hash)
	if err != nil {
		return Record{}, err
	}
	var r Record
	if err := json.Unmarshal(content, &r); err != nil {
		return Record{}, ErrNotARecord
	}
	for _, s := range []*Stored{&r.View, &r.Thumbnail, r.Original} {
		if s != nil && (!isHash(s.Hash) || s.Width <= 0 || s.Height <= 0) {
			return Record{}, ErrNotARecord
		}
	}
	return r, nil
}

func (p Print) stored() Stored {
	return Stored{Hash: p.Hash, MediaType: p.MediaType, Width: p.Width, Height: p.Height, Bytes: len(p.Bytes)}
}
