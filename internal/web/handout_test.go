package web

import (
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"velamen/internal/care"
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

func TestPaperComesOut(t *testing.T) {
	b := newBench(t, withSample)
	for _, path := range []string{
		"/paper/round?days=3&note=behind+the+door", "/paper/round?from=2026-11-27&days=2&page=Letter", "/paper/season?weeks=2", "/paper/labels?sheet=A4", "/paper/labels?sheet=Letter&columns=2&rows=5&plants=P-001,+c-001",
		"/paper/labels?sheet=tape&width=62&height=29&space=shelf", "/plant/" + b.plant("P-001") + "/label.pdf",
	} {
		answer, pdf := b.fetch(path)
		if answer.StatusCode != http.StatusOK || !bytes.HasPrefix(pdf, []byte("%PDF-")) {
			t.Errorf("%s: status %d", path, answer.StatusCode)
		}
	}
	for path, status := range map[string]int{
		"/paper/round?days=0": http.StatusBadRequest, "/paper/round?days=9999": http.StatusBadRequest, "/paper/round?from=yesterday": http.StatusBadRequest, "/paper/season?weeks=x": http.StatusBadRequest,
		"/paper/labels?sheet=A4&columns=99&label_width=70": http.StatusUnprocessableEntity, "/paper/labels?plants=Q-999": http.StatusUnprocessableEntity,
		"/paper/labels?sheet=moon": http.StatusUnprocessableEntity, "/paper/labels?sheet=tape&width=wide&height=1": http.StatusUnprocessableEntity,
	} {
		if answer, _ := b.fetch(path); answer.StatusCode != status {
			t.Errorf("%s: status %d, want %d", path, answer.StatusCode, status)
		}
	}
}

// A label that is too long for the paper is named before it is printed cut short.
func TestLabelsThatAreTooLongAreNamedFirst(t *testing.T) {
	b := newBench(t)
	long := strings.Repeat("long ", 60)
	b.note(care.PlantSet, newID(), care.Detail{Plant: &care.Plant{Label: "L-9", Name: long}})
	asks := "/paper/labels?sheet=tape&width=30&height=12"
	answer := b.do(httptest.NewRequest(http.MethodGet, asks, nil))
	if text := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(text, "Too long for these labels") || !strings.Contains(text, "L-9") || !strings.Contains(text, `name="cut"`) {
		t.Errorf("%s", answer.Status)
	}
	if answer := b.do(httptest.NewRequest(http.MethodGet, asks+"&cut=yes", nil)); answer.StatusCode != http.StatusOK || answer.Header.Get("Content-Type") != "application/pdf" {
		t.Errorf("cut short: %s", answer.Status)
	}
	if strings.Contains(b.get("/paper"), `name="cut"`) {
		t.Error("it is asked before anything is too long")
	}
}
