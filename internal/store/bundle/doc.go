// Package bundle carries a whole collection in and out: as one JSON file with
// the photographs in it, which reads back to the same collection, and as CSV
// tables for spreadsheets.
//
// The JSON file (RFC 8259) is one object: "format" says "velamen-bundle-1",
// "entries" lists the journal in the order of recording, "photographs" the
// pictures with their content in base64 (RFC 4648), "readings" what sensors
// measured, sensor by sensor; without any it is left out. Entries are those of the
// care package. The tables follow RFC 4180; cells that a spreadsheet program
// would take for a formula are guarded by an apostrophe.
//
// Not modelled: sessions and secrets, which stay with their file.
package bundle
