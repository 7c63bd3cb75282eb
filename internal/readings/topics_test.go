package readings

import (
	"strings"
	"testing"
)

// Rows of MQTT 5.0, section 4.7.1.
func TestTopicsMatch(t *testing.T) {
	for _, c := range []struct {
		filter, topic string
		want          bool
	}{
		{"sport/tennis/player1/#", "sport/tennis/player1", true}, {"sport/tennis/player1/#", "sport/tennis/player1/ranking", true},
		{"sport/tennis/+", "sport/tennis/player1", true}, {"sport/tennis/+", "sport/tennis/player1/ranking", false},
		{"sport/+", "sport", false}, {"sport/+", "sport/", true}, {"+/+", "/finance", true}, {"/+", "/finance", true}, {"+", "/finance", false},
		{"#", "$SYS/x", false}, {"+/monitor/Clients", "$SYS/monitor/Clients", false}, {"$SYS/#", "$SYS/x", true}, {"a/b", "a/c", false},
	} {
		topic := Topic{Topic: c.filter}
		if got := topic.Matches(c.topic); got != c.want {
			t.Errorf("%s and %s: %v", c.filter, c.topic, got)
		}
	}
}

// The example of RFC 6901, section 5.
func TestPlacesInJSON(t *testing.T) {
	value := map[string]any{"foo": []any{"bar", "baz"}, "": 0, "a/b": 1, "m~n": 8, "deep": map[string]any{"t": 21}}
	for pointer, want := range map[string]any{"/foo/0": "bar", "/": 0, "/a~1b": 1, "/m~0n": 8, "/deep/t": 21} {
		if got, ok := lookUp(value, pointer); !ok || got != want {
			t.Errorf("%s: %v", pointer, got)
		}
	}
	for _, pointer := range []string{"/foo/2", "/foo/-1", "/foo/01", "/nothing", "/foo/0/x", "/deep/t/x"} {
		if got, ok := lookUp(value, pointer); ok {
			t.Errorf("%s: %v", pointer, got)
		}
	}
}

func TestBrokersThatAreRefused(t *testing.T) {
	for text, says := range map[string]string{
		`broker = "http://x"`:                                                                      "is not an address",
		`broker = "mqtt://x:1"`:                                                                    "no [[topic]]",
		"broker = \"mqtt://x:1\"\n[[topic]]\ntopic = \"a\"":                                        "the space is missing",
		"broker = \"mqtt://x:1\"\n[[topic]]\ntopic = \"a\"\nspace = \"s\"":                         "of no quantity",
		"broker = \"mqtt://x:1\"\n[[topic]]\ntopic = \"a\"\nspace = \"s\"\nlight = \"/l\"":         "unit is missing",
		"broker = \"mqtt://x:1\"\n[[topic]]\ntopic = \"a\"\nspace = \"s\"\ntemperature = \"t\"":    "is not a place",
		"broker = \"mqtt://x:1\"\n[[topic]]\ntopic = \"#/a\"\nspace = \"s\"\ntemperature = \"/t\"": "last level",
		"broker = \"mqtt://x:1\"\n[[topic]]\ntopic = \"a\"\nspace = \"s\"\ntemperature = \"/t %\"": "no unit of temperature",
		"broker = \"mqtt://x:1\"\nspeed = 3":                                                       "speed",
		"=":                                                                                        "",
	} {
		if _, err := ParseBroker([]byte(text)); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzMessage(f *testing.F) {
	f.Add([]byte(`{"air":{"t":21.4,"h":[55]},"lux":300,"at":"2026-11-28T08:00:00Z"}`))
	f.Add([]byte(`21.4`))
	f.Add([]byte(`{"at":1795850000}`))
	topics := []Topic{
		{Topic: "a", Space: "shelf", Temperature: "/air/t", Humidity: "/air/h/0", Light: "/lux lx", At: "/at"},
		{Topic: "a", Space: "shelf", Temperature: ". F"},
	}
	f.Fuzz(func(t *testing.T, payload []byte) {
		for _, topic := range topics {
			list, _, err := topic.Read("a", payload, arrival())
			sound(t, list, err)
		}
	})
}
