// Package store keeps a collection in one SQLite file, with its photographs as
// files in a folder beside it.
//
// The journal is the only truth and only ever grows: triggers refuse to change
// or remove an entry, every entry carries a digest, and an append is on the
// disk before it is answered. Entries are numbered in the order of recording.
// The time of an entry is kept to the microsecond together with its offset
// from UTC in minutes, because the offset decides which calendar day it was;
// the time of recording is kept in UTC.
//
// One process at a time writes a file, over one connection; others may read it
// meanwhile. The file format is that of SQLite (sqlite.org/fileformat2.html)
// with write-ahead logging; the tables are those of schema.sql.
//
// Not modelled: several writers, encryption of the file, and removing entries.
package store
