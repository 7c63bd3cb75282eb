package web

import (
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"strings"
	"testing"

	"velamen/internal/store"
)

// todoProgram runs a program for to-dos that others wrote (python3-caldav of
// Debian) against a server.
func todoProgram(t *testing.T, url, token string, command ...string) []string {
	t.Helper()
	need := os.Getenv("VELAMEN_PEERS") == "required"
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import caldav").Run(); err != nil {
		if need {
			t.Fatal("python3-caldav is missing; scripts/test installs it")
		}
		t.Skip("python3-caldav is not installed here")
	}
	out, err := exec.Command(python, append([]string{"testdata/tick_todos.py", url, token}, command...)...).CombinedOutput()
	if err != nil {
		return []string{"failed: " + string(out)}
	}
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}

// reachablePlainly is reachable without HTTPS, for a program that knows no
// certificate of ours.
func reachablePlainly(c *Config, b *bench) {
	reachable(c, b)
	c.HTTPS = false
}

func TestAPhonesToDoListTicksJobs(t *testing.T) {
	b := newBench(t, withSample, reachablePlainly)
	writes, reads := "vlm_writes-writes-writes-writes", "vlm_reads-reads-reads-reads-reads"
	b.secrets.machines[writes] = store.Machine{Name: "phone", Scope: string(writeScope)}
	b.secrets.machines[reads] = store.Machine{Name: "wall", Scope: string(readScope)}
	serving := httptest.NewServer(b.server)
	defer serving.Close()
	at := serving.URL + "/dav/"

	list := todoProgram(t, at, writes, "list")
	if len(list) < 4 || list[0] != "1 Velamen" {
		t.Fatalf("listed is %q\n%s", list, b.log)
	}
	parts := strings.Split(list[1], "|")
	if len(parts) != 4 || parts[1] != "NEEDS-ACTION" {
		t.Fatalf("a to-do reads %q", list[1])
	}
	uid := parts[0]
	before := b.entries()
	for range 2 { // ticked twice it is in the journal once
		if got := todoProgram(t, at, writes, "tick", uid); got[0] != "done" {
			t.Fatalf("ticking: %q\n%s", got, b.log)
		}
	}
	if n := b.entries() - before; n != 1 {
		t.Fatalf("%d entries were written", n)
	}
	again := todoProgram(t, at, writes, "list")
	if !strings.Contains(strings.Join(again, "\n"), uid+"|COMPLETED|") {
		t.Errorf("ticked, the list is %q", again)
	}
	if got := todoProgram(t, at, writes, "untick", uid); got[0] != "done" {
		t.Errorf("unticking: %q", got)
	}
	if text := strings.Join(todoProgram(t, at, writes, "list"), "\n"); !strings.Contains(text, uid+"|NEEDS-ACTION|") {
		t.Errorf("unticked, the list is %q", text)
	}
	before = b.entries()
	for what, got := range map[string][]string{
		"a new to-do": todoProgram(t, at, writes, "new"), "deleting": todoProgram(t, at, writes, "delete", uid), "ticking with a token that reads": todoProgram(t, at, reads, "tick", uid),
	} {
		if got[0] == "done" || got[0] == "added" {
			t.Errorf("%s: %q", what, got)
		}
	}
	if got := todoProgram(t, at, "vlm_nobody-nobody-nobody-nobody", "list"); !strings.HasPrefix(got[0], "failed") {
		t.Errorf("without a token: %q", got)
	}
	if n := b.entries(); n != before {
		t.Errorf("%d entries were written", n-before)
	}
}

// What no program sends is refused, and writes nothing.
func TestToDosAreTakenFromNobodyElse(t *testing.T) {
	b := newBench(t, withSample, reachablePlainly)
	send := func(method, path, body, authorization string) int {
		r := httptest.NewRequest(method, path, strings.NewReader(body))
		r.Header.Set("Content-Type", "text/calendar")
		if authorization != "" {
			r.Header.Set("Authorization", authorization)
		}
		return b.do(r).StatusCode
	}
	for _, method := range []string{http.MethodOptions, "PROPFIND", "REPORT", http.MethodGet, http.MethodPut, http.MethodDelete, "MKCALENDAR"} {
		if status := send(method, davTodos, "", ""); status != http.StatusUnauthorized {
			t.Errorf("%s without a token: status %d", method, status)
		}
	}
	b.secrets.machines["vlm_writes-writes-writes-writes"] = store.Machine{Name: "phone", Scope: string(writeScope)}
	bearer := "Bearer vlm_writes-writes-writes-writes"
	before := b.entries()
	for _, text := range []string{"", "BEGIN:VCALENDAR", "x", "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nBEGIN:VEVENT\r\nUID:a\r\nDTSTAMP:20261124T000000Z\r\nDTSTART:20261124T000000Z\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"} {
		if status := send(http.MethodPut, davTodos+"x.ics", text, bearer); status < 400 || status >= 500 {
			t.Errorf("%q: status %d", text, status)
		}
	}
	if n := b.entries(); n != before {
		t.Errorf("%d entries were written", n-before)
	}
}
