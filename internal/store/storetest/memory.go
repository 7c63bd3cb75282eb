// Package storetest holds what tests need of a store: one in memory, the suite
// that every store passes, and random journals.
package storetest

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
)

// Memory keeps a collection in memory, for tests that need no file.
type Memory struct {
	now func() time.Time

	mu         sync.Mutex
	entries    []care.Entry
	place      map[string]int // of an entry, by id
	photos     map[string]store.Photo
	contents   map[string][]byte
	passphrase string
	machines   map[string]store.Machine
	tokens     map[string]string // of machines, by name
	sessions   map[string]session
}

type session struct {
	data   []byte
	expiry time.Time
}

// NewMemory returns an empty collection.
func NewMemory(now func() time.Time) *Memory {
	return &Memory{
		now: now, place: map[string]int{}, photos: map[string]store.Photo{}, contents: map[string][]byte{},
		machines: map[string]store.Machine{}, tokens: map[string]string{}, sessions: map[string]session{},
	}
}

func (m *Memory) stamp() time.Time { return m.now().UTC().Truncate(time.Microsecond) }

// Append is as store.Store has it.
func (m *Memory) Append(ctx context.Context, entries []care.Entry) ([]care.Entry, error) {
	entries = slices.Clone(entries)
	for i := range entries {
		entries[i].Recorded = time.Time{}
	}
	return m.Restore(ctx, entries)
}

// Restore is as store.Store has it.
func (m *Memory) Restore(ctx context.Context, entries []care.Entry) ([]care.Entry, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	recorded := m.stamp()
	var added []care.Entry
	fresh := map[string]care.Entry{}
	for _, e := range entries {
		if e.Recorded.IsZero() {
			e.Recorded = recorded
		}
		kept, err := store.Canonical(e)
		if err != nil {
			return nil, err
		}
		there, known := fresh[e.ID]
		if i, ok := m.place[e.ID]; ok {
			there, known = m.entries[i], true
		}
		if !known {
			fresh[e.ID] = kept
			added = append(added, kept)
			continue
		}
		same, err := store.SameContent(there, kept)
		if err != nil {
			return nil, err
		}
		if !same {
			return nil, &store.Conflict{Entry: e.ID}
		}
	}
	for _, e := range added {
		m.place[e.ID] = len(m.entries)
		m.entries = append(m.entries, e)
	}
	return added, nil
}

// copies hands out copies, so that no caller can change what is kept.
func copies(entries []care.Entry) iter.Seq2[care.Entry, error] {
	return func(yield func(care.Entry, error) bool) {
		for _, e := range entries {
			if !yield(store.Canonical(e)) {
				return
			}
		}
	}
}

func (m *Memory) snapshot() []care.Entry {
	m.mu.Lock()
	defer m.mu.Unlock()
	return slices.Clone(m.entries)
}

// All is as store.Store has it.
func (m *Memory) All(context.Context) iter.Seq2[care.Entry, error] { return copies(m.snapshot()) }

// OfPlant is as store.Store has it.
func (m *Memory) OfPlant(_ context.Context, plant string) ([]care.Entry, error) {
	all := m.snapshot()
	in, place := map[string]bool{}, map[string]bool{}
	for _, e := range all {
		place[e.ID] = true
		if e.Plant == plant {
			in[e.ID] = true
		}
	}
	for grown := true; grown; {
		grown = false
		for _, e := range all {
			// An entry and the one it corrects belong together, if both are here.
			if _, here := place[e.Corrects]; here && in[e.ID] != in[e.Corrects] {
				in[e.ID], in[e.Corrects], grown = true, true, true
			}
		}
	}
	var found []care.Entry
	for e, err := range copies(all) {
		if err != nil {
			return nil, err
		}
		if in[e.ID] {
			found = append(found, e)
		}
	}
	return found, nil
}

// Select is as store.Store has it.
func (m *Memory) Select(_ context.Context, q store.Query) iter.Seq2[care.Entry, error] {
	var found []care.Entry
	for _, e := range m.snapshot() {
		if !q.From.IsZero() && e.At.Before(q.From) || !q.Until.IsZero() && !e.At.Before(q.Until) ||
			q.Plant != "" && e.Plant != q.Plant || len(q.Kinds) > 0 && !slices.Contains(q.Kinds, e.Kind) {
			continue
		}
		found = append(found, e)
	}
	slices.SortFunc(found, func(a, b care.Entry) int { return cmp.Or(a.At.Compare(b.At), strings.Compare(a.ID, b.ID)) })
	return copies(found)
}

// Count is as store.Store has it.
func (m *Memory) Count(context.Context) (int, error) { return len(m.snapshot()), nil }

// Entry is as store.Store has it.
func (m *Memory) Entry(_ context.Context, id string) (care.Entry, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	i, ok := m.place[id]
	if !ok {
		return care.Entry{}, fmt.Errorf("entry %s: %w", id, store.ErrNotFound)
	}
	return store.Canonical(m.entries[i])
}

