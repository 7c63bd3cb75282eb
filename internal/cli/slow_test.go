package cli

import (
	"bufio"
	"context"
	"io"
	"log/slog"
	"net"
	"net/http"
	"testing"
	"time"
)

// Somebody who sends the head of a request a letter at a time, for ever, is cut
// off; others are answered meanwhile.
func TestSlowSendersAreCutOff(t *testing.T) {
	t.Parallel()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error, 1)
	answering := http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) })
	go func() { done <- serve(ctx, listener, answering, slog.New(slog.NewTextHandler(io.Discard, nil))) }()
	defer func() {
		stop()
		if err := <-done; err != nil {
			t.Error(err)
		}
	}()
	slow, err := net.Dial("tcp", listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer slow.Close()
	begun := time.Now()
	cut := make(chan struct{})
	go func() {
		defer close(cut)
		// Nothing is answered; the end of the line is what is waited for.
		_, _ = bufio.NewReader(slow).ReadString(0)
	}()
	if _, err := io.WriteString(slow, "GET / HTTP/1.1\r\nHost: a\r\nX-Long: "); err != nil {
		t.Fatal(err)
	}
	tick := time.NewTicker(250 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-cut:
			answer, err := http.Get("http://" + listener.Addr().String() + "/")
			if err != nil || answer.StatusCode != http.StatusNoContent {
				t.Fatalf("another request: %v", err)
			}
			answer.Body.Close()
			return
		case <-tick.C:
			_, _ = io.WriteString(slow, "x")
			if waited := time.Since(begun); waited > headerTime+3*time.Minute {
				t.Fatalf("still connected after %s", waited)
			}
		}
	}
}
