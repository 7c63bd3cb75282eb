package readings

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"velamen/internal/care"
)

// watched tells whether it is read after it was given back.
type watched struct {
	*strings.Reader
	back, late atomic.Bool
}

func (w *watched) Read(p []byte) (int, error) {
	if w.back.Load() {
		w.late.Store(true)
	}
	return w.Reader.Read(p)
}

// What was read ahead is given up when the work stops, and the file is not touched
// after that: its owner may close it.
func TestNothingIsReadAfterTheEnd(t *testing.T) {
	var text strings.Builder
	text.WriteString("Time,Temperature (°C)\n")
	at := time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)
	for i := range 200_000 {
		fmt.Fprintf(&text, "%s,%.1f\n", at.Add(time.Duration(i)*10*time.Second).Format(time.DateTime), 20+float64(i%5))
	}
	o := Options{Space: "shelf", Source: "logger", Zone: time.UTC}
	layout, err := Look([]byte(text.String()[:4000]), o)
	if err != nil {
		t.Fatal(err)
	}
	full := errors.New("the disk is full")
	for batches := range 4 {
		from := &watched{Reader: strings.NewReader(text.String())}
		kept := 0
		_, err := layout.Take(t.Context(), from, o, 0, func(_ context.Context, line int, list []care.Reading) error {
			if kept/Batch == batches {
				return full
			}
			if line != kept+len(list)+1 {
				t.Errorf("after %d readings and the heading %d more end in line %d", kept, len(list), line)
			}
			kept += len(list)
			return nil
		}, nil)
		from.back.Store(true)
		if !errors.Is(err, full) || kept != batches*Batch {
			t.Errorf("%d readings kept, %v", kept, err)
		}
		time.Sleep(time.Millisecond)
		if from.late.Load() {
			t.Error("the file is read after the import ended")
		}
	}
}
