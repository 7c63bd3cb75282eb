package web

import (
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/science/light"
)

// takeReadings takes what sensors send: JSON, or plain lines of small devices,
// which name the space and themselves in the query.
func (s *Server) takeReadings(r *http.Request) (any, error) {
	if s.Readings == nil {
		return nil, fmt.Errorf("%w: readings", errUnavailable)
	}
	text, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, err
	}
	a := readings.Arrival{Space: r.URL.Query().Get("space"), Source: r.URL.Query().Get("source"), Now: s.Now(), LightFrom: light.Sun}
	if a.Source == "" {
		a.Source = "sensor"
	}
	if space, err := s.spaceNamed(a.Space); err == nil {
		a.LightFrom = lightOf(space)
	}
	parse := readings.ParseLines
	switch kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type")); kind {
	case "application/json":
		parse = readings.ParseJSON
	case "text/plain", "application/octet-stream", "application/x-www-form-urlencoded", "": // what small devices send by themselves
	default:
		return nil, fmt.Errorf("%w: the body has to be application/json or text/plain", errBadRequest)
	}
	list, err := parse(text, a)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errBadRequest, err)
	}
	for i := range list {
		space, err := s.spaceNamed(list[i].Space)
		if err != nil {
			return nil, fmt.Errorf("%w: %w", errBadRequest, err)
		}
		list[i].Space = space.Name
		if len(list[i].Source) > mostSourceBytes {
			return nil, fmt.Errorf("%w: the name of the sensor is too long", errBadRequest)
		}
	}
	kept, err := s.Readings.KeepReadings(r.Context(), list)
	if err != nil {
		return nil, err
	}
	return kept, s.settle(r.Context())
}

// mostSourceBytes bounds the name of a sensor.
const mostSourceBytes = 100

// spaceNamed returns the space of a name, or the only one there is for none.
func (s *Server) spaceNamed(name string) (space care.Space, err error) {
	err = errors.New("in which space? Name it as ?space=NAME")
	if name != "" {
		err = fmt.Errorf("there is no space called %q", name)
	}
	s.Book.Read(func(c *care.Collection) {
		for _, one := range c.Spaces {
			if strings.EqualFold(one.Name, name) || name == "" && len(c.Spaces) == 1 {
				space, err = one, nil
			}
		}
	})
	return space, err
}

// lightOf is what shines in a space, for readings in lux.
func lightOf(space care.Space) light.Source {
	if source, err := light.ParseSource(space.Light.Source); err == nil {
		return source
	}
	if space.Kind.UnderLamps() {
		return light.WhiteLED
	}
	return light.Sun
}
