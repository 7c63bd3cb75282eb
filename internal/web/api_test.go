package web

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"velamen/internal/store"
)

// exchange is one request to the interface and what it was answered.
type exchange struct {
	Operation string          `json:"operation"`
	Path      string          `json:"path"`
	Status    int             `json:"status"`
	Body      json.RawMessage `json:"body"`
}

// ask sends a request as a program would.
func (b *bench) ask(o operation, path, body, token string) exchange {
	b.t.Helper()
	r := httptest.NewRequest(o.method, path, strings.NewReader(body))
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	if token != "" {
		r.Header.Set("Authorization", "Bearer "+token)
	} else {
		r.Header.Set("Accept", "application/json")
	}
	recorded := httptest.NewRecorder()
	b.server.ServeHTTP(recorded, r)
	x := exchange{o.method + " " + o.path, path, recorded.Code, recorded.Body.Bytes()}
	if !json.Valid(x.Body) {
		b.t.Fatalf("%s %s: status %d, no JSON: %.200s", o.method, path, x.Status, x.Body)
	}
	return x
}

// drawnValue is a value of a parameter: a good one by its schema, or a bad one.
func drawnValue(random *rand.Rand, p parameter, b *bench) string {
	if p.in == "path" {
		return []string{b.plant("P-001"), b.plant("C-001"), newID(), "x", "..", "%00"}[random.IntN(6)]
	}
	switch {
	case p.schema["format"] == "date":
		return []string{"2026-11-24", "2026-12-01", "2026-11-25", "tomorrow", "0000-00-00", "2026-11-24' OR 1=1"}[random.IntN(6)]
	case p.schema["type"] == "integer":
		return []string{fmt.Sprint(p.schema["minimum"]), fmt.Sprint(1 + random.IntN(40)), "-1", "1e9", "9999999999999999999", "x"}[random.IntN(6)]
	}
	return []string{"shelf", "Cattleya", "", strings.Repeat("w", 300), "\x00", "ü"}[random.IntN(6)]
}

// Requests made from the description, good and bad ones, are answered as the
// description says: the validators are those of others.
func TestTheInterfaceIsAsItsDescriptionSays(t *testing.T) {
	b := newBench(t, withSample, reachable)
	const token = "vlm_writes-writes-writes-writes"
	b.secrets.machines[token] = store.Machine{Name: "script", Scope: string(writeScope)}
	b.secrets.machines["vlm_reads-reads-reads-reads"] = store.Machine{Name: "wall", Scope: string(readScope)}
	random := rand.New(rand.NewPCG(1, 2))
	var all []exchange
	for _, o := range operations() {
		met := map[int]int{}
		for range 24 {
			path, query := o.path, url.Values{}
			for _, p := range o.params {
				value := drawnValue(random, p, b)
				if p.in == "path" {
					path = strings.ReplaceAll(path, "{"+p.name+"}", url.PathEscape(value))
				} else if random.IntN(3) > 0 {
					query.Set(p.name, value)
				}
			}
			if strings.Contains(path, "/../") || strings.HasSuffix(path, "/..") {
				continue // the way is made shorter before anybody is asked
			}
			if len(query) > 0 {
				path += "?" + query.Encode()
			}
			body := ""
			if o.body != nil {
				entry := fmt.Sprintf(`{"id":%q,"at":"2026-11-24T08:00:00Z","kind":"note","plant":%q,"detail":{"note":"seen by a script"}}`, newID(), b.plant("P-001"))
				body = []string{`{"entries":[` + entry + `]}`, `{"entries":[{"id":"x"}]}`, `{"entries":7}`, `[]`, `{`, `{"other":1}`, "\x00"}[random.IntN(7)]
			}
			x := b.ask(o, path, body, token)
			met[x.Status]++
			all = append(all, x)
		}
		if met[http.StatusOK] == 0 || len(o.params)+len(o.statuses) > 1 && len(met) < 2 {
			t.Errorf("%s %s was answered with %v only", o.method, o.path, met)
		}
		path := strings.ReplaceAll(o.path, "{id}", b.plant("P-001"))
		x := b.ask(o, path, "", "")
		if all = append(all, x); x.Status != http.StatusUnauthorized {
			t.Errorf("%s without a token: status %d", path, x.Status)
		}
		if o.method != http.MethodGet {
			if x := b.ask(o, path, `{"entries":[]}`, "vlm_reads-reads-reads-reads"); x.Status != http.StatusForbidden {
				t.Errorf("%s with a token that reads: status %d", path, x.Status)
			}
		}
	}
	description := b.ask(operation{method: http.MethodGet, path: "/api/openapi.json"}, "/api/openapi.json", "", "")
	for _, said := range checkedByOthers(t, description.Body, all) {
		t.Error(said)
	}
	if x := b.ask(operation{method: http.MethodGet, path: "/api/nothing"}, "/api/nothing", "", token); x.Status != http.StatusNotFound {
		t.Errorf("nothing there: status %d", x.Status)
	}
}

// checkedByOthers runs the validators of npm over a description and answers, and
// returns what they find wrong.
func checkedByOthers(t *testing.T, description []byte, answers []exchange) []string {
	t.Helper()
	need := os.Getenv("VELAMEN_PEERS") == "required"
	if _, err := exec.LookPath("node"); err != nil {
		if need {
			t.Fatal("node is missing; scripts/test installs it")
		}
		t.Skip("node is not installed here")
	}
	folder := t.TempDir()
	text, err := json.Marshal(answers)
	if err != nil {
		t.Fatal(err)
	}
	for name, content := range map[string][]byte{"openapi.json": description, "answers.json": text} {
		if err := os.WriteFile(filepath.Join(folder, name), content, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	out, err := exec.Command("node", "testdata/check_openapi.mjs", filepath.Join(folder, "openapi.json"), filepath.Join(folder, "answers.json")).CombinedOutput()
	if err != nil {
		if !need && strings.Contains(string(out), "MODULE_NOT_FOUND") {
			t.Skip("the validators of npm are not installed here")
		}
		t.Fatalf("%v\n%s", err, out)
	}
	if said := strings.TrimSpace(string(out)); said != "" {
		return strings.Split(said, "\n")
	}
	return nil
}
