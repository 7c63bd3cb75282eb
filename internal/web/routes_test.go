package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"velamen/internal/store"
)

// What may be used without signing in, only by people, and by machines for more
// than reading. Everything else asks for a session or a token, and a new route
// that asks for less fails here until it is listed with its reason.
var (
	openRoutes = map[string]string{
		"/":                               "what is not there is not there for anybody",
		"GET /static/{version}/{name...}": "style and modules hold nothing of the collection",
		"GET /service-worker.js":          "the same",
		"GET /velamen.webmanifest":        "the same",
		"GET /certificate":                "a phone has to trust it before it signs in",
		"GET /certificate/velamen.crt":    "the same",
		"GET /sign-in":                    "here people sign in",
		"POST /sign-in":                   "the same",
		"GET /api/openapi.json":           "the description of the interface",
		"/api/{rest...}":                  "what is not there",
		"GET /s/{token}":                  "the link is the key, and is checked",
		"POST /s/{token}/tick":            "the same",
		"POST /s/{token}/note":            "the same",
		"GET /calendar/{file}":            "the same",
		"/.well-known/caldav":             "leads to the to-dos",
		davRoot:                           "asks for a name and a token by itself",
	}
	peoplesRoutes  = []string{"GET /settings", "GET /settings/export", "GET /sharing"}
	machinesRoutes = []string{"POST /entries", "POST /readings", "POST /api/round/answers", "POST /api/plants/{id}/photographs", "POST /api/links", "POST /api/links/end"}
	// Sent with POST because the question is long; they keep nothing.
	askingRoutes  = []string{"POST /api/cases/answer"}
	sensorsRoutes = []string{"POST /readings"}
)

// asked is a request for a route, with what its path leaves open filled in.
func (b *bench) asked(rt route, plant string) *http.Request {
	method := rt.method
	if method == "" {
		method = http.MethodGet
	}
	path := strings.NewReplacer(
		"{id}", plant, "{name}", "balcony", "{name...}", "app.css", "{version}", "1", "{what}", "note", "{entry}", plant, "{hash}", strings.Repeat("0", 64),
		"{size}", "full", "{label}", "C-001", "{token}", strings.Repeat("A", 75), "{file}", "abc.ics", "{rest...}", "nothing", "{$}", "",
	).Replace(rt.path)
	r := httptest.NewRequest(method, path, strings.NewReader(""))
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	return r
}

// refused reports whether an answer keeps somebody out.
func refused(answer *http.Response) bool {
	return answer.StatusCode == http.StatusUnauthorized || answer.StatusCode == http.StatusForbidden || strings.HasPrefix(answer.Header.Get("Location"), "/sign-in")
}

// Every route the server has, asked by everybody who may come.
func TestEveryRouteKnowsWhoMayUseIt(t *testing.T) {
	other := newBench(t, withSample, reachable)
	other.post("/sign-in", signIn(rightPassphrase, "/"))
	b := newBench(t, withSample, reachable)
	b.secrets.machines = map[string]store.Machine{
		"r": {Name: "r", Scope: "read"}, "w": {Name: "w", Scope: "write"}, "s": {Name: "s", Scope: "readings"}, "odd": {Name: "odd", Scope: "no scope that is known"},
	}
	plant := b.plant("C-001")
	b.post("/sign-in", signIn(rightPassphrase, "/"))
	_, link, _ := strings.Cut(b.shared("round", "tick"), "/s/")
	b.cookies = nil
	entries, links := b.kept(), len(b.secrets.links)
	bearer := func(token string) func(r *http.Request) {
		return func(r *http.Request) { r.Header.Set("Authorization", "Bearer "+token) }
	}
	known := map[string]bool{}
	for _, rt := range b.server.routes {
		pattern := rt.pattern()
		known[pattern] = true
		_, open := openRoutes[pattern]
		reads := rt.method == http.MethodGet && !slices.Contains(peoplesRoutes, pattern) || slices.Contains(askingRoutes, pattern)
		for _, who := range []struct {
			name string
			as   func(r *http.Request)
			may  bool
		}{
			{"nobody", func(*http.Request) {}, false},
			{"a made-up session", func(r *http.Request) {
				r.AddCookie(&http.Cookie{Name: "__Host-velamen", Value: strings.Repeat("a", 43)})
			}, false},
			{"a session of another server", func(r *http.Request) { r.AddCookie(other.cookies[0]) }, false},
			{"a token taken back", bearer("x"), false},
			{"an empty token", bearer(""), false},
			{"a link as a token", bearer(link), false},
			{"the passphrase as a token", bearer(rightPassphrase), false},
			{"a name and the passphrase", func(r *http.Request) { r.SetBasicAuth("me", rightPassphrase) }, false},
			{"a token of no known scope", bearer("odd"), false},
			{"a reading token", bearer("r"), reads},
			{"a writing token", bearer("w"), reads || slices.Contains(machinesRoutes, pattern)},
			{"a sensor's token", bearer("s"), slices.Contains(sensorsRoutes, pattern)},
		} {
			if who.may && rt.method == http.MethodGet && who.name != "a reading token" {
				continue // rendered once is enough
			}
			r := b.asked(rt, plant)
			who.as(r)
			b.cookies = nil
			answer := b.do(r)
			carriesHeaders(t, pattern, answer)
			switch {
			case open:
			case refused(answer) == who.may:
				t.Errorf("%s by %s: %s", pattern, who.name, answer.Status)
			}
			if answer.StatusCode >= 500 {
				t.Errorf("%s by %s: %s", pattern, who.name, answer.Status)
			}
		}
	}
	if b.kept() != entries || len(b.secrets.links) != links || len(b.secrets.machines) != 4 {
		t.Error("one of them changed something")
	}
	for pattern := range openRoutes {
		if !known[pattern] {
			t.Errorf("%s is listed as open and is no route", pattern)
		}
	}
	if len(known) < 100 {
		t.Errorf("only %d routes were found", len(known))
	}
}

