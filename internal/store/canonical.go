package store

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"velamen/internal/care"
)

// Canonical returns an entry as it reads back after it was kept: its time to
// the microsecond with an offset in whole minutes, its detail as JSON carries
// it. What is kept twice is the same if the canonical forms are.
func Canonical(e care.Entry) (care.Entry, error) {
	r, err := rowOf(e)
	if err != nil {
		return care.Entry{}, err
	}
	return r.entry()
}

// row is one line of the entry table.
type row struct {
	id             string
	at, zone       int64 // microseconds since 1970, minutes east
	recorded       int64
	kind, plant    string
	corrects       string
	who            string
	detail, digest []byte
}

// rowOf returns an entry as it is kept.
func rowOf(e care.Entry) (row, error) {
	detail, err := canonicalDetail(e.Detail)
	if err != nil {
		return row{}, fmt.Errorf("entry %s: %w", e.ID, err)
	}
	at, zone := instant(e.At)
	recorded, _ := instant(e.Recorded)
	r := row{
		id: e.ID, at: at, zone: zone, recorded: recorded, kind: string(e.Kind), plant: e.Plant, corrects: e.Corrects,
		who: e.By, detail: detail,
	}
	for _, text := range []*string{&r.id, &r.kind, &r.plant, &r.corrects, &r.who} {
		*text = strings.ToValidUTF8(*text, "\uFFFD") // as JSON does it
	}
	r.digest = r.sum()
	return r, nil
}

// canonicalDetail writes a detail so that reading and writing it again gives
// the same text. The first writing may tell an empty list within an otherwise
// empty part from none, which reading does not.
func canonicalDetail(d care.Detail) ([]byte, error) {
	text, err := json.Marshal(d)
	if err != nil || string(text) == "{}" {
		return text, err
	}
	var read care.Detail
	if err := json.Unmarshal(text, &read); err != nil {
		return nil, err
	}
	return json.Marshal(read)
}

// instant returns a time in microseconds and minutes east of UTC.
func instant(t time.Time) (micros, zone int64) {
	_, seconds := t.Zone()
	return t.UnixMicro(), int64(seconds / 60)
}

// moment returns the time that instant took apart.
func moment(micros, zone int64) time.Time {
	if zone == 0 {
		return time.UnixMicro(micros).UTC()
	}
	return time.UnixMicro(micros).In(time.FixedZone("", int(zone)*60))
}

// entry returns what the row says.
func (r *row) entry() (care.Entry, error) {
	e := care.Entry{
		ID: r.id, At: moment(r.at, r.zone), Recorded: moment(r.recorded, 0), Kind: care.Kind(r.kind),
		Plant: r.plant, Corrects: r.corrects, By: r.who,
	}
	if string(r.detail) == "{}" {
		return e, nil
	}
	if err := json.Unmarshal(r.detail, &e.Detail); err != nil {
		return e, &Damaged{What: "entry " + r.id, Why: "its detail cannot be read: " + err.Error()}
	}
	return e, nil
}

// sum is the SHA-256 of everything the row says, each part behind its length.
func (r *row) sum() []byte {
	var b []byte
	for _, n := range []int64{r.at, r.zone, r.recorded} {
		b = binary.BigEndian.AppendUint64(b, uint64(n))
	}
	for _, text := range []string{r.id, r.kind, r.plant, r.corrects, r.who, string(r.detail)} {
		b = binary.BigEndian.AppendUint64(b, uint64(len(text)))
		b = append(b, text...)
	}
	sum := sha256.Sum256(b)
	return sum[:]
}

// SameContent reports whether two entries say the same, whenever they were
// recorded.
func SameContent(a, b care.Entry) (bool, error) {
	x, err := rowOf(a)
	if err != nil {
		return false, err
	}
	y, err := rowOf(b)
	if err != nil {
		return false, err
	}
	return x.says(&y), nil
}

func (r *row) says(o *row) bool {
	return r.id == o.id && r.at == o.at && r.zone == o.zone && r.kind == o.kind && r.plant == o.plant &&
		r.corrects == o.corrects && r.who == o.who && string(r.detail) == string(o.detail)
}
