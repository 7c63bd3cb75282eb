package casefile

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// largeCase is the example with its two plants repeated under other labels.
func largeCase(plants int) string {
	head, body, _ := strings.Cut(Example(), "[[plant]]")
	var text strings.Builder
	text.WriteString(head)
	for i := range plants / 2 {
		text.WriteString(strings.NewReplacer("C-07", fmt.Sprintf("C-%d", i), "B-02", fmt.Sprintf("B-%d", i)).Replace("[[plant]]" + body))
	}
	return text.String()
}

func BenchmarkRead1000Plants(b *testing.B) {
	text := largeCase(1000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if c, _, err := Read(strings.NewReader(text), "large.toml", tables); err != nil || len(c.Plants) != 1000 {
			b.Fatal(err)
		}
	}
}

// TestLargeCase reads a whole nursery.
func TestLargeCase(t *testing.T) {
	c, _, err := Read(strings.NewReader(largeCase(20_000)), "large.toml", tables)
	if err != nil || len(c.Plants) != 20_000 {
		t.Fatalf("%d plants: %v", len(c.Plants), err)
	}
	if got := c.Plants[19_999]; got.Label != "B-9999" || !got.Repot.Date.Equal(time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)) {
		t.Errorf("the last plant is %+v", got)
	}
}
