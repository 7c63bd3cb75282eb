package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"
)

// line is a bad connection between phones and a server: it listens on the loopback
// interface and passes requests on, late, in part, twice, or without bringing the
// answer back.
type line struct {
	listener net.Listener
	to       string
	mu       sync.Mutex
	rnd      *rand.Rand
	harmed   map[string]int
	under    sync.WaitGroup
}

func newLine(to string, rnd *rand.Rand) (*line, error) {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	l := &line{listener: listener, to: strings.TrimSuffix(strings.TrimPrefix(to, "http://"), "/"), rnd: rnd, harmed: map[string]int{}}
	go func() {
		for {
			c, err := listener.Accept()
			if err != nil {
				return
			}
			l.under.Go(func() { l.pass(c) })
		}
	}()
	return l, nil
}

func (l *line) address() string { return "http://" + l.listener.Addr().String() + "/" }

func (l *line) close() error {
	err := l.listener.Close()
	l.under.Wait()
	return err
}

// draw decides what happens to one request of a length.
func (l *line) draw(length int) (harm string, at int, late time.Duration) {
	l.mu.Lock()
	defer l.mu.Unlock()
	harms := []string{"", "", "request cut", "answer lost", "answer cut", "doubled", "doubled at once"}
	harm, at, late = harms[l.rnd.IntN(len(harms))], l.rnd.IntN(length), moment(l.rnd, 20*time.Millisecond)
	if harm != "" {
		l.harmed[harm]++
	}
	return harm, at, late
}

// pass passes one request on and its answer back, as far as it gets.
func (l *line) pass(phone net.Conn) {
	defer phone.Close()
	request, err := http.ReadRequest(bufio.NewReader(phone))
	if err != nil {
		return
	}
	body, err := io.ReadAll(request.Body)
	if err != nil {
		return
	}
	request.Body = io.NopCloser(bytes.NewReader(body))
	var whole bytes.Buffer
	if err := request.Write(&whole); err != nil {
		return
	}
	harm, at, late := l.draw(whole.Len())
	time.Sleep(late)
	switch harm {
	case "request cut":
		l.drop(whole.Bytes()[:at])
		return
	case "answer lost":
		l.drop(whole.Bytes())
		return
	case "doubled":
		_, _ = l.ask(whole.Bytes())
	case "doubled at once":
		l.under.Go(func() { _, _ = l.ask(whole.Bytes()) })
	}
	answer, err := l.ask(whole.Bytes())
	if err != nil {
		return
	}
	if harm == "answer cut" {
		answer = answer[:at%len(answer)]
	}
	_, _ = phone.Write(answer)
}

// drop sends bytes to the server and hangs up.
func (l *line) drop(request []byte) {
	server, err := net.Dial("tcp", l.to)
	if err != nil {
		return
	}
	defer server.Close()
	_, _ = server.Write(request)
	time.Sleep(time.Duration(len(request)%7) * time.Millisecond)
}

// ask sends bytes to the server and reads what comes back until it ends.
func (l *line) ask(request []byte) ([]byte, error) {
	server, err := net.Dial("tcp", l.to)
	if err != nil {
		return nil, err
	}
	defer server.Close()
	if _, err := server.Write(request); err != nil {
		return nil, err
	}
	if err := server.SetReadDeadline(time.Now().Add(20 * time.Second)); err != nil {
		return nil, err
	}
	answer, err := io.ReadAll(server)
	if err == nil && len(answer) == 0 {
		err = errors.New("no answer")
	}
	return answer, err
}

// badLine lets phones send over a bad connection until everything is taken.
func badLine(h *harness, ctx context.Context, rnd *rand.Rand) (t tally, err error) {
	_, file, remove, err := h.home(ctx)
	if err != nil {
		return t, err
	}
	defer remove()
	plant, s, err := h.served(ctx, file)
	if err != nil {
		return t, err
	}
	defer s.kill()
	l, err := newLine(s.address, rand.New(rand.NewPCG(rnd.Uint64(), 2)))
	if err != nil {
		return t, err
	}
	phones := []*phone{newPhone(plant), newPhone(plant)}
	errs := make([]error, len(phones))
	var senders sync.WaitGroup
	for i, p := range phones {
		p.client.Transport = &http.Transport{DisableKeepAlives: true} // each request a line of its own
		for range 15 {
			p.note(1 + rnd.IntN(8))
		}
		senders.Go(func() { errs[i] = p.empty(ctx, l.address(), time.Minute) })
	}
	senders.Wait()
	if err := errors.Join(append(errs, l.close())...); err != nil {
		return t, err
	}
	for harm, n := range l.harmed {
		t.Struck += n
		t.count(harm, n)
	}
	// What the pages show is what the file holds.
	_, text, err := page(ctx, s.address, "api/plants/"+plant+"/journal")
	if err != nil {
		return t, err
	}
	for _, p := range phones {
		for id := range p.taken {
			if n := strings.Count(text, `"id":"`+id+`"`); n != 1 {
				return t, fmt.Errorf("the plant's journal shows entry %s %d times", id, n)
			}
		}
	}
	if err := s.stop(); err != nil {
		return t, err
	}
	for _, p := range phones {
		now, err := p.check(ctx, file)
		if err != nil {
			return t, err
		}
		t.add(now)
	}
	return t, h.sound(ctx, file)
}
