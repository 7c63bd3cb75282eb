package readings

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"

	"velamen/internal/care"
)

// Broker says where messages come from and what is in them. It is written as
// TOML (v1.0):
//
//	broker = "mqtt://127.0.0.1:1883"    # or tls://
//	session = "velamen"                 # of this collection, kept by the broker
//	username = "…"
//	password_file = "…"                 # the password is its first line
//
//	[[topic]]
//	topic = "house/balcony/+"           # as subscribed to, + and # allowed
//	space = "balcony"
//	source = "balcony node"             # the topic itself when left out
//	temperature = "/air/temp F"         # where in the JSON, and the unit
//	humidity = "/air/rh"
//	light = "/lux lx"
//	at = "/time"                        # RFC 3339 or seconds since 1970
//
// Places in the JSON are written as JSON Pointers (RFC 6901). A payload that is
// a plain number is at ".".
type Broker struct {
	Broker       string  `toml:"broker"`
	Session      string  `toml:"session"`
	Username     string  `toml:"username"`
	PasswordFile string  `toml:"password_file"`
	Topics       []Topic `toml:"topic"`
}

// Topic says what the messages of one topic hold.
type Topic struct {
	Topic       string `toml:"topic"`
	Space       string `toml:"space"`
	Source      string `toml:"source"`
	Temperature string `toml:"temperature"`
	Humidity    string `toml:"humidity"`
	Light       string `toml:"light"`
	At          string `toml:"at"`
}

// ParseBroker reads the TOML of a broker and reports everything wrong with it.
func ParseBroker(text []byte) (Broker, error) {
	var b Broker
	d := toml.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&b); err != nil {
		var strict *toml.StrictMissingError
		if errors.As(err, &strict) {
			return b, fmt.Errorf("there are keys that are not known:\n%s", strict.String())
		}
		return b, err
	}
	var wrong []error
	bad := func(format string, args ...any) { wrong = append(wrong, fmt.Errorf(format, args...)) }
	u, err := url.Parse(b.Broker)
	if err != nil || u.Host == "" || u.Scheme != "mqtt" && u.Scheme != "tls" {
		bad("broker %q is not an address such as mqtt://127.0.0.1:1883 or tls://host:8883", b.Broker)
	}
	if b.Session == "" {
		b.Session = "velamen"
	}
	if len(b.Topics) == 0 {
		bad("there is no [[topic]]")
	}
	for i := range b.Topics {
		t := &b.Topics[i]
		if err := t.check(); err != nil {
			bad("topic %d, %q: %w", i+1, t.Topic, err)
		}
	}
	return b, errors.Join(wrong...)
}

func (t *Topic) check() error {
	switch {
	case t.Topic == "":
		return errors.New("the topic is missing")
	case t.Space == "":
		return errors.New("the space is missing")
	case t.Temperature+t.Humidity+t.Light == "":
		return errors.New("it says of no quantity where it stands; expected temperature, humidity or light")
	}
	if i := strings.IndexByte(t.Topic, '#'); i >= 0 && (i != len(t.Topic)-1 || i > 0 && t.Topic[i-1] != '/') {
		return errors.New("# may only be the last level")
	}
	for _, part := range t.parts() {
		if part.place == "" {
			continue
		}
		_, unit, err := splitPlace(part.place)
		if err != nil {
			return fmt.Errorf("%s: %w", part.q, err)
		}
		if unit != "" && unit.Of() != part.q {
			return fmt.Errorf("%s is no unit of %s", unit, part.q)
		}
		if unit == "" && part.q == care.LeafLight {
			return errors.New(`light: the unit is missing, as in "/lux lx"`)
		}
	}
	if t.At != "" {
		if _, unit, err := splitPlace(t.At); err != nil || unit != "" {
			return fmt.Errorf("at: %q is not a place such as /time", t.At)
		}
	}
	return nil
}

type topicPart struct {
	q     care.Quantity
	place string
}

