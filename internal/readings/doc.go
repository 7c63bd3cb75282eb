// Package readings takes in what sensors measured: the files of loggers,
// messages sent over HTTP, and messages of an MQTT broker.
//
// A logger's file is delimited text (RFC 4180 and its many relatives). How it is
// laid out is found out from its first lines and shown before anything is kept:
// the encoding, the mark between the cells, the decimal mark, the line of
// headings, what each column means and in which unit, the order of day and
// month, and the time zone. What cannot be told is asked for, not guessed.
// Times of a clock that is set forward and back are resolved by the IANA time
// zone database: a time that occurs twice by the order of the lines, one that
// never occurs is left out and named.
//
// Not modelled: the makers' own binary files, and sensors whose clocks drift.
package readings
