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
	"slices"
	"strings"
	"testing"

	"velamen/internal/care"
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
	any := func(list ...string) string { return list[random.IntN(len(list))] }
	switch {
	case p.in == "path" && p.name == "id":
		return any(b.plant("P-001"), b.plant("C-001"), newID(), "x", "..", "%00")
	case p.in == "path", p.name == "space":
		return any("shelf", "SHELF", "nowhere", "..", "%00", strings.Repeat("w", 300))
	case p.schema["enum"] != nil:
		words := wordsOf(care.Practices)
		if p.name == "awaited" {
			words = wordsOf(care.Awaiteds)
		}
		return any(any(words...), "x")
	case p.schema["format"] == "date":
		return any("2026-11-24", "2026-12-01", "2026-11-25", "tomorrow", "0000-00-00", "2026-11-24' OR 1=1")
	case p.schema["type"] == "integer":
		return any(fmt.Sprint(p.schema["minimum"]), fmt.Sprint(1+random.IntN(40)), "-1", "1e9", "9999999999999999999", "x")
	}
	return any("shelf", "Cattleya", "", strings.Repeat("w", 300), "\x00", "ü")
}

// drawer draws bodies from the schemas of a description.
type drawer struct {
	random  *rand.Rand
	schemas map[string]any
}

func (d drawer) draw(schema map[string]any, depth int) any {
	if to, ok := schema["$ref"].(string); ok {
		schema = d.schemas[to[strings.LastIndexByte(to, '/')+1:]].(map[string]any)
	}
	if words, ok := schema["enum"].([]any); ok {
		return words[d.random.IntN(len(words))]
	}
	kind := schema["type"]
	if kinds, several := kind.([]any); several {
		kind = kinds[0]
	}
	switch kind {
	case "object":
		object := map[string]any{}
		if inner, ok := schema["additionalProperties"].(map[string]any); ok {
			for range d.random.IntN(3) {
				object[[]string{"group", "roots_kept", "medium", "temperature", "other"}[d.random.IntN(5)]] = d.draw(inner, depth+1)
			}
			return object
		}
		required, _ := schema["required"].([]any)
		for name, inner := range schema["properties"].(map[string]any) {
			if slices.Contains(required, any(name)) || depth < 6 && d.random.IntN(4) == 0 {
				object[name] = d.draw(inner.(map[string]any), depth+1)
			}
		}
		return object
	case "array":
		list := []any{}
		for range d.random.IntN(3) {
			list = append(list, d.draw(schema["items"].(map[string]any), depth+1))
		}
		return list
	case "string":
		if schema["format"] == "date-time" {
			return []string{"2026-11-24T08:00:00Z", "1900-01-01T00:00:00Z"}[d.random.IntN(2)]
		}
		return []string{newID(), "shelf", "60 %", "", "ü\x00", strings.Repeat("w", 300)}[d.random.IntN(6)]
	case "number", "integer":
		return []int{0, 1, 50, -1, 1 << 40}[d.random.IntN(5)]
	case "boolean":
		return d.random.IntN(2) == 0
	}
	return nil
}

// body is a body for an operation: the one that is taken, one drawn from the
// schema, or one that is broken.
func (d drawer) body(b *bench, o operation, schema map[string]any, turn int) string {
	good, err := json.Marshal(o.example)
	if err != nil {
		b.t.Fatal(err)
	}
	// Its example names a plant of nobody.
	text := strings.ReplaceAll(string(good), "0190b5c2-7d3e-7000-8000-0123456789ac", b.plant("P-001"))
	if o.id == "answerJob" { // its example names a job of nobody
		jobs, err := b.server.openToday(b.t.Context())
		if err != nil {
			b.t.Fatal(err)
		}
		i := slices.IndexFunc(jobs, func(j care.Job) bool { return tickable(j.Task) })
		text = fmt.Sprintf(`{"job":%q}`, jobs[i].Key)
	}
	switch {
	case turn%6 == 0:
		return text
	case turn%6 == 1:
		return text[:d.random.IntN(len(text)-1)+1]
	case turn%6 == 2:
		return []string{`[]`, `7`, `{"other":1}`, "\x00", text + "x", `{"entries":[{"id":"x"}]}`, `{"readings":[{"temperature":700}]}`, `{"answers":{"medium":"nothing"}}`}[d.random.IntN(8)]
	}
	drawn, err := json.Marshal(d.draw(schema, 0))
	if err != nil {
		b.t.Fatal(err)
	}
	return string(drawn)
}

