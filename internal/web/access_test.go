package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2/memstore"
	"github.com/google/uuid"

	"velamen/internal/store"
)

// rightPassphrase opens the benches that others reach; its hash is cheap to
// check so that tests are quick.
const rightPassphrase = "four words by themselves"

var cheapCost = cost{passes: 1, kibibytes: 64, lanes: 1}

// reachable lets others reach the server, behind a passphrase and HTTPS.
func reachable(c *Config, b *bench) {
	c.Address, c.HTTPS = "192.168.7.20:8420", true
	hash, err := cheapCost.hash(rightPassphrase)
	if err != nil {
		b.t.Fatal(err)
	}
	b.secrets.hash = hash
}

func signIn(passphrase, then string) url.Values {
	return url.Values{"passphrase": {passphrase}, "then": {then}}
}

func TestWhichAddressesAreThisMachineAlone(t *testing.T) {
	for address, own := range map[string]bool{
		"127.0.0.1:80": true, "[::1]:80": true, "localhost:80": true, "127.8.8.8:1": true,
		"0.0.0.0:80": false, ":80": false, "[::]:80": false, "192.168.1.4:80": false, "greenhouse.local:80": false, "127.0.0.1.example.org:80": false,
	} {
		if got, err := onlyThisMachine(address); err != nil || got != own {
			t.Errorf("%s: own %v, %v", address, got, err)
		}
	}
	if _, err := onlyThisMachine("8080"); err == nil {
		t.Error("an address without a host passed")
	}
}

func TestOthersNeedAPassphraseFirst(t *testing.T) {
	b := newBench(t)
	c := b.server.Config
	c.Address, c.Sessions = "0.0.0.0:8420", memstore.NewWithCleanupInterval(0)
	if _, err := New(c); !errors.Is(err, ErrNoPassphrase) {
		t.Errorf("a server without a passphrase started: %v", err)
	}
}

// Another site can point a name of its own at this machine; the pages do not
// answer to it.
func TestOnlyLocalNamesReachTheOpenServer(t *testing.T) {
	b := newBench(t, withSample)
	for host, status := range map[string]int{
		"127.0.0.1:8420": 200, "localhost:8420": 200, "[::1]:8420": 200, "localhost": 200,
		"rebound.example.org:8420": 403, "192.168.7.20": 403, "localhost.example.org": 403,
	} {
		r := httptest.NewRequest(http.MethodGet, "/collection", nil)
		r.Host = host
		if answer := b.do(r); answer.StatusCode != status {
			t.Errorf("%s: %s, expected %d", host, answer.Status, status)
		}
	}
}

func TestSigningInAndOut(t *testing.T) {
	b := newBench(t, withSample, reachable)
	first := b.do(httptest.NewRequest(http.MethodGet, "/spaces?done=kept", nil))
	if first.StatusCode != http.StatusSeeOther || first.Header.Get("Location") != "/sign-in?then=%2Fspaces" {
		t.Fatalf("unsigned: %s to %s", first.Status, first.Header.Get("Location"))
	}
	checkPage(t, "/sign-in", b.get("/sign-in?then=%2Fspaces"))

	wrong := b.post("/sign-in", signIn("five words by themselves", "/spaces"))
	page := body(t, wrong)
	if wrong.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(page, "This is not the passphrase.") || !strings.Contains(page, `value="/spaces"`) {
		t.Fatalf("a wrong passphrase: %s\n%s", wrong.Status, page)
	}
	if strings.Contains(page, "five words") {
		t.Error("the page repeats the passphrase")
	}

	right := b.post("/sign-in", signIn(rightPassphrase, "/spaces"))
	if right.StatusCode != http.StatusSeeOther || right.Header.Get("Location") != "/spaces" {
		t.Fatalf("the right passphrase: %s to %s\n%s", right.Status, right.Header.Get("Location"), b.log)
	}
	cookies := right.Cookies()
	if len(cookies) != 1 {
		t.Fatalf("cookies: %v", cookies)
	}
	if c := cookies[0]; !c.HttpOnly || !c.Secure || c.SameSite != http.SameSiteLaxMode || c.Path != "/" || c.Domain != "" || !strings.HasPrefix(c.Name, "__Host-") {
		t.Errorf("the cookie is %v", c)
	}
	b.get("/spaces")

	taken := slices.Clone(b.cookies)
	if out := b.post("/sign-out", nil); out.StatusCode != http.StatusSeeOther {
		t.Fatalf("signing out: %s", out.Status)
	}
	b.cookies = taken // somebody may have copied it
	if again := b.do(httptest.NewRequest(http.MethodGet, "/spaces", nil)); again.StatusCode != http.StatusSeeOther {
		t.Errorf("the session outlived its end: %s", again.Status)
	}
}

