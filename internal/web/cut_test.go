package web

import (
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// A request that was cut off while it was worked on is not answered at all: an
// empty answer of status 200 would tell an outbox that its entries are kept.
func TestACutRequestGetsNoAnswer(t *testing.T) {
	b := newBench(t, withSample)
	b.store.failing = context.Canceled
	ctx, cut := context.WithCancel(t.Context())
	cut()
	r := httptest.NewRequestWithContext(ctx, http.MethodPost, "/entries", strings.NewReader(
		`{"entries":[{"id":"0190c000-0000-7000-8000-000000000000","at":"2026-11-24T08:00:00Z","kind":"rain","detail":{"rain_mm":3}}]}`))
	r.Header.Set("Content-Type", "application/json")
	r.Host = "127.0.0.1:8080"
	w := httptest.NewRecorder()
	defer func() {
		if crash := recover(); crash != http.ErrAbortHandler {
			t.Errorf("the answer was not cut off: %v, %d %q", crash, w.Code, w.Body)
		}
		if w.Body.Len() > 0 {
			t.Errorf("it says %q", w.Body)
		}
	}()
	b.server.ServeHTTP(w, r)
}
