package cli

import (
	"context"
	"encoding/json"
	"io"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Whenever it is interrupted, a command that plans either says so and prints
// nothing, or prints a whole plan, the best so far, and says that it was stopped.
func TestAnInterruptedSearchPrintsTheBestSoFar(t *testing.T) {
	path := filepath.Join(t.TempDir(), "sample.velamen")
	now := func() time.Time { return time.Date(2026, 11, 24, 9, 0, 0, 0, time.UTC) }
	if code := Run(t.Context(), []string{"init", "--sample", path}, Streams{Out: io.Discard, Err: io.Discard}, now); code != 0 {
		t.Fatalf("init: %d", code)
	}
	for _, command := range []string{"round"} {
		stopped := false
		for calls := 1; calls < 40 && !stopped; calls += 3 {
			ctx, stop := context.WithCancel(t.Context())
			left := calls
			clock := func() time.Time {
				if left--; left == 0 {
					stop()
				}
				return now()
			}
			var out, bad strings.Builder
			code := Run(ctx, []string{command, path, "--json"}, Streams{Out: &out, Err: &bad}, clock)
			stop()
			if code != 0 {
				if out.Len() > 0 || bad.Len() == 0 {
					t.Fatalf("%s, interrupted at call %d: %d, printed %q, said %q", command, calls, code, out.String(), bad.String())
				}
				continue
			}
			var report struct {
				Stopped bool
				Days    []any
				Weeks   []any
			}
			if err := json.Unmarshal([]byte(out.String()), &report); err != nil || len(report.Days)+len(report.Weeks) == 0 {
				t.Fatalf("%s, interrupted at call %d: %v, %q", command, calls, err, out.String())
			}
			stopped = report.Stopped
		}
		if !stopped {
			t.Errorf("%s never said that it was stopped", command)
		}
	}
}
