package cli

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"velamen/internal/store"
	"velamen/internal/web"
)

// heard collects what a command writes while it runs.
type heard struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (h *heard) Write(b []byte) (int, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.text.Write(b)
}

func (h *heard) String() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.text.String()
}

var addressShown = regexp.MustCompile(`https?://[^ ]+/`)

// serving runs the command until the test ends, and returns the address it
// says.
func serving(t *testing.T, c serveCommand) (address string, said *heard) {
	t.Helper()
	said = &heard{}
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() {
		done <- c.Run(&run{now: time.Now, print: func() {}, ctx: ctx, in: strings.NewReader(""), out: new(bytes.Buffer), err: said})
	}()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Errorf("it ended with %v", err)
		}
	})
	const patience = 3 * time.Minute // however slow the machine
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if address = addressShown.FindString(said.String()); address != "" {
			return address, said
		}
		select {
		case err := <-done:
			done <- err
			t.Fatalf("it did not start: %v\n%s", err, said)
		default:
		}
	}
	t.Fatalf("it said no address:\n%s", said)
	return "", nil
}

func text(t *testing.T, client *http.Client, address string) (int, string) {
	t.Helper()
	answer, err := client.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, string(body)
}

func TestServeMakesACollectionAndShowsIt(t *testing.T) {
	file := filepath.Join(t.TempDir(), "orchids")
	address, _ := serving(t, serveCommand{File: file, Address: "127.0.0.1:0"})
	if status, page := text(t, http.DefaultClient, address); status != http.StatusOK || !strings.Contains(page, "A first place") {
		t.Errorf("%d: %s", status, page)
	}
	answer, err := http.Post(address+"start/sample", "application/x-www-form-urlencoded", nil)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if status, page := text(t, http.DefaultClient, address+"spaces"); status != http.StatusOK || !strings.Contains(page, "balcony") {
		t.Errorf("%d: %s", status, page)
	}
	if status, all := text(t, http.DefaultClient, address+"settings/export"); status != http.StatusOK || !strings.Contains(all, "velamen-bundle") {
		t.Errorf("the download: %d", status)
	}
	if err := (serveCommand{File: file, Address: "127.0.0.1:0"}).Run(&run{now: time.Now, print: func() {}, ctx: t.Context(), err: io.Discard}); !errors.Is(err, store.ErrInUse) {
		t.Errorf("a second server of the same file: %v", err)
	}
}

func TestServeRefusesToBeReachedWithoutAPassphrase(t *testing.T) {
	c := serveCommand{File: filepath.Join(t.TempDir(), "orchids"), Address: "0.0.0.0:0"}
	err := c.Run(&run{now: time.Now, print: func() {}, ctx: t.Context(), err: io.Discard})
	if !errors.Is(err, web.ErrNoPassphrase) || !strings.Contains(err.Error(), "--set-passphrase "+c.File) || exitCode(err) != exitBadInput {
		t.Errorf("%v, exit code %d", err, exitCode(err))
	}
}

func TestThePassphraseIsSetFromStandardInput(t *testing.T) {
	c := serveCommand{File: filepath.Join(t.TempDir(), "orchids"), SetPassphrase: true}
	set := func(typed string) error {
		return c.Run(&run{now: time.Now, print: func() {}, ctx: t.Context(), in: strings.NewReader(typed), out: new(bytes.Buffer), err: io.Discard})
	}
	if err := set("short\n"); err == nil {
		t.Error("a short passphrase passed")
	}
	if err := set("four words by themselves\r\n"); err != nil {
		t.Fatal(err)
	}
	c.SetPassphrase, c.Address = false, "0.0.0.0:0"
	address, _ := serving(t, c)
	_, port, _ := strings.Cut(strings.TrimPrefix(address, "http://["), "]:")
	local := "http://127.0.0.1:" + port
	if _, page := text(t, http.DefaultClient, local+"spaces"); !strings.Contains(page, "Sign in") {
		t.Errorf("no sign-in: %s", page)
	}
	raw, err := os.ReadFile(c.File)
	if err != nil || bytes.Contains(raw, []byte("four words")) {
		t.Errorf("the file holds the passphrase, %v", err)
	}
}

func TestServeMakesItsOwnCertificate(t *testing.T) {
	c := serveCommand{File: filepath.Join(t.TempDir(), "orchids"), Address: "127.0.0.1:0", MakeCertificate: true, Host: []string{"shed.local"}}
	address, said := serving(t, c)
	authority, err := os.ReadFile(c.File + ".authority.crt")
	if err != nil {
		t.Fatal(err)
	}
	roots := x509.NewCertPool()
	roots.AppendCertsFromPEM(authority)
	for _, name := range []string{"127.0.0.1", "localhost", "shed.local"} {
		client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots, ServerName: name}}}
		if status, page := text(t, client, address+"certificate"); status != http.StatusOK || !strings.Contains(page, "velamen.crt") {
			t.Errorf("%s: %d", name, status)
		}
	}
	if !strings.Contains(said.String(), "fingerprint") {
		t.Errorf("it said %s", said)
	}
	if info, err := os.Stat(c.File + ".authority.key"); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("the key: %v, %v", info.Mode(), err)
	}
	again, err := openAuthority(c.File, nil)
	if text, _, pemErr := again.PEM(); err != nil || pemErr != nil || !bytes.Equal(text, authority) {
		t.Errorf("the authority is not kept: %v, %v", err, pemErr)
	}
}

func TestCertificateOptionsThatDoNotFit(t *testing.T) {
	for _, c := range []serveCommand{
		{Cert: "a"}, {Key: "a"}, {Cert: "a", Key: "b", MakeCertificate: true}, {Cert: "not-there", Key: "not-there"},
	} {
		c.File, c.Address = filepath.Join(t.TempDir(), "orchids"), "127.0.0.1:0"
		if err := c.Run(&run{now: time.Now, print: func() {}, ctx: t.Context(), err: io.Discard}); err == nil || exitCode(err) != exitBadInput {
			t.Errorf("%+v: %v", c, err)
		}
	}
}
