package care_test

import (
	"testing"

	"pgregory.net/rapid"
)

func TestEveryCourseHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomSketch(t)
		c := s.on(t, rapid.IntRange(-30, 500).Draw(t, "day"))
		holds(t, c)
	})
}
