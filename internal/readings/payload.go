package readings

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/science/light"
)

// Arrival is what is known of a message besides its content.
type Arrival struct {
	Space, Source string    // where the content names none
	Now           time.Time // when it came: the time of readings that carry none
	LightFrom     light.Source
}

// MostSent is how many readings one message may carry.
const MostSent = Batch

// ParseLines reads plain lines as small devices send them, one reading to a
// line: the quantity, the number, and perhaps the unit and the time, parted by
// spaces.
//
//	temperature 21.4
//	humidity 55 %
//	light 12000 lx 2026-11-28T09:00:00Z
//
// A time is as RFC 3339 has it, or seconds since 1970. Without a unit the number
// is in °C, %, or µmol m⁻² s⁻¹. Empty lines and those that begin with # are
// passed over. One line that is wrong makes the whole message wrong.
func ParseLines(text []byte, a Arrival) ([]care.Reading, error) {
	var list []care.Reading
	number := 0
	for line := range bytes.Lines(text) {
		number++
		words := strings.Fields(string(line))
		if len(words) == 0 || words[0][0] == '#' {
			continue
		}
		r, err := a.line(words)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", number, err)
		}
		if list = append(list, r); len(list) > MostSent {
			return nil, fmt.Errorf("there are more than %d readings; send them in portions", MostSent)
		}
	}
	if len(list) == 0 {
		return nil, errors.New(`there is no reading; expected lines such as "temperature 21.4 C"`)
	}
	return list, nil
}

func (a Arrival) line(words []string) (r care.Reading, err error) {
	if len(words) < 2 || len(words) > 4 {
		return r, fmt.Errorf("there are %d words; expected a quantity, a number, and perhaps a unit and a time", len(words))
	}
	v, err := strconv.ParseFloat(words[1], 64)
	if err != nil {
		return r, fmt.Errorf("%q is not a number", shortened(words[1]))
	}
	unit, at := "", a.Now
	for _, word := range words[2:] {
		if len(word) > 4 && word[0] >= '0' && word[0] <= '9' {
			if at, err = parseAt(word); err != nil {
				return r, err
			}
			continue
		}
		unit = word
	}
	return a.reading(care.Quantity(strings.ToLower(words[0])), v, unit, at)
}

// parseAt reads an instant.
func parseAt(text string) (time.Time, error) {
	if at, err := time.Parse(time.RFC3339, text); err == nil {
		return at.UTC(), nil
	}
	if w, ok := parseWall(text); ok && w.isUnix {
		return time.Unix(w.unix, 0).UTC(), nil
	}
	return time.Time{}, fmt.Errorf("%q is not a time such as 2026-11-28T09:00:00Z or seconds since 1970", shortened(text))
}

// reading makes one reading and checks it.
func (a Arrival) reading(q care.Quantity, v float64, unit string, at time.Time) (care.Reading, error) {
	r := care.Reading{Space: a.Space, Source: a.Source, Quantity: q, At: at.Truncate(time.Second).UTC(), Value: v}
	if _, _, known := q.Range(); known != "" && unit != "" {
		u, err := ParseUnit(unit)
		if err != nil {
			return r, err
		}
		if u.Of() != q {
			return r, fmt.Errorf("%s is no unit of %s", u, q)
		}
		if r.Value, err = u.convert(v, a.LightFrom); err != nil {
			return r, err
		}
	}
	return r, r.Check(a.Now)
}

// Message is the JSON form of readings. Anything may be left out but they.
type Message struct {
	Space    string            `json:"space,omitempty"`
	Source   string            `json:"source,omitempty"`
	Units    map[string]string `json:"units,omitempty"` // by quantity
	Readings []MessageReading  `json:"readings"`
}

// MessageReading is what was measured at one moment.
type MessageReading struct {
	At          json.RawMessage `json:"at,omitempty"` // RFC 3339, or seconds since 1970
	Temperature *float64        `json:"temperature,omitempty"`
	Humidity    *float64        `json:"humidity,omitempty"`
	Light       *float64        `json:"light,omitempty"`
}

// ParseJSON reads one JSON object:
//
//	{"source": "node 3", "units": {"temperature": "F"},
//	 "readings": [{"at": "2026-11-28T09:00:00Z", "temperature": 70.5, "humidity": 55}]}
//
// Anything may be left out but the readings. What a or the object names the
// space is up to the caller to check.
func ParseJSON(text []byte, a Arrival) ([]care.Reading, error) {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	var m Message
	if err := d.Decode(&m); err != nil {
		return nil, fmt.Errorf("this is not the JSON of readings: %w", err)
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, errors.New("something follows the JSON object")
	}
	if m.Space != "" {
		a.Space = m.Space
	}
	if m.Source != "" {
		a.Source = m.Source
	}
	for q := range m.Units {
		if _, _, known := care.Quantity(q).Range(); known == "" {
			return nil, fmt.Errorf("units: %q is not one of temperature, humidity, light", shortened(q))
		}
	}
	var list []care.Reading
	for i, one := range m.Readings {
		at := a.Now
		if len(one.At) > 0 && string(one.At) != "null" {
			var err error
			if at, err = parseAt(strings.Trim(string(one.At), `"`)); err != nil {
				return nil, fmt.Errorf("readings[%d].at: %w", i, err)
			}
		}
		for _, part := range []struct {
			q care.Quantity
			v *float64
		}{{care.AirTemperature, one.Temperature}, {care.AirHumidity, one.Humidity}, {care.LeafLight, one.Light}} {
			if part.v == nil {
				continue
			}
			r, err := a.reading(part.q, *part.v, m.Units[string(part.q)], at)
			if err != nil {
				return nil, fmt.Errorf("readings[%d].%s: %w", i, part.q, err)
			}
			if list = append(list, r); len(list) > MostSent {
				return nil, fmt.Errorf("there are more than %d readings; send them in portions", MostSent)
			}
		}
	}
	if len(list) == 0 {
		return nil, errors.New("there is no reading in it")
	}
	return list, nil
}
