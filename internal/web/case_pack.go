package web

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"fmt"
	"io"
	"strings"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
)

// A case travels in the address of its pages: nothing of it is stored here. It is
// the text of its case file, packed.

// longestCase is how large the text of a case may be that travels so; the file of
// one plant has about 1 kB.
const longestCase = 16 << 10

// packCase makes a case part of an address.
func packCase(c care.Case, u care.Units) (string, error) {
	text := casefile.Write(c, u)
	if len(text) > longestCase {
		return "", fmt.Errorf("%w: the case has %d letters; %d fit a page, and velamen case reads more", errBadRequest, len(text), longestCase)
	}
	var packed bytes.Buffer
	w, err := flate.NewWriter(&packed, flate.BestCompression)
	if err != nil {
		return "", err
	}
	if _, err := io.WriteString(w, text); err != nil {
		return "", err
	}
	if err := w.Close(); err != nil {
		return "", err
	}
	return base64.RawURLEncoding.EncodeToString(packed.Bytes()), nil
}

// unpackCase reads a case from an address. It has one plant.
func unpackCase(packed string, tables culture.Table) (care.Case, care.Units, error) {
	fail := func(err error) (care.Case, care.Units, error) {
		return care.Case{}, care.Units{}, fmt.Errorf("%w: the address holds no whole case: %w", errBadRequest, err)
	}
	content, err := base64.RawURLEncoding.DecodeString(packed)
	if err != nil {
		return fail(err)
	}
	text, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(content)), longestCase+1))
	switch {
	case err != nil:
		return fail(err)
	case len(text) > longestCase:
		return fail(fmt.Errorf("it is longer than %d letters", longestCase))
	}
	c, u, err := casefile.Read(strings.NewReader(string(text)), "case", tables)
	if err != nil {
		return fail(err)
	}
	if len(c.Plants) != 1 {
		return fail(fmt.Errorf("it tells of %d plants", len(c.Plants)))
	}
	return c, u, nil
}
