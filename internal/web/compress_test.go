package web

import (
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"testing"
)

func TestPagesArePackedForThoseWhoUnpack(t *testing.T) {
	b := newBench(t, withSample)
	plain := b.get("/spaces")
	for _, c := range []struct {
		accept string
		packed bool
	}{{"gzip, deflate, br", true}, {"br;q=1.0, gzip;q=0.8", true}, {"gzip;q=0", false}, {"br", false}, {"", false}} {
		r := httptest.NewRequest(http.MethodGet, "/spaces", nil)
		r.Header.Set("Accept-Encoding", c.accept)
		answer := b.do(r)
		if got := answer.Header.Get("Content-Encoding") == "gzip"; got != c.packed {
			t.Errorf("accepting %q: packed %v, want %v", c.accept, got, c.packed)
			continue
		}
		if answer.Header.Get("Vary") == "" {
			t.Errorf("accepting %q: no Vary", c.accept)
		}
		var in io.Reader = answer.Body
		if c.packed {
			var err error
			if in, err = gzip.NewReader(answer.Body); err != nil {
				t.Fatal(err)
			}
		}
		text, err := io.ReadAll(in)
		if err != nil || string(text) != plain {
			t.Errorf("accepting %q: another page (%v)", c.accept, err)
		}
	}
}