func TestAnotherPassphraseEndsSessions(t *testing.T) {
	b := newBench(t, withSample, reachable)
	b.post("/sign-in", signIn(rightPassphrase, "/"))
	b.get("/collection")
	hash, err := cheapCost.hash("another one altogether")
	if err != nil {
		t.Fatal(err)
	}
	b.secrets.hash = hash
	if answer := b.do(httptest.NewRequest(http.MethodGet, "/collection", nil)); answer.StatusCode != http.StatusSeeOther {
		t.Errorf("a session opened with the old passphrase: %s", answer.Status)
	}
}

// A session begun before signing in, perhaps by somebody else, gains nothing.
func TestSignInChangesTheSession(t *testing.T) {
	b := newBench(t, withSample, reachable)
	b.post("/sign-in", signIn(rightPassphrase, "/"))
	before := b.cookies[0].Value
	b.post("/sign-in", signIn(rightPassphrase, "/"))
	if b.cookies[0].Value == before {
		t.Error("the session kept its token")
	}
}

func TestSignInLeadsNowhereElse(t *testing.T) {
	for _, then := range []string{"https://example.org/", "//example.org", `/\example.org`, "javascript:alert(1)", "spaces", "/%0d%0ax", "/\t/example.org"} {
		b := newBench(t, withSample, reachable)
		answer := b.post("/sign-in", signIn(rightPassphrase, then))
		to, err := url.Parse(answer.Header.Get("Location"))
		if err != nil || to.Host != "" || to.Scheme != "" || strings.HasPrefix(to.Path, "//") {
			t.Errorf("%q leads to %q", then, answer.Header.Get("Location"))
		}
	}
}

