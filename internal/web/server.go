package web

import (
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"time"

	"velamen/internal/book"
)

// Config is what a server needs.
type Config struct {
	Book     *book.Book
	Journal  Journal // what Book reads from
	Sessions Sessions
	Secrets  Secrets
	Photos   Photos   // nil: pictures are not taken
	Readings Readings // nil: nothing that sensors measure is taken
	Export   Export   // nil: there is no download
	Sample   Sample   // nil: no sample collection is offered
	Logger   *slog.Logger
	Now      func() time.Time

	// Patience is how long a page waits for a plan before it shows how far the
	// search has come; 0: a second.
	Patience time.Duration

	Address   string // that the server listens on, as host:port
	HTTPS     bool
	Authority []byte // certificate, in PEM form, of the maker of the server's certificate; offered on /certificate
}

// Server answers requests for pages and entries.
type Server struct {
	Config
	handler http.Handler
	routes  []route // as registered: tests ask all of them
	pages   pageSet
	assets  assets
	access  *access
	waiting waitingFiles
	ticking sync.Mutex    // held while a job is ticked
	slack   time.Duration // more time for every answer: tests may run on a busy machine
}

// ErrNoPassphrase says that the address can be reached by others and nothing
// keeps them out.
var ErrNoPassphrase = errors.New("no passphrase is set")

// New prepares a server. An address other than this machine's own needs a
// passphrase.
func New(c Config) (*Server, error) {
	if c.Book == nil || c.Journal == nil || c.Sessions == nil || c.Secrets == nil || c.Logger == nil || c.Now == nil {
		return nil, errors.New("the web server lacks a part of its configuration")
	}
	own, err := onlyThisMachine(c.Address)
	if err != nil {
		return nil, err
	}
	s := &Server{Config: c}
	if s.assets, err = loadAssets(); err != nil {
		return nil, err
	}
	if s.pages, err = parsePages(s.assets); err != nil {
		return nil, err
	}
	if s.access, err = newAccess(c, !own); err != nil {
		return nil, err
	}
	routes := &router{server: s, mux: http.NewServeMux()}
	for _, register := range []func(*router){
		waterRoutes,
		climateRoutes, roundRoutes, collectionRoutes, plantRoutes, pestRoutes, repotRoutes,
		spacesRoutes, moreRoutes, aheadRoutes, planningRoutes, seasonRoutes, settingsRoutes, routineRoutes, startRoutes, signInRoutes, certificateRoutes, offlineRoutes, assetRoutes,
		outcomesRoutes,
		handoutRoutes, caseRoutes, shareRoutes, calendarRoutes, davRoutes, apiRoutes,
	} {
		register(routes)
	}
	routes.add("", "/", func(_ *Server, _ http.ResponseWriter, r *http.Request) error { return notThere(r) }, []option{anyone})
	s.handler = s.around(routes.mux)
	return s, nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// onlyThisMachine reports whether an address can be reached from this machine
// alone.
func onlyThisMachine(address string) (bool, error) {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return false, fmt.Errorf("the address %q is not host:port: %w", address, err)
	}
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback(), nil
}
