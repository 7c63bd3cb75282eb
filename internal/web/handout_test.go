package web

import (
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"testing"
)

// fetch returns what an address answers, whatever its type.
func (b *bench) fetch(path string) (*http.Response, []byte) {
	b.t.Helper()
	answer := b.do(httptest.NewRequest(http.MethodGet, path, nil))
	defer answer.Body.Close()
	content, err := io.ReadAll(answer.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return answer, content
}

func TestAPlantHasAHandOut(t *testing.T) {
	b := newBench(t, withSample)
	for _, page := range []string{"", "?page=Letter"} {
		answer, pdf := b.fetch("/plant/" + b.plant("P-001") + "/handout" + page)
		if answer.StatusCode != http.StatusOK || answer.Header.Get("Content-Type") != "application/pdf" || !bytes.HasPrefix(pdf, []byte("%PDF-")) {
			t.Errorf("%q: status %d, %s, %.40q", page, answer.StatusCode, answer.Header.Get("Content-Type"), pdf)
		}
	}
	if answer, _ := b.fetch("/plant/" + b.plant("P-001") + "/handout?page=quarto"); answer.StatusCode != http.StatusBadRequest {
		t.Errorf("an unknown paper is answered with %d", answer.StatusCode)
	}
	if answer, _ := b.fetch("/plant/0190b5c2-7d3e-7000-8000-0123456789ab/handout"); answer.StatusCode != http.StatusNotFound {
		t.Errorf("a plant that is not there is answered with %d", answer.StatusCode)
	}
}
