package web

import (
	"encoding/base64"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
)

// shared makes a link and returns its path.
func (b *bench) shared(what, may string) string {
	b.t.Helper()
	answer := b.post("/sharing", url.Values{"for": {"Ada"}, "what": {what}, "may": {may}, "until": {testNow.AddDate(0, 0, 7).Format(time.DateOnly)}})
	text := body(b.t, answer)
	found := regexp.MustCompile(`<code class="token">https?://[^/]+(/[^<]+)</code>`).FindStringSubmatch(text)
	if found == nil {
		b.t.Fatalf("no link was made, status %d\n%s\n%s", answer.StatusCode, text, b.log)
	}
	return found[1]
}

// at sends a request to a path and returns its status.
func (b *bench) at(path string) int {
	b.t.Helper()
	return b.do(httptest.NewRequest(http.MethodGet, path, nil)).StatusCode
}

// jobsOn are the keys of the jobs on a shared page.
func jobsOn(page string) (keys []string) {
	for _, found := range regexp.MustCompile(`name="job" value="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		keys = append(keys, strings.NewReplacer("&#43;", "+", "&amp;", "&").Replace(found[1]))
	}
	return keys
}

func TestASitterTicksAndNotes(t *testing.T) {
	b := newBench(t, withSample)
	path := b.shared("round", "tick")
	page := b.get(path)
	jobs := jobsOn(page)
	if len(jobs) < 3 || strings.Contains(page, `href="/settings"`) || strings.Contains(page, "Measure roots</strong>") {
		t.Fatalf("the shared page shows %d jobs, or more than it should\n%s", len(jobs), page)
	}
	if want := testNow.AddDate(0, 0, 7).Format("2 January 2006"); !strings.Contains(page, "until "+want) || !strings.Contains(b.get("/sharing"), want) {
		t.Errorf("it does not say that it holds until %s", want)
	}
	plant, _, _ := strings.Cut(jobs[0], "/")
	sent := url.Values{"job": {jobs[0]}, "entry": {newID()}}
	for range 2 { // sent twice it is there once
		if answer := b.post(path+"/tick", sent); answer.StatusCode != http.StatusSeeOther {
			t.Fatalf("status %d\n%s", answer.StatusCode, body(t, answer))
		}
	}
	// Ticked anew on a page that was open all the while, it stays ticked once.
	if answer := b.post(path+"/tick", url.Values{"job": {jobs[0]}, "entry": {newID()}}); answer.StatusCode != http.StatusSeeOther {
		t.Errorf("ticked again: status %d", answer.StatusCode)
	}
	answers := 0
	entries, err := b.server.Book.Journal(t.Context(), plant)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.Detail.Job == jobs[0] {
			answers++
			if e.By != "Ada" {
				t.Errorf("it was done by %q", e.By)
			}
		}
	}
	if answers != 1 {
		t.Errorf("%d entries answer the job", answers)
	}
	if after := jobsOn(b.get(path)); len(after) != len(jobs)-1 {
		t.Errorf("%d jobs are left of %d", len(after), len(jobs))
	}
	if answer := b.post(path+"/tick", url.Values{"job": {jobs[1]}, "entry": {newID()}, "do": {"skip"}, "note": {"no water left"}}); answer.StatusCode != http.StatusSeeOther {
		t.Errorf("not done: status %d", answer.StatusCode)
	}
	if answer := b.post(path+"/note", url.Values{"label": {"P-001"}, "note": {"one leaf fell"}, "entry": {newID()}}); answer.StatusCode != http.StatusSeeOther {
		t.Errorf("a note: status %d", answer.StatusCode)
	}
	if e := b.last(b.plant("P-001"), care.Noted); e.Detail.Note != "one leaf fell" || e.By != "Ada" {
		t.Errorf("the note is %+v", e)
	}
	if answer := b.post(path+"/note", url.Values{"label": {"Q-999"}, "note": {"x"}}); answer.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a note on no plant: status %d", answer.StatusCode)
	}
}

func TestALinkReachesNoFurtherThanItSays(t *testing.T) {
	b := newBench(t, withSample)
	whole := jobsOn(b.get(b.shared("round", "tick")))
	shelf := b.shared("round:shelf", "tick")
	within := map[string]bool{}
	for _, key := range jobsOn(b.get(shelf)) {
		within[key] = true
	}
	if len(within) == 0 || len(within) >= len(whole) {
		t.Fatalf("the shelf has %d jobs of %d", len(within), len(whole))
	}
	mine := b.plant("P-001")
	one := b.shared("plant:"+mine, "tick")
	looks := b.shared("round", "read")
	before := b.entries()
	for _, key := range whole {
		plant, _, _ := strings.Cut(key, "/")
		if !within[key] {
			if status := b.post(shelf+"/tick", url.Values{"job": {key}, "entry": {newID()}}).StatusCode; status != http.StatusForbidden {
				t.Errorf("a job of another space: status %d", status)
			}
		}
		if plant != mine {
			if status := b.post(one+"/tick", url.Values{"job": {key}, "entry": {newID()}}).StatusCode; status != http.StatusForbidden {
				t.Errorf("a job of another plant: status %d", status)
			}
		}
		if status := b.post(looks+"/tick", url.Values{"job": {key}, "entry": {newID()}}).StatusCode; status != http.StatusForbidden {
			t.Errorf("ticked by a link that only looks: status %d", status)
		}
	}
	if status := b.post(shelf+"/note", url.Values{"label": {"C-001"}, "note": {"x"}}).StatusCode; status != http.StatusUnprocessableEntity {
		t.Errorf("a note beyond the shelf: status %d", status)
	}
	if status := b.post(looks+"/note", url.Values{"label": {"P-001"}, "note": {"x"}}).StatusCode; status != http.StatusForbidden {
		t.Errorf("a note by a link that only looks: status %d", status)
	}
	for _, key := range []string{mine + "/review/2026-11-24", mine + "/flush/2099-01-01", "x", ""} {
		if status := b.post(one+"/tick", url.Values{"job": {key}, "entry": {newID()}}).StatusCode; status != http.StatusForbidden {
			t.Errorf("%q: status %d", key, status)
		}
	}
	if n := b.entries(); n != before {
		t.Errorf("%d entries were written", n-before)
	}
}

// A link signs in nobody, and is good for nothing else.
func TestALinkOpensNothingElse(t *testing.T) {
	b := newBench(t, withSample, reachable)
	if status := b.post("/sign-in", signIn(rightPassphrase, "/")).StatusCode; status != http.StatusSeeOther {
		t.Fatalf("signing in: status %d", status)
	}
	path := b.shared("round", "tick")
	b.cookies = nil
	if status := b.at(path); status != http.StatusOK {
		t.Fatalf("the link itself: status %d", status)
	}
	for _, other := range []string{"/", "/sharing", "/collection", "/settings", "/settings/export", "/plant/" + b.plant("P-001")} {
		if status := b.at(other); status != http.StatusSeeOther {
			t.Errorf("%s: status %d, want to be sent to the sign-in", other, status)
		}
	}
	r := httptest.NewRequest(http.MethodGet, "/api/plants", nil)
	r.Header.Set("Authorization", "Bearer "+strings.TrimPrefix(path, "/s/"))
	if status := b.do(r).StatusCode; status != http.StatusUnauthorized && status != http.StatusNotFound {
		t.Errorf("as a machine's token: status %d", status)
	}
}

func TestForgedEndedAndRevokedLinksFail(t *testing.T) {
	b := newBench(t, withSample)
	path := b.shared("round:shelf", "tick")
	token := strings.TrimPrefix(path, "/s/")
	content, err := base64.RawURLEncoding.DecodeString(token)
	if err != nil {
		t.Fatal(err)
	}
	// Every bit counts: the id, the end, the signature.
	for i := range content {
		forged := append([]byte{}, content...)
		forged[i] ^= 1 << (i % 8)
		if status := b.at("/s/" + base64.RawURLEncoding.EncodeToString(forged)); status != http.StatusForbidden {
			t.Fatalf("byte %d changed: status %d", i, status)
		}
	}
	// Nor is a token ours that decodes to the same when its idle bits, or line
	// breaks, are passed over.
	const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
	last := strings.IndexByte(letters, token[len(token)-1])
	for _, bad := range []string{"x", token[:len(token)-4], token + "AAAA", strings.Repeat("A", 75), token[:len(token)-1] + letters[last^1:last^1+1], token[:9] + "%0A" + token[9:]} {
		if status := b.at("/s/" + bad); status != http.StatusForbidden {
			t.Errorf("%q: status %d", bad, status)
		}
	}
	// Whoever can write into the store but lacks the key cannot widen a link.
	wider := b.secrets.links[0]
	wider.Subject = ""
	b.secrets.links[0] = wider
	if status := b.at(path); status != http.StatusForbidden {
		t.Errorf("a link widened behind its back: status %d", status)
	}
	wider.Subject = "shelf"
	b.secrets.links[0] = wider

	key := jobsOn(b.get(path))[0]
	b.server.Now = func() time.Time { return testNow.AddDate(0, 0, 9) }
	if status := b.at(path); status != http.StatusForbidden {
		t.Errorf("after its end: status %d", status)
	}
	if status := b.post(path+"/tick", url.Values{"job": {key}, "entry": {newID()}}).StatusCode; status != http.StatusForbidden {
		t.Errorf("ticked after its end: status %d", status)
	}
	b.server.Now = func() time.Time { return testNow }
	if status := b.at(path); status != http.StatusOK {
		t.Fatalf("before its end: status %d", status)
	}
	b.post("/sharing/remove", url.Values{"link": {b.secrets.links[0].ID}})
	if status := b.at(path); status != http.StatusForbidden {
		t.Errorf("taken back: status %d", status)
	}
	// One link cannot stand for another sort.
	calendar := b.shared("calendar", "")
	if status := b.at("/s/" + strings.TrimSuffix(strings.TrimPrefix(calendar, "/calendar/"), ".ics")); status != http.StatusForbidden {
		t.Errorf("a calendar as a round: status %d", status)
	}
}

func TestSlipsInSharingStayInTheForm(t *testing.T) {
	b := newBench(t, withSample)
	good := url.Values{"for": {"Ada"}, "what": {"round"}, "may": {"tick"}, "until": {testNow.AddDate(0, 0, 7).Format(time.DateOnly)}}
	for field, value := range map[string]string{"for": "", "what": "round:attic", "may": "write", "until": "2020-01-01"} {
		values := url.Values{}
		for k, v := range good {
			values[k] = v
		}
		values.Set(field, value)
		if answer := b.post("/sharing", values); answer.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%s = %q: status %d", field, value, answer.StatusCode)
		}
	}
	if len(b.secrets.links) != 0 {
		t.Errorf("%d links were made", len(b.secrets.links))
	}
}

// What a token holds is never trusted before its signature.
func FuzzLinkToken(f *testing.F) {
	l := store.Link{ID: newID(), Name: "Ada", Sort: linkRound, Scope: linkTicks, Key: make([]byte, 32), Expires: testNow.AddDate(1, 0, 0)}
	good, err := signedLink(l)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(good)
	f.Add("")
	f.Add(good + "=")
	f.Add(good[:9] + "\n" + good[9:])
	s := &Server{Config: Config{Secrets: &fakeSecrets{links: []store.Link{l}}, Now: func() time.Time { return testNow }}}
	f.Fuzz(func(t *testing.T, token string) {
		if _, err := s.linkOf(t.Context(), token, ""); err == nil && token != good {
			t.Errorf("%q is taken for a link", token)
		}
	})
}