func TestGuessingIsSlow(t *testing.T) {
	now := testNow
	b := newBench(t, reachable, func(c *Config, _ *bench) { c.Now = func() time.Time { return now } })
	try := func(from, passphrase string) int {
		r := httptest.NewRequest(http.MethodPost, "/sign-in", strings.NewReader(signIn(passphrase, "/").Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.RemoteAddr = from
		return b.do(r).StatusCode
	}
	for range triesAtOnce {
		if status := try("192.168.7.31:5000", "wrong wrong wrong"); status != http.StatusUnprocessableEntity {
			t.Fatalf("an early attempt: %d", status)
		}
	}
	if status := try("192.168.7.31:5001", rightPassphrase); status != http.StatusTooManyRequests {
		t.Errorf("one attempt too many, with the right passphrase: %d", status)
	}
	if status := try("192.168.7.32:5000", "wrong wrong wrong"); status != http.StatusUnprocessableEntity {
		t.Errorf("another address: %d", status)
	}
	now = now.Add(perTry)
	if status := try("192.168.7.31:5000", rightPassphrase); status != http.StatusSeeOther {
		t.Errorf("after waiting: %d", status)
	}
	refused := 0
	for i := range 2 * triesAtOnceByAll {
		b.cookies = nil
		if try(fmt.Sprintf("[2001:db8:%x::1]:5000", i), "wrong wrong wrong") == http.StatusTooManyRequests {
			refused++
		}
	}
	if refused < triesAtOnceByAll {
		t.Errorf("many addresses together were refused %d times only", refused)
	}
}

func TestOneMachineHasOneNetwork(t *testing.T) {
	for _, c := range []struct {
		a, b string
		same bool
	}{
		{"192.168.7.31:1", "192.168.7.31:2", true}, {"192.168.7.31:1", "192.168.7.32:1", false},
		{"[2001:db8::1]:1", "[2001:db8::ffff:2]:1", true}, {"[2001:db8::1]:1", "[2001:db8:0:1::1]:1", false},
		{"[::ffff:192.168.7.31]:1", "192.168.7.31:1", true}, {"[fe80::1%eth0]:1", "[fe80::1%wlan0]:1", true},
	} {
		if same := neighbourhood(c.a) == neighbourhood(c.b); same != c.same {
			t.Errorf("%s and %s: same %v", c.a, c.b, same)
		}
	}
}

// Who may do what. The rows are requests, the columns whom they come from.
func TestAccessMatrix(t *testing.T) {
	const nobody, session, reading, writing, revoked = "nobody", "session", "reading token", "writing token", "wrong token"
	entry := fmt.Sprintf(`{"entries":[{"id":%q,"at":"2026-11-24T08:00:00Z","kind":"rain","detail":{"rain_mm":4}}]}`, uuid.Must(uuid.NewV7()))
	requests := []struct {
		method, path, kind, body string
		status                   map[string]int
	}{
		{"GET", "/collection", "", "", map[string]int{nobody: 303, session: 200, reading: 200, writing: 200, revoked: 401}},
		{"GET", "/settings", "", "", map[string]int{nobody: 303, session: 200, reading: 403, writing: 403, revoked: 401}},
		{"GET", "/settings/export", "", "", map[string]int{nobody: 303, session: 404, reading: 403, writing: 403, revoked: 401}},
		{"POST", "/entries", "application/json", entry, map[string]int{nobody: 401, session: 200, reading: 403, writing: 200, revoked: 401}},
		{"POST", "/settings", "application/x-www-form-urlencoded", "minutes=30", map[string]int{nobody: 303, session: 303, reading: 403, writing: 403, revoked: 401}},
		{"POST", "/settings/machines", "application/x-www-form-urlencoded", "machine=x&scope=write", map[string]int{nobody: 303, session: 200, reading: 403, writing: 403, revoked: 401}},
		{"POST", "/settings/sample/remove", "application/x-www-form-urlencoded", "", map[string]int{nobody: 303, session: 303, reading: 403, writing: 403, revoked: 401}},
		{"GET", "/certificate", "", "", map[string]int{nobody: 200, session: 200, reading: 200, writing: 200, revoked: 200}},
	}
	for _, q := range requests {
		b := newBench(t, withSample, reachable)
		b.secrets.machines = map[string]store.Machine{"r": {Name: "r", Scope: "read"}, "w": {Name: "w", Scope: "write"}}
		for who, status := range q.status {
			b.cookies = nil
			entries := len(b.store.entries)
			r := httptest.NewRequest(q.method, q.path, strings.NewReader(q.body))
			if q.kind != "" {
				r.Header.Set("Content-Type", q.kind)
			}
			switch who {
			case session:
				b.post("/sign-in", signIn(rightPassphrase, "/"))
			case reading:
				r.Header.Set("Authorization", "Bearer r")
			case writing:
				r.Header.Set("Authorization", "Bearer w")
			case revoked:
				r.Header.Set("Authorization", "Bearer x")
			}
			answer := b.do(r)
			if answer.StatusCode != status {
				t.Errorf("%s %s by %s: %s, expected %d", q.method, q.path, who, answer.Status, status)
			}
			toSignIn := strings.HasPrefix(answer.Header.Get("Location"), "/sign-in")
			if who == nobody && status == 303 && !toSignIn {
				t.Errorf("%s %s by nobody leads to %s", q.method, q.path, answer.Header.Get("Location"))
			}
			if refused := status >= 400 || toSignIn; refused && len(b.store.entries) != entries {
				t.Errorf("%s %s by %s was refused, but changed the journal", q.method, q.path, who)
			}
		}
	}
}

// A page of another site cannot make a signed-in browser change anything.
func TestForgedRequestsAreRefused(t *testing.T) {
	b := newBench(t, withSample, reachable)
	b.post("/sign-in", signIn(rightPassphrase, "/"))
	for _, header := range []http.Header{
		{"Sec-Fetch-Site": {"cross-site"}}, {"Sec-Fetch-Site": {"same-site"}},
		{"Origin": {"https://example.org"}}, {"Origin": {"null"}},
	} {
		for _, path := range []string{"/settings", "/sign-out", "/sign-in", "/settings/machines", "/entries"} {
			r := httptest.NewRequest(http.MethodPost, path, strings.NewReader("minutes=30"))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			for name, values := range header {
				r.Header.Set(name, values[0])
			}
			if answer := b.do(r); answer.StatusCode != http.StatusForbidden {
				t.Errorf("POST %s with %v: %s", path, header, answer.Status)
			}
		}
	}
	b.get("/collection") // still signed in
}

func TestBodiesAreBounded(t *testing.T) {
	b := newBench(t, withSample)
	for _, chunked := range []bool{false, true} {
		r := httptest.NewRequest(http.MethodPost, "/settings", strings.NewReader("minutes="+strings.Repeat("1", usualBytes)))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		if chunked {
			r.ContentLength = -1
		}
		if answer := b.do(r); answer.StatusCode != http.StatusRequestEntityTooLarge {
			t.Errorf("a large form, chunked %v: %s", chunked, answer.Status)
		}
		r = httptest.NewRequest(http.MethodPost, "/entries", strings.NewReader(`{"entries":[{"id":"`+strings.Repeat("1", 1<<20)+`"}]}`))
		r.Header.Set("Content-Type", "application/json")
		if chunked {
			r.ContentLength = -1
		}
		answer := b.do(r)
		if answer.StatusCode != http.StatusRequestEntityTooLarge || answer.Header.Get("Content-Type") != "application/problem+json" {
			t.Errorf("many entries, chunked %v: %s as %s", chunked, answer.Status, answer.Header.Get("Content-Type"))
		}
	}
}

func TestEveryAnswerCarriesTheHeaders(t *testing.T) {
	b := newBench(t, withSample)
	for _, path := range []string{"/", "/spaces", "/nowhere", "/settings", "/start", b.server.assets.folder + "app.css"} {
		answer := b.do(httptest.NewRequest(http.MethodGet, path, nil))
		for name, want := range map[string]string{
			"X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin", "Content-Security-Policy": policy,
			"Cross-Origin-Resource-Policy": "same-origin",
		} {
			if got := answer.Header.Get(name); got != want {
				t.Errorf("%s: %s is %q", path, name, got)
			}
		}
		if _, err := uuid.Parse(answer.Header.Get("X-Request-Id")); err != nil {
			t.Errorf("%s: request id: %v", path, err)
		}
		if cache := answer.Header.Get("Cache-Control"); !strings.HasPrefix(path, "/static/") && cache != "no-store" {
			t.Errorf("%s may be cached: %q", path, cache)
		}
	}
}

// The log tells what happened, and nothing that was secret or private.
func TestLogsHoldNoSecrets(t *testing.T) {
	b := newBench(t, withSample, reachable)
	b.post("/sign-in", signIn("the wrong passphrase", "/"))
	b.post("/sign-in", signIn(rightPassphrase, "/"))
	cookie := b.cookies[0].Value
	page := body(t, b.post("/settings/machines", url.Values{"machine": {"terrace logger"}, "scope": {"write"}}))
	token := parsePage(t, page).all("code")[0].text
	if !strings.HasPrefix(token, tokenPrefix) {
		t.Fatalf("no token on the page: %q", token)
	}
	b.do(httptest.NewRequest(http.MethodGet, "/plant/nobody?find=private", nil))
	r := httptest.NewRequest(http.MethodGet, "/collection", nil)
	r.Header.Set("Authorization", "Bearer "+token)
	b.do(r)
	log := b.log.String()
	for what, secret := range map[string]string{
		"passphrase": rightPassphrase, "attempt": "wrong passphrase", "cookie": cookie, "token": token, "query": "private", "plant": "nobody",
	} {
		if strings.Contains(log, secret) {
			t.Errorf("the log holds the %s", what)
		}
	}
	if n := strings.Count(log, "msg=request"); n < 5 {
		t.Errorf("the log has %d lines", n)
	}
}

// A token is shown once, works at once, and stops working when it is taken
// away.
func TestTokensComeAndGo(t *testing.T) {
	b := newBench(t, withSample, reachable)
	b.post("/sign-in", signIn(rightPassphrase, "/"))
	page := body(t, b.post("/settings/machines", url.Values{"machine": {"logger"}, "scope": {"read"}}))
	checkPage(t, "/settings/machines", page)
	token := parsePage(t, page).all("code")[0].text
	if strings.Contains(b.get("/settings"), token) {
		t.Error("the token is shown again")
	}
	taken := b.post("/settings/machines", url.Values{"machine": {"logger"}, "scope": {"write"}})
	if text := body(t, taken); taken.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(text, "There is a machine of this name") {
		t.Errorf("a second machine of the same name: %s", taken.Status)
	}
	b.cookies = nil
	use := func() int {
		r := httptest.NewRequest(http.MethodGet, "/collection", nil)
		r.Header.Set("Authorization", "Bearer "+token)
		return b.do(r).StatusCode
	}
	if status := use(); status != http.StatusOK {
		t.Errorf("the token: %d", status)
	}
	b.post("/sign-in", signIn(rightPassphrase, "/"))
	b.post("/settings/machines/remove", url.Values{"machine": {"logger"}})
	b.cookies = nil
	if status := use(); status != http.StatusUnauthorized {
		t.Errorf("the token that was taken away: %d", status)
	}
}

func TestPassphraseHashes(t *testing.T) {
	if _, err := HashPassphrase("short"); err == nil {
		t.Error("a short passphrase passed")
	}
	if _, err := HashPassphrase(strings.Repeat("long ", 300)); err == nil {
		t.Error("an endless passphrase passed")
	}
	one, err := HashPassphrase(rightPassphrase)
	if err != nil {
		t.Fatal(err)
	}
	// RFC 9106, section 4, second recommended option: t=3, m=2^16 KiB, 4 lanes.
	if !strings.HasPrefix(one, "$argon2id$v=19$m=65536,t=3,p=4$") {
		t.Errorf("the hash is %s", one)
	}
	if err := checkPassphrase(one, rightPassphrase); err != nil {
		t.Errorf("the right passphrase: %v", err)
	}
	if err := checkPassphrase(one, rightPassphrase+" "); !errors.Is(err, errPassphrase) {
		t.Errorf("another passphrase: %v", err)
	}
	for _, damaged := range []string{
		"", "x", "$argon2id$v=19$m=65536,t=3,p=4$AAAA", strings.Replace(one, "t=3", "t=0", 1), strings.Replace(one, "p=4", "p=0", 1),
		strings.Replace(one, "m=65536", "m=99999999", 1), strings.Replace(one, "v=19", "v=16", 1), "$argon2i" + one[len("$argon2id"):],
	} {
		if err := checkPassphrase(damaged, rightPassphrase); err == nil || errors.Is(err, errPassphrase) {
			t.Errorf("%q: %v", damaged, err)
		}
	}
}

// A program may not write about a plant that is not there: the entry would count
// nowhere. It may bring the plant with it, and send again what was kept.
func TestEntriesNameAPlantThatIsThere(t *testing.T) {
	b := newBench(t)
	stranger, note := newID(), newID()
	entry := func(id, kind, detail string) string {
		return fmt.Sprintf(`{"id":%q,"at":%q,"kind":%q,"plant":%q,"detail":%s}`, id, b.server.Now().Format(time.RFC3339), kind, stranger, detail)
	}
	about := entry(note, "note", `{"note":"a new tip"}`)
	answer := b.sendEntries(about)
	if text := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(text, `"field":"plant"`) || !strings.Contains(text, stranger) {
		t.Fatalf("a note about nobody: %s %s", answer.Status, text)
	}
	plant := entry(newID(), "plant", `{"plant":{"label":"Q-1"}}`)
	for _, sent := range [][]string{{about, plant}, {about, plant}, {about}} {
		if answer := b.sendEntries(sent...); answer.StatusCode != http.StatusOK {
			t.Errorf("a plant that comes along: %s %s", answer.Status, body(t, answer))
		}
	}
}
