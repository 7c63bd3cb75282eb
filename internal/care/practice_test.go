package care_test

import (
	"fmt"
	"testing"
)

func TestProbe(t *testing.T) {
	for _, g := range tables.Groups() {
		for _, r := range []float64{0.5, 0.65, 0.8} {
			s := ordinary()
			s.group = g.Key
			s.roots = r
			c := s.on(t, 0)
			w := c.Weeks[0]
			fmt.Printf("%-26s %-8s r %.2f td %.2f model %.2f int %v  RH %v/%v flush %v %s last week %d %s contact %.2f\n", g.Key, g.Photosynthesis.Is, r, c.TurnDown.Value.Value, c.Model.Value.Value, c.Intensive, w.Targets.DayRHPercent.Value.Value, w.Targets.NightRHPercent.Value.Value, c.Flush.Every.Value.Value, c.Flush.Decided, len(c.Weeks), c.Weeks[len(c.Weeks)-1].Stage, c.Now.Factor.Because.Inputs[4].Value.Value)
		}
	}
}