// Requests made from the description, good and bad ones, are answered as the
// description says: the validators are those of others.
func TestTheInterfaceIsAsItsDescriptionSays(t *testing.T) {
	b := newBench(t, measuring, withSample, withPhotos, reachable)
	tokens := map[scope]string{"": "vlm_reads-reads-reads-reads", writeScope: "vlm_writes-writes-writes-writes", sensorScope: "vlm_sends-sends-sends-sends"}
	for may, token := range tokens {
		b.secrets.machines[token] = store.Machine{Name: "a " + string(may), Scope: orWord(string(may), string(readScope))}
	}
	description := b.ask(operation{method: http.MethodGet, path: "/api/openapi.json"}, "/api/openapi.json", "", "")
	var whole struct {
		Components struct{ Schemas map[string]any }
	}
	if err := json.Unmarshal(description.Body, &whole); err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(1, 2))
	d := drawer{random, whole.Components.Schemas}
	var all []exchange
	ask := func(o operation, path, body, token string, want int) {
		t.Helper()
		x := b.ask(o, path, body, token)
		if all = append(all, x); x.Status != want {
			t.Errorf("%s %s with the token %q: status %d, want %d", o.method, path, token, x.Status, want)
		}
	}
	for _, o := range operations() {
		var schema map[string]any
		if o.body != nil {
			schema = newSchemas().of(o.body)
		}
		token, met := tokens[o.scope], map[int]int{}
		for turn := range 24 {
			path, query := o.path, url.Values{}
			for _, p := range o.params {
				value := drawnValue(random, p, b)
				if p.in == "path" && p.name == "id" && turn%6 == 0 {
					value = b.plant("P-001") // with a good body, where there is one
				}
				if p.in == "path" {
					path = strings.ReplaceAll(path, "{"+p.name+"}", url.PathEscape(value))
				} else if random.IntN(3) > 0 && (o.body == nil || turn%6 > 0) {
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
				body = d.body(b, o, schema, turn)
			}
			x := b.ask(o, path, body, token)
			met[x.Status]++
			all = append(all, x)
		}
		if met[http.StatusOK] == 0 || len(o.params) > 0 && len(met) < 2 || o.body != nil && len(met) < 2 {
			t.Errorf("%s %s was answered with %v only", o.method, o.path, met)
		}
		if met[http.StatusInternalServerError] > 0 {
			t.Errorf("%s %s fails: %v", o.method, o.path, met)
		}
		path := strings.NewReplacer("{id}", b.plant("P-001"), "{name}", "shelf").Replace(o.path)
		body := ""
		if o.body != nil {
			body = d.body(b, o, schema, 0)
		}
		ask(o, path, body, "", http.StatusUnauthorized)
		ask(o, path, body, "vlm_nobody-nobody-nobody-nobody", http.StatusUnauthorized)
		if o.scope != sensorScope {
			ask(o, path, body, tokens[sensorScope], http.StatusForbidden)
		}
		if o.scope != "" {
			ask(o, path, body, tokens[""], http.StatusForbidden)
		}
	}
	for _, said := range checkedByOthers(t, description.Body, all) {
		t.Error(said)
	}
	for _, x := range []struct {
		method, path string
		status       int
	}{
		{http.MethodGet, "/api/nothing", http.StatusNotFound}, {http.MethodPost, "/api/plants", http.StatusMethodNotAllowed}, {http.MethodDelete, "/api/round/answers", http.StatusMethodNotAllowed},
		{http.MethodGet, "/api/plants/a/b/c", http.StatusNotFound}, {http.MethodPut, "/api/plants/" + b.plant("P-001"), http.StatusMethodNotAllowed},
	} {
		if got := b.ask(operation{method: x.method}, x.path, "", tokens[writeScope]); got.Status != x.status || !strings.Contains(string(got.Body), `"status":`) {
			t.Errorf("%s %s: status %d, want %d: %s", x.method, x.path, got.Status, x.status, got.Body)
		}
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