// PutPhoto is as store.Store has it.
func (m *Memory) PutPhoto(_ context.Context, p store.Photo, content []byte) (store.Photo, error) {
	if err := store.CheckPhoto(p, content); err != nil {
		return store.Photo{}, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	p.Hash, p.Bytes = store.HashOf(content), len(content)
	if there, ok := m.photos[p.Hash]; ok {
		return there, nil
	}
	if p.Recorded.IsZero() {
		p.Recorded = m.stamp()
	}
	m.photos[p.Hash], m.contents[p.Hash] = p, slices.Clone(content)
	return p, nil
}

// PhotoInfo is as store.Store has it.
func (m *Memory) PhotoInfo(_ context.Context, hash string) (store.Photo, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p, ok := m.photos[hash]
	if !ok {
		return store.Photo{}, fmt.Errorf("photograph %s: %w", hash, store.ErrNotFound)
	}
	return p, nil
}

// Photo is as store.Store has it.
func (m *Memory) Photo(ctx context.Context, hash string) (store.Photo, []byte, error) {
	p, err := m.PhotoInfo(ctx, hash)
	return p, slices.Clone(m.contents[hash]), err
}

// Photos is as store.Store has it.
func (m *Memory) Photos(context.Context) iter.Seq2[store.Photo, error] {
	m.mu.Lock()
	defer m.mu.Unlock()
	list := slices.SortedFunc(maps.Values(m.photos), func(a, b store.Photo) int { return strings.Compare(a.Hash, b.Hash) })
	return func(yield func(store.Photo, error) bool) {
		for _, p := range list {
			if !yield(p, nil) {
				return
			}
		}
	}
}

// PassphraseHash is as store.Store has it.
func (m *Memory) PassphraseHash(context.Context) (string, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.passphrase == "" {
		return "", fmt.Errorf("passphrase: %w", store.ErrNotFound)
	}
	return m.passphrase, nil
}

// SetPassphraseHash is as store.Store has it.
func (m *Memory) SetPassphraseHash(_ context.Context, hash string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.passphrase = hash
	clear(m.sessions)
	return nil
}

// AddMachine is as store.Store has it, without its rule for short tokens.
func (m *Memory) AddMachine(_ context.Context, name, scope, token string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, taken := m.machines[name]; taken || slices.Contains(slices.Collect(maps.Values(m.tokens)), token) {
		return fmt.Errorf("machine %q: %w", name, store.ErrExists)
	}
	m.machines[name], m.tokens[name] = store.Machine{Name: name, Scope: scope, Made: m.stamp()}, token
	return nil
}

// MachineOf is as store.Store has it.
func (m *Memory) MachineOf(_ context.Context, token string) (store.Machine, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for name, known := range m.tokens {
		if known == token {
			return m.machines[name], nil
		}
	}
	return store.Machine{}, fmt.Errorf("machine: %w", store.ErrNotFound)
}

// Machines is as store.Store has it.
func (m *Memory) Machines(context.Context) ([]store.Machine, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return slices.SortedFunc(maps.Values(m.machines), func(a, b store.Machine) int { return strings.Compare(a.Name, b.Name) }), nil
}

// RemoveMachine is as store.Store has it.
func (m *Memory) RemoveMachine(_ context.Context, name string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, ok := m.machines[name]; !ok {
		return fmt.Errorf("machine %q: %w", name, store.ErrNotFound)
	}
	delete(m.machines, name)
	delete(m.tokens, name)
	return nil
}

// Sessions returns the sessions of the collection.
func (m *Memory) Sessions() MemorySessions { return MemorySessions{m} }

// MemorySessions is as store.Sessions.
type MemorySessions struct{ m *Memory }

// Find returns the data of a session that has not expired.
func (k MemorySessions) Find(token string) ([]byte, bool, error) {
	k.m.mu.Lock()
	defer k.m.mu.Unlock()
	s, ok := k.m.sessions[token]
	if !ok || !s.expiry.After(k.m.now()) {
		return nil, false, nil
	}
	return slices.Clone(s.data), true, nil
}

// Commit keeps a session until it expires.
func (k MemorySessions) Commit(token string, data []byte, expiry time.Time) error {
	k.m.mu.Lock()
	defer k.m.mu.Unlock()
	k.m.sessions[token] = session{slices.Clone(data), expiry}
	return nil
}

// Delete ends a session.
func (k MemorySessions) Delete(token string) error {
	k.m.mu.Lock()
	defer k.m.mu.Unlock()
	delete(k.m.sessions, token)
	return nil
}

// Clean removes the sessions that have expired.
func (k MemorySessions) Clean(context.Context) error {
	k.m.mu.Lock()
	defer k.m.mu.Unlock()
	maps.DeleteFunc(k.m.sessions, func(_ string, s session) bool { return !s.expiry.After(k.m.now()) })
	return nil
}

// EndAll ends every session.
func (k MemorySessions) EndAll(context.Context) error {
	k.m.mu.Lock()
	defer k.m.mu.Unlock()
	clear(k.m.sessions)
	return nil
}
