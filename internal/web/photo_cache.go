package web

import "sync"

// smallCopies holds the small copies of pictures that were asked for lately.
// They can be made again at any time.
type smallCopies struct {
	mu    sync.Mutex
	most  int
	order []string // oldest first
	held  map[string][]byte
}

// thumbs holds up to some 15 MB.
var thumbs = &smallCopies{most: 400, held: map[string][]byte{}}

func (t *smallCopies) get(hash string) ([]byte, bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	small, ok := t.held[hash]
	return small, ok
}

func (t *smallCopies) put(hash string, small []byte) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if _, ok := t.held[hash]; ok {
		return
	}
	if len(t.order) == t.most {
		delete(t.held, t.order[0])
		t.order = t.order[1:]
	}
	t.held[hash] = small
	t.order = append(t.order, hash)
}