// A page of another site makes a signed-in browser change nothing, whichever
// address it sends to.
func TestNoRouteTakesForgedRequests(t *testing.T) {
	b := newBench(t, withSample, reachable)
	b.post("/sign-in", signIn(rightPassphrase, "/"))
	plant, entries, session := b.plant("C-001"), b.kept(), slices.Clone(b.cookies)
	for _, rt := range b.server.routes {
		methods := []string{rt.method}
		switch rt.method {
		case http.MethodGet:
			continue
		case "":
			methods = []string{"PUT", "POST", "DELETE", "PROPFIND"}
		}
		for _, method := range methods {
			for name, value := range map[string]string{"Sec-Fetch-Site": "cross-site", "Origin": "https://example.org"} {
				r := b.asked(rt, plant)
				r.Method = method
				r.Header.Set(name, value)
				b.cookies = slices.Clone(session)
				if answer := b.do(r); answer.StatusCode != http.StatusForbidden {
					t.Errorf("%s %s with %s: %s", method, rt.path, name, answer.Status)
				}
			}
		}
	}
	if b.kept() != entries {
		t.Error("the journal was changed")
	}
}

// bodiless are buttons without a form's content: their bodies are not read.
var bodiless = []string{"/settings/sample/remove", "/start/sample", "/start", "/sign-in", "/sign-out"}

