package care

import (
	"strings"
	"time"
)

// Kept counts what became of readings.
type Kept struct {
	Added   int `json:"added"`
	Doubled int `json:"doubled"` // were there already
	Differ  int `json:"differ"`  // another value was there for the same moment; that one stays
}

// Add adds other counts.
func (k *Kept) Add(o Kept) { k.Added += o.Added; k.Doubled += o.Doubled; k.Differ += o.Differ }

// FileMark says how far the import of a file has come. The digest is of the file
// and of how it is read, so that reading it in another way starts anew.
type FileMark struct {
	Digest [32]byte
	Name   string
	Lines  int // read and kept so far, headings included
	Kept   Kept
}

// Delivery is one message of a broker, kept together with its readings: when it
// comes again because its acknowledgement was lost, it is known.
type Delivery struct {
	Client string // name of the session with the broker
	Packet uint16
	Digest [32]byte // of topic and content
	Again  bool     // the broker says that it sent it before
}

// Changed says from when on the summaries of spaces changed, by their names in
// small letters.
type Changed map[string]time.Time

// Note notes that a space changed from a time on.
func (c Changed) Note(space string, from time.Time) {
	key := strings.ToLower(space)
	if known, ok := c[key]; !ok || from.Before(known) {
		c[key] = from
	}
}
