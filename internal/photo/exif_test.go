package photo

import (
	"bytes"
	"encoding/binary"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestDatesAsCamerasWriteThem(t *testing.T) {
	for _, c := range []struct {
		date, offset string
		want         string // as text; empty: none
	}{
		{"2026:03:14 09:26:53", "+11:00", "2026-03-14T09:26:53+11:00"},
		{"2026:03:14 09:26:53", "-03:30", "2026-03-14T09:26:53-03:30"},
		{"2026:03:14 09:26:53", "+00:00", "2026-03-14T09:26:53+00:00"},
		{"2026:03:14 09:26:53", "", "2026-03-14T09:26:53"},
		{"2026:03:14 09:26:53", "+15:00", "2026-03-14T09:26:53"}, // nowhere
		{"2026:03:14 09:26:53", "   :  ", "2026-03-14T09:26:53"},
		{"2026:03:14 09:26:53", "east", "2026-03-14T09:26:53"},
		{"2024:02:29 23:59:59", "", "2024-02-29T23:59:59"},
		{"2026:02:29 23:59:59", "", ""}, // no such day
		{"0000:00:00 00:00:00", "", ""},
		{"    :  :     :  :  ", "", ""},
		{"0001:01:01 00:00:00", "", ""},
		{"2026-03-14 09:26:53", "", ""},
		{"2026:03:14 09:26", "", ""},
		{"2026:03:14 09:26:53.5", "", ""},
		{"", "+10:00", ""},
	} {
		if got := parseTaken(c.date, c.offset).String(); got != c.want {
			t.Errorf("%q %q is read as %q, want %q", c.date, c.offset, got, c.want)
		}
	}
}

// In Melbourne summer time, UTC+11, lasts until the first Sunday in April, in
// 2026 the fifth (IANA time zone database).
func TestClockOfUnknownOffset(t *testing.T) {
	place, err := time.LoadLocation("Australia/Melbourne")
	if err != nil {
		t.Skip(err)
	}
	loose := parseTaken("2026:04:04 12:00:00", "")
	if got := loose.In(place); !got.Equal(time.Date(2026, 4, 4, 1, 0, 0, 0, time.UTC)) {
		t.Errorf("a clock of that place showed noon at %v", got.UTC())
	}
	fixed := parseTaken("2026:04:04 12:00:00", "+02:00")
	if got := fixed.In(place); !got.Equal(time.Date(2026, 4, 4, 10, 0, 0, 0, time.UTC)) {
		t.Errorf("a clock two hours ahead showed noon at %v", got.UTC())
	}
	if !(Taken{}).In(place).IsZero() {
		t.Error("no date became one")
	}
}

// anyExif draws what a camera may have noted.
func anyExif(t *rapid.T) exif {
	e := exif{orientation: orientation(rapid.IntRange(1, 8).Draw(t, "orientation"))}
	if rapid.Bool().Draw(t, "dated") {
		at := time.Unix(rapid.Int64Range(-2_208_902_400, 253_402_128_000).Draw(t, "second"), 0).UTC() // 1900 to 9999, a day inside
		e.taken = Taken{At: at}
		if rapid.Bool().Draw(t, "zoned") {
			minutes := rapid.IntRange(-12*60, 14*60).Draw(t, "offset")
			e.taken = Taken{At: at.In(time.FixedZone("", 60*minutes)), Zoned: true}
		}
	}
	return e
}

func sameTaken(a, b Taken) bool {
	_, offsetA := a.At.Zone()
	_, offsetB := b.At.Zone()
	return a.Zoned == b.Zoned && a.At.Equal(b.At) && offsetA == offsetB
}

func TestRecordsComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anyExif(t)
		if got := readExif(e.record()); got.orientation != e.orientation || !sameTaken(got.taken, e.taken) {
			t.Fatalf("%+v comes back as %+v", e, got)
		}
	})
	if record := (exif{orientation: upright}).record(); record != nil {
		t.Errorf("nothing is noted in %d bytes", len(record))
	}
}

// A record that lies about its own layout is read as far as it makes sense.
func TestRecordsThatLie(t *testing.T) {
	good := exif{orientation: 6, taken: Taken{At: time.Date(2026, 3, 14, 9, 26, 53, 0, time.UTC)}}.record()
	put := func(at int, b ...byte) []byte {
		out := bytes.Clone(good)
		copy(out[at:], b)
		return out
	}
	// The layout: 8 bytes of head; at 8 the count of 2; at 10 the orientation,
	// at 22 the pointer to the second directory, at 34 the end; at 38 that.
	const none = upright
	for _, c := range []struct {
		name   string
		record []byte
		turned orientation
		dated  bool
	}{
		{"as it is", good, 6, true},
		{"empty", nil, none, false},
		{"head only", good[:8], none, false},
		{"of unknown order", put(0, 'X', 'X'), none, false},
		{"first directory outside", put(4, 0xff, 0xff, 0xff, 0xff), none, false},
		{"first directory at its own pointer", put(4, 0, 0, 0, 4), none, false},
		{"count of 65535", put(8, 0xff, 0xff), 6, true},
		{"count of none", put(8, 0, 0), none, false},
		{"orientation 0", put(18, 0, 0), none, true},
		{"orientation 9", put(18, 0, 9), none, true},
		{"orientation as text", put(12, 0, 2), none, true},
		{"two orientations", put(14, 0, 0, 0, 2), none, true},
		{"second directory outside", put(30, 0x7f, 0xff, 0xff, 0xff), 6, false},
		{"second directory is the first", put(30, 0, 0, 0, 8), 6, false},
		{"date outside", put(38+2+8, 0xff, 0xff, 0xff, 0xff), 6, false},
		{"date of four gigabytes", put(38+2+4, 0xff, 0xff, 0xff, 0xff), 6, false},
		{"date cut short", good[:len(good)-2], 6, false},
	} {
		got := readExif(c.record)
		if got.orientation != c.turned || got.taken.IsZero() == c.dated {
			t.Errorf("a record %s: orientation %d, taken %v", c.name, got.orientation, got.taken)
		}
	}
}

func FuzzExif(f *testing.F) {
	dated := exif{orientation: 8, taken: parseTaken("2026:03:14 09:26:53", "+11:00")}
	f.Add([]byte(nil))
	f.Add(dated.record())
	f.Add(exif{orientation: 3}.record())
	f.Add([]byte("II*\x00\x08\x00\x00\x00\x02\x00\x12\x01\x03\x00\x01\x00\x00\x00\x06\x00\x00\x00\x69\x87\x04\x00\x01\x00\x00\x00\x08\x00\x00\x00\x00\x00\x00\x00"))
	f.Add(binary.BigEndian.AppendUint32([]byte("MM\x00*"), 0xffffffff))
	f.Fuzz(func(t *testing.T, record []byte) {
		e := readExif(record)
		if e.orientation < 1 || e.orientation > 8 {
			t.Fatalf("orientation %d", e.orientation)
		}
		again := readExif(e.record())
		if again.orientation != e.orientation || !sameTaken(again.taken, e.taken) {
			t.Fatalf("%+v is written and read as %+v", e, again)
		}
	})
}
