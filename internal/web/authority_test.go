package web

import (
	"crypto/x509"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

func newTestAuthority(t *testing.T, hosts ...string) *Authority {
	t.Helper()
	a, err := NewAuthority(hosts, testNow)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestCertificatesServeTheHome(t *testing.T) {
	a := newTestAuthority(t)
	hosts := []string{"192.168.7.20", "10.0.0.2", "fd00::2", "127.0.0.1", "shed.local", "localhost", "greenhouse.home.arpa"}
	c, err := a.Certificate(hosts, testNow)
	if err != nil {
		t.Fatal(err)
	}
	roots := x509.NewCertPool()
	roots.AddCert(a.certificate)
	for _, host := range hosts {
		if _, err := c.Leaf.Verify(x509.VerifyOptions{Roots: roots, DNSName: host, CurrentTime: testNow}); err != nil {
			t.Errorf("%s: %v", host, err)
		}
	}
	if _, err := c.Leaf.Verify(x509.VerifyOptions{Roots: roots, DNSName: "other.local", CurrentTime: testNow}); err == nil {
		t.Error("a name that is not in the certificate passed")
	}
	if c.Leaf.IsCA || c.Leaf.NotAfter.Sub(testNow) > 398*24*time.Hour {
		t.Errorf("the certificate is an authority: %v, until %s", c.Leaf.IsCA, c.Leaf.NotAfter)
	}
}

// A phone that trusts the authority must not come to trust anything outside the
// home by it.
func TestTheAuthorityIsBoundToTheHome(t *testing.T) {
	a := newTestAuthority(t)
	for _, host := range []string{"example.org", "bank.example", "8.8.8.8", "2001:db8::1", "local.example.org"} {
		if _, err := a.Certificate([]string{host}, testNow); err == nil {
			t.Errorf("it vouched for %s", host)
		}
	}
	named := newTestAuthority(t, "orchids.example.org", "203.0.113.9")
	if _, err := named.Certificate([]string{"orchids.example.org", "203.0.113.9"}, testNow); err != nil {
		t.Errorf("the names it was made for: %v", err)
	}
	if _, err := named.Certificate([]string{"example.org"}, testNow); err == nil {
		t.Error("it vouched for more than it was made for")
	}
}

func TestTheAuthorityIsReadAgain(t *testing.T) {
	a := newTestAuthority(t)
	certificate, key, err := a.PEM()
	if err != nil {
		t.Fatal(err)
	}
	again, err := ReadAuthority(certificate, key)
	if err != nil || again.Fingerprint() != a.Fingerprint() {
		t.Fatalf("%v", err)
	}
	if _, err := again.Certificate([]string{"shed.local"}, testNow); err != nil {
		t.Error(err)
	}
	_, other, err := newTestAuthority(t).PEM()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := ReadAuthority(certificate, other); err == nil {
		t.Error("another's key was taken")
	}
	if _, err := a.Certificate([]string{"shed.local"}, testNow.AddDate(authorityYears, 0, 1)); err == nil {
		t.Error("it vouches after its end")
	}
}

func TestCertificatesAreRenewed(t *testing.T) {
	a, now := newTestAuthority(t), testNow
	get, err := a.Renewing([]string{"shed.local"}, func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	serial := func() string {
		c, err := get(nil)
		if err != nil {
			t.Fatal(err)
		}
		return c.Leaf.SerialNumber.String()
	}
	first := serial()
	now = now.AddDate(0, 0, serverDays-renewDays-1)
	if serial() != first {
		t.Error("renewed too early")
	}
	now = now.AddDate(0, 0, 3)
	if serial() == first {
		t.Error("not renewed in time")
	}
}

func TestPhonesGetTheAuthority(t *testing.T) {
	a := newTestAuthority(t)
	text, _, err := a.PEM()
	if err != nil {
		t.Fatal(err)
	}
	b := newBench(t, reachable, func(c *Config, _ *bench) { c.Authority = text })
	page := b.get("/certificate")
	checkPage(t, "/certificate", page)
	if !strings.Contains(page, a.Fingerprint()) {
		t.Error("the page does not show the fingerprint")
	}
	answer := b.do(httptest.NewRequest(http.MethodGet, "/certificate/velamen.crt", nil))
	if got := body(t, answer); got != string(text) || strings.Contains(got, "PRIVATE") || answer.Header.Get("Content-Type") != "application/x-x509-ca-cert" {
		t.Errorf("got %q", got)
	}
	without := newBench(t)
	if answer := without.do(httptest.NewRequest(http.MethodGet, "/certificate/velamen.crt", nil)); answer.StatusCode != http.StatusNotFound {
		t.Errorf("a certificate that does not exist: %s", answer.Status)
	}
}
