package calendar

import (
	"fmt"
	"hash/fnv"
	"time"

	"velamen/internal/care"
)

// Todo is one job as a to-do.
type Todo struct {
	Job     care.Job
	Done    bool
	Made    time.Time
	Entries int
}

// TodoUID is that of a job: the same however often it is worked out.
func TodoUID(key string) string {
	sum := fnv.New64a()
	sum.Write([]byte(key))
	second := fnv.New64()
	second.Write([]byte(key))
	return fmt.Sprintf("job-%016x%016x", sum.Sum64(), second.Sum64())
}

// Write returns the to-do as a calendar object.
func (t Todo) Write() string {
	var l lines
	l.put("BEGIN", "VCALENDAR")
	l.put("VERSION", "2.0")
	l.put("PRODID", productID)
	l.put("BEGIN", "VTODO")
	l.put("UID", TodoUID(t.Job.Key))
	l.put("DTSTAMP", utc(t.Made))
	l.put("SEQUENCE", fmt.Sprint(sequence(t.Entries, t.Made)))
	l.text("SUMMARY", taskTitle(t.Job))
	l.text("DESCRIPTION", t.Job.Amount)
	l.text("LOCATION", t.Job.Space)
	l.put("DTSTART;VALUE=DATE", t.Job.Due.Format(dateForm))
	l.put("DUE;VALUE=DATE", t.Job.Latest.AddDate(0, 0, 1).Format(dateForm))
	if t.Done {
		l.put("STATUS", "COMPLETED")
		l.put("PERCENT-COMPLETE", "100")
		l.put("COMPLETED", utc(t.Made))
	} else {
		l.put("STATUS", "NEEDS-ACTION")
	}
	l.put("END", "VTODO")
	l.put("END", "VCALENDAR")
	return l.String()
}
