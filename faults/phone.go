package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/google/uuid"

	"velamen/internal/care"
	"velamen/internal/store"
)

// phone sends entries as a phone does: with ids of its own, in bursts, a burst
// again and again until an answer says that it was taken.
type phone struct {
	client  *http.Client
	plant   string
	now     func() time.Time
	mu      sync.Mutex
	waiting [][]care.Entry // the outbox
	taken   map[string]care.Entry
	sent    int
	told    map[string]int // answers that were trouble of the server, by status and title
}

func newPhone(plant string) *phone {
	return &phone{
		client: &http.Client{Timeout: 20 * time.Second, Transport: &http.Transport{MaxIdleConnsPerHost: 4}},
		plant:  plant, now: time.Now, taken: map[string]care.Entry{}, told: map[string]int{},
	}
}

// note makes a burst of entries and puts it into the outbox.
func (p *phone) note(entries int) {
	var burst []care.Entry
	name := uuid.NewString()
	for i := range entries {
		burst = append(burst, care.Entry{
			ID: uuid.Must(uuid.NewV7()).String(), At: p.now().Truncate(time.Millisecond), Kind: care.Noted, Plant: p.plant,
			By: fmt.Sprintf("%s of %d", name, entries), Detail: care.Detail{Note: fmt.Sprintf("entry %d", i)},
		})
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.waiting = append(p.waiting, burst)
}

// errRefused is an answer that is neither a yes nor trouble of the server.
var errRefused = errors.New("the server refused entries")

// send sends the oldest burst once, and reports whether it was taken. An error is
// one that no second attempt would mend.
func (p *phone) send(ctx context.Context, address string) (bool, error) {
	p.mu.Lock()
	if len(p.waiting) == 0 {
		p.mu.Unlock()
		return false, nil
	}
	burst := p.waiting[0]
	p.sent++
	p.mu.Unlock()
	body, err := json.Marshal(map[string]any{"entries": burst})
	if err != nil {
		return false, err
	}
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, address+"entries", bytes.NewReader(body))
	if err != nil {
		return false, err
	}
	request.Header.Set("Content-Type", "application/json")
	answer, err := p.client.Do(request)
	if err != nil {
		return false, nil // no reception
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		return false, nil
	}
	if answer.StatusCode >= 500 {
		var problem struct {
			Title, Detail string
		}
		if json.Unmarshal(text, &problem) == nil {
			p.mu.Lock()
			p.told[fmt.Sprintf("%d %s: %s", answer.StatusCode, problem.Title, problem.Detail)]++
			p.mu.Unlock()
		}
		return false, nil
	}
	var told struct {
		Taken []string `json:"taken"`
	}
	if answer.StatusCode != http.StatusOK {
		return false, fmt.Errorf("%w: %s: %s", errRefused, answer.Status, text)
	}
	if err := json.Unmarshal(text, &told); err != nil {
		return false, fmt.Errorf("%w: an answer that was cut looks whole: %w", errRefused, err)
	}
	if len(told.Taken) != len(burst) {
		return false, fmt.Errorf("%w: %d of %d", errRefused, len(told.Taken), len(burst))
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.waiting = p.waiting[1:]
	for _, e := range burst {
		p.taken[e.ID] = e
	}
	return true, nil
}

// empty sends the outbox until nothing is left.
func (p *phone) empty(ctx context.Context, address string, patience time.Duration) error {
	for end := time.Now().Add(patience); len(p.waiting) > 0; {
		taken, err := p.send(ctx, address)
		if err != nil {
			return err
		}
		if !taken {
			if time.Now().After(end) || ctx.Err() != nil {
				return fmt.Errorf("%d bursts were still not taken after %s", len(p.waiting), patience)
			}
			time.Sleep(5 * time.Millisecond)
		}
	}
	return nil
}

// sending notes and sends bursts until told to stop.
func (p *phone) sending(ctx context.Context, address string, rnd *rand.Rand, stop <-chan struct{}) error {
	for {
		select {
		case <-stop:
			return nil
		default:
		}
		p.mu.Lock()
		none := len(p.waiting) == 0
		p.mu.Unlock()
		if none {
			p.note(1 + rnd.IntN(8))
		}
		taken, err := p.send(ctx, address)
		if err != nil {
			return err
		}
		if taken && rnd.IntN(8) == 0 { // the answer got lost further on: once more
			p.mu.Lock()
			for _, e := range p.taken {
				p.waiting = append(p.waiting, p.burstOf(e))
				break
			}
			p.mu.Unlock()
		}
		if !taken {
			time.Sleep(2 * time.Millisecond)
		}
	}
}

// burstOf is the burst that an entry was sent in. The lock is held.
func (p *phone) burstOf(of care.Entry) (burst []care.Entry) {
	for _, e := range p.taken {
		if e.By == of.By {
			burst = append(burst, e)
		}
	}
	return burst
}

// wasTold counts the answers that were trouble of the server and began so. Any
// other one is an error.
func (p *phone) wasTold(beginning string) (n int, err error) {
	for text, times := range p.told {
		if !strings.HasPrefix(text, beginning) {
			return n, fmt.Errorf("instead of %q it was told %d times %q", beginning, times, text)
		}
		n += times
	}
	return n, nil
}

// check counts what the phone was told is kept and is not there once, with the
// content it was sent with; and bursts of which only a part is there.
func (p *phone) check(ctx context.Context, file string) (t tally, err error) {
	s, err := store.OpenReading(ctx, file, time.Now)
	if err != nil {
		return t, err
	}
	defer s.Close()
	there, bursts := map[string]int{}, map[string]int{}
	for e, err := range s.All(ctx) {
		if err != nil {
			return t, err
		}
		there[e.ID]++
		if e.Plant == p.plant && e.Kind == care.Noted {
			bursts[e.By]++
		}
		if sent, ok := p.taken[e.ID]; ok {
			if same, err := store.SameContent(sent, e); err != nil || !same {
				return t, fmt.Errorf("entry %s reads otherwise than it was sent: %v", e.ID, err)
			}
		}
	}
	t.Acknowledged = len(p.taken)
	for id := range p.taken {
		if there[id] == 0 {
			t.Lost++
		}
	}
	for _, n := range there {
		t.Doubled += max(0, n-1)
	}
	for burst, have := range bursts {
		var name string
		var size int
		if n, _ := fmt.Sscanf(burst, "%s of %d", &name, &size); n == 2 && have != size {
			return t, fmt.Errorf("of a burst of %d entries %d are there", size, have)
		}
	}
	return t, nil
}

// page asks for a page and wants it whole.
func page(ctx context.Context, address, path string) (status int, text string, err error) {
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, address+path, nil)
	if err != nil {
		return 0, "", err
	}
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		return 0, "", err
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	return answer.StatusCode, string(body), err
}