// No route takes a longer body than it says, told beforehand or found out.
func TestNoRouteTakesMoreThanItSays(t *testing.T) {
	b := newBench(t, withSample)
	_, link, _ := strings.Cut(b.shared("round", "tick"), "/s/")
	plant, entries := b.plant("C-001"), b.kept()
	asked := func(rt route) *http.Request {
		rt.path = strings.Replace(rt.path, "/s/{token}", "/s/"+link, 1)
		return b.asked(rt, plant)
	}
	for _, rt := range b.server.routes {
		if rt.method != http.MethodPost {
			continue
		}
		r := asked(rt)
		r.ContentLength = rt.bytes + 1
		if answer := b.do(r); answer.StatusCode != http.StatusRequestEntityTooLarge {
			t.Errorf("%s, %d bytes announced: %s", rt.pattern(), r.ContentLength, answer.Status)
		}
		if rt.bytes > usualBytes || slices.Contains(bodiless, rt.path) {
			continue
		}
		long := url.Values{"note": {strings.Repeat("x", int(rt.bytes))}}
		r = httptest.NewRequest(http.MethodPost, r.URL.Path, strings.NewReader(long.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.ContentLength = -1
		if answer := b.do(r); answer.StatusCode < 400 || answer.StatusCode >= 500 {
			t.Errorf("%s, %d bytes sent: %s", rt.pattern(), len(long.Encode()), answer.Status)
		}
	}
	if b.kept() != entries {
		t.Error("the journal was changed")
	}
}

// Deeply nested and otherwise bent JSON is refused, at once and in words.
func TestBentJSONIsRefused(t *testing.T) {
	b := newBench(t, withSample, func(c *Config, _ *bench) {})
	entries := b.kept()
	for name, text := range map[string]string{
		"deep lists":        `{"entries":` + strings.Repeat("[", 400_000),
		"deep lists closed": `{"entries":` + strings.Repeat("[", 400_000) + strings.Repeat("]", 400_000) + `}`,
		"deep objects":      strings.Repeat(`{"entries":`, 90_000),
		"deep in a detail":  `{"entries":[{"detail":` + strings.Repeat(`{"plant":`, 90_000),
		"many of nothing":   `{"entries":[` + strings.Repeat("{},", 10_000) + `{}]}`,
		"a huge number":     `{"entries":[{"detail":{"mass_g":1` + strings.Repeat("0", 900_000) + `}}]}`,
		"another type":      `{"entries":"all of them"}`,
		"half a character":  `{"entries":[{"id":"` + "\xc3" + `"}]}`,
		"nothing":           ``,
	} {
		r := httptest.NewRequest(http.MethodPost, "/entries", strings.NewReader(text))
		r.Header.Set("Content-Type", "application/json")
		answer := b.do(r)
		if answer.StatusCode < 400 || answer.StatusCode >= 500 || answer.Header.Get("Content-Type") != "application/problem+json" {
			t.Errorf("%s: %s as %s", name, answer.Status, answer.Header.Get("Content-Type"))
		}
	}
	if b.kept() != entries {
		t.Error("the journal was changed")
	}
}

// Paths that climb, double or hide reach no file and no other page.
func TestPathTricksLeadNowhere(t *testing.T) {
	b := newBench(t, withSample)
	for _, path := range []string{
		"/static/1/../../../../etc/passwd", "/static/1/..%2f..%2f..%2fetc%2fpasswd", "/static/..%2f..%2f/etc/passwd", "/static/1/%2e%2e/%2e%2e/go.mod", "/static/1/", "/static/",
		"/static/1/..%5c..%5cgo.mod", "/static/1//etc/passwd", "/static/1/app.css%00.txt",
		"/photo/..%2f..%2forchids.velamen/full", "/photo/%2e%2e/full", "/photo/" + strings.Repeat("0", 64) + "/..%2f", "/photo/" + strings.Repeat("g", 64) + "/full",
		"/calendar/..%2f..%2fsecret.ics", "/calendar/%00.ics", "/s/..%2f..%2fsettings", "/s/%2e%2e%2f", "/api/../settings", "/api/plants/..%2f..%2fsettings", "/dav/..%2f..%2f",
		"//example.org/", "/%2f%2fexample.org/", "/plant/%00", "/plant/" + strings.Repeat("a", 5000),
	} {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		target, err := url.Parse("http://127.0.0.1" + path)
		if err != nil {
			t.Fatal(err)
		}
		r.URL, r.RequestURI = target, path
		answer := b.do(r)
		text := body(t, answer)
		to, err := url.Parse(answer.Header.Get("Location"))
		switch {
		case err != nil || to.Host != "" || strings.HasPrefix(to.Path, "//"):
			t.Errorf("%s leads to %q", path, answer.Header.Get("Location"))
		case answer.StatusCode == http.StatusOK || answer.StatusCode >= 500:
			t.Errorf("%s: %s", path, answer.Status)
		case strings.Contains(text, "root:") || strings.Contains(text, "module velamen"):
			t.Errorf("%s gives out a file", path)
		}
	}
}

// carriesHeaders reports what an answer lacks of the headers that keep a page to
// itself.
func carriesHeaders(t *testing.T, pattern string, answer *http.Response) {
	t.Helper()
	for name, want := range map[string]string{
		"Content-Security-Policy": policy, "X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin",
		"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin", "Server": "", "X-Powered-By": "",
	} {
		if got := answer.Header.Get(name); got != want {
			t.Errorf("%s: %s is %q", pattern, name, got)
		}
	}
}

func TestThePolicyAllowsNothingInline(t *testing.T) {
	for _, word := range []string{"'unsafe-inline'", "'unsafe-eval'", "*", "http:", "https:"} {
		if strings.Contains(policy, word) {
			t.Errorf("the policy allows %s", word)
		}
	}
	for _, part := range []string{"default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'self'"} {
		if !strings.Contains(policy, part) {
			t.Errorf("the policy lacks %s", part)
		}
	}
}
