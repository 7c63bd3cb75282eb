package cli

import (
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"slices"
	"strings"
	"time"

	"velamen/internal/store"
	"velamen/internal/web"
)

// certificates returns how connections are secured, or nil for plain HTTP, and
// the certificate of the authority that was made here, if one was.
func (c serveCommand) certificates(at net.Addr, collection string, r *run) (*tls.Config, []byte, error) {
	switch {
	case (c.Cert == "") != (c.Key == ""):
		return nil, nil, errors.New("--cert and --key go together")
	case c.Cert != "" && c.MakeCertificate:
		return nil, nil, errors.New("--cert and --make-certificate exclude each other")
	case c.Cert != "":
		pair, err := tls.LoadX509KeyPair(c.Cert, c.Key)
		if err != nil {
			return nil, nil, fmt.Errorf("reading the certificate: %w", err)
		}
		return &tls.Config{Certificates: []tls.Certificate{pair}, NextProtos: []string{"h2", "http/1.1"}}, nil, nil
	case !c.MakeCertificate:
		return nil, nil, nil
	}
	hosts, err := c.hosts(at)
	if err != nil {
		return nil, nil, err
	}
	authority, err := openAuthority(collection, hosts)
	if err != nil {
		return nil, nil, err
	}
	get, err := authority.Renewing(hosts, time.Now)
	if err != nil {
		return nil, nil, err
	}
	text, _, err := authority.PEM()
	fmt.Fprintf(r.err, "The certificate is for %s.\nIts authority, for phones to trust, has the SHA-256 fingerprint\n%s\n", strings.Join(hosts, ", "), authority.Fingerprint())
	return &tls.Config{GetCertificate: get, NextProtos: []string{"h2", "http/1.1"}}, text, err
}

// hosts are the names and addresses by which the server is reached.
func (c serveCommand) hosts(at net.Addr) ([]string, error) {
	hosts := slices.Clone(c.Host)
	tcp, ok := at.(*net.TCPAddr)
	if !ok {
		return nil, fmt.Errorf("%s is no network address", at)
	}
	if !tcp.IP.IsUnspecified() {
		hosts = append(hosts, tcp.IP.String())
		if tcp.IP.IsLoopback() {
			hosts = append(hosts, "localhost")
		}
		return unique(hosts), nil
	}
	if name, err := os.Hostname(); err == nil {
		hosts = append(hosts, name)
		if !strings.Contains(name, ".") {
			hosts = append(hosts, name+".local")
		}
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil, failed("looking up this machine's addresses", err)
	}
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok && (n.IP.IsPrivate() || n.IP.IsLoopback()) {
			hosts = append(hosts, n.IP.String())
		}
	}
	return unique(append(hosts, "localhost")), nil
}

func unique(list []string) []string {
	slices.Sort(list)
	return slices.Compact(list)
}

// openAuthority reads the authority kept beside a collection, or makes it.
func openAuthority(collection string, hosts []string) (*web.Authority, error) {
	certificateFile, keyFile := collection+".authority.crt", collection+".authority.key"
	certificate, err := os.ReadFile(certificateFile)
	if err == nil {
		key, err := os.ReadFile(keyFile)
		if err != nil {
			return nil, failed("reading the authority's key", err)
		}
		return web.ReadAuthority(certificate, key)
	}
	if !errors.Is(err, os.ErrNotExist) {
		return nil, failed("reading the authority", err)
	}
	authority, err := web.NewAuthority(hosts, time.Now())
	if err != nil {
		return nil, err
	}
	certificate, key, err := authority.PEM()
	if err != nil {
		return nil, err
	}
	// The key first: a certificate without its key would be believed complete.
	for _, f := range []struct {
		name string
		text []byte
	}{{keyFile, key}, {certificateFile, certificate}} {
		// WriteFile makes a temporary file that only its owner reads.
		err := store.WriteFile(f.name, true, func(w io.Writer) error {
			_, err := w.Write(f.text)
			return err
		})
		if err != nil {
			return nil, failed("keeping the authority", err)
		}
	}
	return authority, nil
}
