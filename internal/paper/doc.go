// Package paper makes what leaves the screen as PDF: the course of one plant on
// one page, the round for whoever stands in, the work of a season, and labels.
//
// Pages are A4 or US Letter (ISO 216; ANSI Y14.1) and grayscale throughout, so
// that any printer will do. Text is set in the Go fonts (a BSD licence), which
// hold the letters of most plant names, and where they lack one in Liberation Sans
// (SIL Open Font License), which holds the rest of Latin and Cyrillic. A letter
// that neither has is shown as a box, and the page says so. A name too long for
// its place is broken into lines or set smaller, never cut.
//
// Not modelled: hyphenation, right-to-left and East Asian scripts, colour.
package paper
