// Package intake turns what a grower already has, a case file or a spreadsheet
// of plants, into entries of the journal.
//
// Everything is first drafted: row by row, what would be added, what is worth
// a look and what is wrong. Nothing is added while anything is wrong. An intake
// adds and never changes: a space, water or feed that the collection knows
// under its name stays as it is, and a label that is in use is a mistake.
//
// Not modelled: bringing known plants up to date from a second spreadsheet, and
// spreadsheets in other formats than delimited text (RFC 4180, with other
// delimiters than the comma).
package intake
