// Package calendar writes the work to come as iCalendar (RFC 5545): a feed that
// calendar programs subscribe to, and to-dos that are ticked over CalDAV.
//
// The work of a day is one event with the list inside, so that a month of many
// jobs stays readable. An event belongs to its day: it is all-day unless an hour
// was asked for, in which case it carries its time zone. The UID of a day never
// changes. Its SEQUENCE only rises: it is the number of entries of the journal
// plus the number of days gone by, the two things that change what is due. A day
// of the feed on which nothing is due (any more) is there as cancelled.
//
// Not modelled: recurrence rules, since the rhythm of a course changes from week
// to week; invitations; free and busy times.
package calendar
