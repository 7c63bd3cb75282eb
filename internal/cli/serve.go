package cli

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/demo"
	"velamen/internal/store"
	"velamen/internal/store/bundle"
	"velamen/internal/web"
)

// serveCommand opens a collection and shows it as pages.
type serveCommand struct {
	File            string   `arg:"" help:"The collection; it is made if there is none of this name."`
	Address         string   `help:"Where to listen, as host:port. Others can reach any but 127.0.0.1 and need the passphrase." default:"127.0.0.1:8420" placeholder:"HOST:PORT"`
	SetPassphrase   bool     `help:"Ask for a new passphrase (or read it from standard input), keep its hash, and stop."`
	Cert            string   `help:"Certificate file (PEM), for HTTPS." placeholder:"FILE"`
	Key             string   `help:"Key file (PEM) of that certificate." placeholder:"FILE"`
	MakeCertificate bool     `help:"Serve HTTPS with a certificate made here; phones learn to trust it on /certificate."`
	Host            []string `help:"Name or address by which others reach this machine, for the certificate; may be repeated." placeholder:"NAME"`

	MQTT string `name:"mqtt" help:"Take readings from a broker: a TOML file that names it, its topics, and where in their messages the readings stand." placeholder:"FILE"`

	WithSample bool `kong:"-"` // put the sample collection in first
}

// How long a connection may take, lest slow ones pile up.
const (
	headerTime   = 10 * time.Second
	readTime     = 2 * time.Minute // a photograph over a poor connection
	writeTime    = 2 * time.Minute
	idleTime     = 2 * time.Minute
	shutdownTime = 10 * time.Second
	headerBytes  = 32 << 10
)

func (c serveCommand) Run(r *run) error {
	kept, err := openOrCreate(r, c.File)
	if err != nil {
		return err
	}
	defer func() {
		if err := kept.Close(); err != nil {
			fmt.Fprintf(r.err, "velamen: closing the collection: %v\n", err)
		}
	}()
	if c.SetPassphrase {
		return setPassphrase(r, kept)
	}
	listener, err := net.Listen("tcp", c.Address)
	if err != nil {
		return failed("listening", err)
	}
	defer listener.Close()
	certificates, authority, err := c.certificates(listener.Addr(), kept.Path(), r)
	if err != nil {
		return err
	}
	logger := slog.New(slog.NewTextHandler(r.err, nil))
	pages, err := c.pages(r, kept, listener.Addr().String(), logger, certificates != nil, authority)
	if errors.Is(err, web.ErrNoPassphrase) {
		return fmt.Errorf("%w; set one with: velamen serve --set-passphrase %s", err, c.File)
	}
	if err != nil {
		return err
	}
	if c.WithSample {
		if err := pages.LoadSample(r.ctx); err != nil {
			return failed("filling in the sample collection", err)
		}
	}
	ended, err := c.listen(r, pages, kept, logger)
	if err != nil {
		return err
	}
	defer ended()
	scheme := "http"
	if certificates != nil {
		scheme = "https"
		listener = tls.NewListener(listener, certificates)
	}
	fmt.Fprintf(r.err, "The collection %s is at %s://%s/ until you press Ctrl-C.\n", c.File, scheme, listener.Addr())
	return serve(r.ctx, listener, pages, logger)
}

// pages makes the web server of a collection.
func (c serveCommand) pages(r *run, kept *store.Store, address string, logger *slog.Logger, secure bool, authority []byte) (*web.Server, error) {
	tables, err := culture.Load()
	if err != nil {
		return nil, failed("reading the culture tables", err)
	}
	collection, err := book.Open(r.ctx, kept, tables, r.now)
	if err != nil {
		return nil, failed("opening the collection", err)
	}
	go collection.Prepare(r.ctx)
	return web.New(web.Config{
		Book: collection, Journal: kept, Sessions: kept.Sessions(), Secrets: kept, Photos: kept, Readings: kept,
		Sample: sampleCase(tables),
		Export: func(ctx context.Context, to io.Writer) error { return bundle.Write(ctx, to, kept, nil) },
		Logger: logger, Now: r.now,
		Address: address, HTTPS: secure, Authority: authority,
	})
}

// sampleCase returns a reader of the invented collection as it stands on a day.
func sampleCase(tables culture.Table) func(today time.Time) (care.Case, care.Units, error) {
	return func(today time.Time) (care.Case, care.Units, error) {
		return casefile.Read(strings.NewReader(demo.CaseFile(today)), demo.FileName, tables)
	}
}

// openOrCreate opens a collection, or makes it.
func openOrCreate(r *run, path string) (*store.Store, error) {
	kept, err := store.Open(r.ctx, path, r.now)
	if errors.Is(err, store.ErrMissing) {
		kept, err = store.Create(r.ctx, path, r.now)
	}
	switch {
	case err == nil:
		return kept, nil
	case errors.Is(err, store.ErrInUse), errors.Is(err, store.ErrForeign), errors.Is(err, store.ErrUnfinished):
		return nil, err // to be mended by naming another file, or by waiting
	}
	return nil, failed("opening the collection", err)
}

// serve answers until the context ends, then lets what is under way finish.
func serve(ctx context.Context, listener net.Listener, pages http.Handler, logger *slog.Logger) error {
	server := &http.Server{
		Handler: pages, ReadHeaderTimeout: headerTime, ReadTimeout: readTime, WriteTimeout: writeTime, IdleTimeout: idleTime,
		MaxHeaderBytes: headerBytes, ErrorLog: slog.NewLogLogger(logger.Handler(), slog.LevelWarn),
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	select {
	case err := <-ended:
		return failed("serving", err)
	case <-ctx.Done():
	}
	patience, stop := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer stop()
	if err := server.Shutdown(patience); err != nil {
		return failed("stopping", errors.Join(err, server.Close()))
	}
	return nil
}
