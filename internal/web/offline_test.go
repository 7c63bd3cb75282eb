package web

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
)

func TestTheWorkerNamesEveryStaticFile(t *testing.T) {
	b := newBench(t)
	answer := b.do(httptest.NewRequest(http.MethodGet, "/service-worker.js", nil))
	text := body(t, answer)
	if kind := answer.Header.Get("Content-Type"); !strings.HasPrefix(kind, "text/javascript") {
		t.Errorf("type %q", kind)
	}
	list := regexp.MustCompile(`const staticFiles = (\[.*\]);`).FindStringSubmatch(text)
	if list == nil {
		t.Fatalf("no list of files in\n%.400s", text)
	}
	var files []string
	if err := json.Unmarshal([]byte(list[1]), &files); err != nil {
		t.Fatal(err)
	}
	if len(files) != len(b.server.assets.files) {
		t.Errorf("%d files, want %d", len(files), len(b.server.assets.files))
	}
	for _, path := range files {
		if answer := b.do(httptest.NewRequest(http.MethodGet, path, nil)); answer.StatusCode != http.StatusOK || !strings.Contains(answer.Header.Get("Cache-Control"), "immutable") {
			t.Errorf("%s: %s, %q", path, answer.Status, answer.Header.Get("Cache-Control"))
		}
	}
}

func TestTheManifestIsJSON(t *testing.T) {
	b := newBench(t)
	var m struct {
		Start string `json:"start_url"`
		Icons []struct{ Src string }
	}
	if err := json.Unmarshal([]byte(b.get("/velamen.webmanifest")), &m); err != nil {
		t.Fatal(err)
	}
	if m.Start != "/" || len(m.Icons) != 1 {
		t.Fatalf("%+v", m)
	}
	b.get(m.Icons[0].Src)
}
