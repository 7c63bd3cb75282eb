package web

import (
	"net/http"
	"net/netip"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// attempts bounds how often a passphrase can be guessed, from one address and
// overall.
type attempts struct {
	now func() time.Time

	mu   sync.Mutex
	all  *rate.Limiter
	from map[netip.Prefix]*rate.Limiter
}

const (
	triesAtOnce       = 5 // from one address, then one in perTry
	perTry            = 20 * time.Second
	triesAtOnceByAll  = 30
	perTryByAll       = 2 * time.Second
	addressesRemember = 4096
)

func newAttempts(now func() time.Time) *attempts {
	return &attempts{now: now, all: rate.NewLimiter(rate.Every(perTryByAll), triesAtOnceByAll), from: map[netip.Prefix]*rate.Limiter{}}
}

// allow takes one attempt off what an address and all together have left.
func (a *attempts) allow(r *http.Request) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	now, who := a.now(), neighbourhood(r.RemoteAddr)
	one := a.from[who]
	if one == nil {
		if len(a.from) >= addressesRemember {
			a.forget(now)
		}
		one = rate.NewLimiter(rate.Every(perTry), triesAtOnce)
		a.from[who] = one
	}
	// The address first: one that has used up its own tries takes none from
	// the others.
	return one.AllowN(now, 1) && a.all.AllowN(now, 1)
}

// forget drops the addresses that have all their tries again, or everything
// when there is none.
func (a *attempts) forget(now time.Time) {
	for who, limiter := range a.from {
		if limiter.TokensAt(now) >= triesAtOnce {
			delete(a.from, who)
		}
	}
	if len(a.from) >= addressesRemember {
		clear(a.from)
	}
}

// neighbourhood is the address an attempt counts against. One machine has the
// whole of an IPv6 network to itself.
func neighbourhood(remote string) netip.Prefix {
	at, err := netip.ParseAddrPort(remote)
	if err != nil {
		return netip.Prefix{}
	}
	bits := 32
	address := at.Addr().Unmap().WithZone("")
	if address.Is6() {
		bits = 64
	}
	prefix, err := address.Prefix(bits)
	if err != nil {
		return netip.Prefix{}
	}
	return prefix
}