func (t *Topic) parts() []topicPart {
	return []topicPart{{care.AirTemperature, t.Temperature}, {care.AirHumidity, t.Humidity}, {care.LeafLight, t.Light}}
}

// splitPlace takes the unit from behind a place.
func splitPlace(text string) (pointer string, unit Unit, err error) {
	pointer, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	if pointer != "." && !strings.HasPrefix(pointer, "/") {
		return "", "", fmt.Errorf(`%q is not a place such as /air/temperature, or "." for a payload that is a number`, pointer)
	}
	if rest = strings.TrimSpace(rest); rest != "" {
		unit, err = ParseUnit(rest)
	}
	return pointer, unit, err
}

// Matches reports whether a message's topic is one of those subscribed to
// (MQTT 5.0, section 4.7).
func (t *Topic) Matches(topic string) bool {
	want, have := strings.Split(t.Topic, "/"), strings.Split(topic, "/")
	if strings.HasPrefix(topic, "$") && (want[0] == "+" || want[0] == "#") {
		return false
	}
	for i, level := range want {
		switch {
		case level == "#":
			return true
		case i >= len(have) || level != "+" && level != have[i]:
			return false
		}
	}
	return len(want) == len(have)
}

// Read reads the payload of one message. timed says that it carried its own time.
func (t *Topic) Read(topic string, payload []byte, a Arrival) (list []care.Reading, timed bool, err error) {
	a.Space, a.Source = t.Space, t.Source
	if a.Source == "" {
		a.Source = topic
	}
	d := json.NewDecoder(bytes.NewReader(payload))
	d.UseNumber()
	var value any
	if err := d.Decode(&value); err != nil {
		return nil, false, fmt.Errorf("the payload is neither JSON nor a number: %w", err)
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, false, errors.New("something follows the JSON of the payload")
	}
	at := a.Now
	if t.At != "" {
		found, ok := lookUp(value, t.At)
		if !ok {
			return nil, false, fmt.Errorf("there is no time at %s", t.At)
		}
		if at, err = parseAt(fmt.Sprint(found)); err != nil {
			return nil, false, err
		}
		timed = true
	}
	for _, part := range t.parts() {
		if part.place == "" {
			continue
		}
		pointer, unit, err := splitPlace(part.place)
		if err != nil {
			return nil, timed, err
		}
		found, ok := lookUp(value, pointer)
		if !ok || found == nil {
			continue // a message need not hold everything
		}
		v, err := strconv.ParseFloat(fmt.Sprint(found), 64)
		if err != nil {
			return nil, timed, fmt.Errorf("%s: %q is not a number", part.q, shortened(fmt.Sprint(found)))
		}
		r, err := a.reading(part.q, v, string(unit), at)
		if err != nil {
			return nil, timed, err
		}
		list = append(list, r)
	}
	if len(list) == 0 {
		return nil, timed, errors.New("it holds none of the quantities")
	}
	return list, timed, nil
}

// lookUp follows a JSON Pointer (RFC 6901); "." is the whole.
func lookUp(value any, pointer string) (any, bool) {
	if pointer == "." {
		return value, true
	}
	for step := range strings.SplitSeq(strings.TrimPrefix(pointer, "/"), "/") {
		step = strings.ReplaceAll(strings.ReplaceAll(step, "~1", "/"), "~0", "~")
		switch v := value.(type) {
		case map[string]any:
			inside, ok := v[step]
			if !ok {
				return nil, false
			}
			value = inside
		case []any:
			i, err := strconv.Atoi(step)
			if err != nil || i < 0 || i >= len(v) || strconv.Itoa(i) != step {
				return nil, false
			}
			value = v[i]
		default:
			return nil, false
		}
	}
	return value, true
}

// retryDelay is how long to wait before the next try to reach a broker: longer
// each time, up to a minute.
func retryDelay(attempt int) time.Duration {
	return min(time.Minute, time.Second<<min(max(attempt, 0), 6))
}
