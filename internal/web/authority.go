package web

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"math/big"
	"net"
	"strings"
	"time"
)

// Authority makes certificates for one server on a home network. A phone that
// trusts it trusts nothing else by it: it is bound to private addresses, names
// that exist at home only, and the names it was made for.
type Authority struct {
	certificate *x509.Certificate
	key         *ecdsa.PrivateKey
}

const (
	authorityYears = 10
	// serverDays keeps below the 398 days that browsers accept at most.
	serverDays = 397
	// renewDays before its end a server's certificate is made anew.
	renewDays = 30
)

// Addresses and names that mean something at home only: RFC 1918, 3927, 4193,
// 4291; RFC 6761, 6762, 8375 and the name set aside for private use, and two
// that home routers use.
var (
	homeNetworks = []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128"}
	homeNames    = []string{"localhost", "local", "home.arpa", "internal", "lan", "home"}
)

// NewAuthority makes an authority. Hosts are names and addresses that it shall
// cover besides those of a home.
func NewAuthority(hosts []string, now time.Time) (*Authority, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, fmt.Errorf("making a key: %w", err)
	}
	form, err := certificateForm("Velamen at home, "+now.Format("2 January 2006"), now, now.AddDate(authorityYears, 0, 0))
	if err != nil {
		return nil, err
	}
	form.IsCA, form.BasicConstraintsValid, form.MaxPathLenZero = true, true, true
	form.KeyUsage = x509.KeyUsageCertSign | x509.KeyUsageCRLSign
	form.PermittedDNSDomainsCritical = true
	form.PermittedDNSDomains = append(form.PermittedDNSDomains, homeNames...)
	for _, text := range homeNetworks {
		_, network, err := net.ParseCIDR(text)
		if err != nil {
			return nil, err
		}
		form.PermittedIPRanges = append(form.PermittedIPRanges, network)
	}
	for _, host := range hosts {
		if ip := net.ParseIP(host); ip != nil {
			if v4 := ip.To4(); v4 != nil {
				ip = v4
			}
			form.PermittedIPRanges = append(form.PermittedIPRanges, &net.IPNet{IP: ip, Mask: net.CIDRMask(8*len(ip), 8*len(ip))})
		} else {
			form.PermittedDNSDomains = append(form.PermittedDNSDomains, host)
		}
	}
	text, err := x509.CreateCertificate(rand.Reader, form, form, &key.PublicKey, key)
	if err != nil {
		return nil, fmt.Errorf("making the authority's certificate: %w", err)
	}
	certificate, err := x509.ParseCertificate(text)
	return &Authority{certificate, key}, err
}

// certificateForm is what every certificate has.
func certificateForm(name string, from, to time.Time) (*x509.Certificate, error) {
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return nil, fmt.Errorf("no randomness: %w", err)
	}
	// An hour's grace for clocks that are behind.
	return &x509.Certificate{SerialNumber: serial, Subject: pkix.Name{CommonName: name}, NotBefore: from.Add(-time.Hour), NotAfter: to}, nil
}

// ReadAuthority reads what PEM wrote.
func ReadAuthority(certificate, key []byte) (*Authority, error) {
	pair, err := tls.X509KeyPair(certificate, key)
	if err != nil {
		return nil, fmt.Errorf("reading the authority: %w", err)
	}
	private, ok := pair.PrivateKey.(*ecdsa.PrivateKey)
	if !ok || pair.Leaf == nil || !pair.Leaf.IsCA {
		return nil, errors.New("reading the authority: this is not one that was made here")
	}
	return &Authority{pair.Leaf, private}, nil
}

// PEM returns the certificate, which may be given to anybody, and the key,
// which must not.
func (a *Authority) PEM() (certificate, key []byte, err error) {
	private, err := x509.MarshalPKCS8PrivateKey(a.key)
	if err != nil {
		return nil, nil, fmt.Errorf("writing the authority's key: %w", err)
	}
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.certificate.Raw}),
		pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: private}), nil
}

// Fingerprint is the SHA-256 of the certificate, as phones show it.
func (a *Authority) Fingerprint() string { return fingerprint(a.certificate.Raw) }

func fingerprint(certificate []byte) string {
	sum := sha256.Sum256(certificate)
	pairs := make([]string, len(sum))
	for i, b := range sum {
		pairs[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(pairs, ":")
}

// fingerprintOf is the fingerprint of a certificate in PEM form.
func fingerprintOf(text []byte) (string, error) {
	block, _ := pem.Decode(bytes.TrimSpace(text))
	if block == nil {
		return "", errors.New("the authority's certificate is not in PEM form")
	}
	return fingerprint(block.Bytes), nil
}

// Certificate makes a server's certificate for the names and addresses by which
// it is reached.
func (a *Authority) Certificate(hosts []string, now time.Time) (*tls.Certificate, error) {
	if len(hosts) == 0 {
		return nil, errors.New("a certificate needs a name or an address")
	}
	if now.After(a.certificate.NotAfter) {
		return nil, errors.New("the authority has expired; remove its two files, and a new one is made")
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, fmt.Errorf("making a key: %w", err)
	}
	form, err := certificateForm("Velamen", now, now.AddDate(0, 0, serverDays))
	if err != nil {
		return nil, err
	}
	if form.NotAfter.After(a.certificate.NotAfter) {
		form.NotAfter = a.certificate.NotAfter
	}
	form.KeyUsage = x509.KeyUsageDigitalSignature
	form.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}
	for _, host := range hosts {
		if ip := net.ParseIP(host); ip != nil {
			form.IPAddresses = append(form.IPAddresses, ip)
		} else {
			form.DNSNames = append(form.DNSNames, host)
		}
	}
	text, err := x509.CreateCertificate(rand.Reader, form, a.certificate, &key.PublicKey, a.key)
	if err != nil {
		return nil, fmt.Errorf("making the server's certificate: %w", err)
	}
	leaf, err := x509.ParseCertificate(text)
	if err != nil {
		return nil, err
	}
	if err := a.covers(leaf, now); err != nil {
		return nil, err
	}
	return &tls.Certificate{Certificate: [][]byte{text, a.certificate.Raw}, PrivateKey: key, Leaf: leaf}, nil
}

// covers checks a certificate as a phone would.
func (a *Authority) covers(leaf *x509.Certificate, now time.Time) error {
	roots := x509.NewCertPool()
	roots.AddCert(a.certificate)
	if _, err := leaf.Verify(x509.VerifyOptions{Roots: roots, CurrentTime: now}); err != nil {
		return fmt.Errorf("the authority was not made for one of these names (%s); remove its two files, and a new one is made: %w", strings.Join(leaf.DNSNames, ", "), err)
	}
	return nil
}

// Renewing returns a certificate that is made anew before it ends, for
// tls.Config.GetCertificate.
func (a *Authority) Renewing(hosts []string, now func() time.Time) (func(*tls.ClientHelloInfo) (*tls.Certificate, error), error) {
	first, err := a.Certificate(hosts, now())
	if err != nil {
		return nil, err
	}
	current := make(chan *tls.Certificate, 1)
	current <- first
	return func(*tls.ClientHelloInfo) (*tls.Certificate, error) {
		c := <-current
		defer func() { current <- c }()
		if now().After(c.Leaf.NotAfter.AddDate(0, 0, -renewDays)) {
			if next, err := a.Certificate(hosts, now()); err == nil {
				c = next // otherwise the old one serves until its end
			}
		}
		return c, nil
	}, nil
}
