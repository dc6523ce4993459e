// Package memo keeps what was worked out for who asks for the same again: one display is asked
// about with many supplies, fluids, scenes and magnets, and its copper and steel stay as they are.
package memo

import "sync"

// Of keeps values by all that they follow from. Only what is never written to afterwards may be
// kept. It may be shared between goroutines.
type Of[K comparable, V any] struct {
	most  int
	mu    sync.Mutex
	known map[K]V
}

// New keeps as many values as told; one more, and all before are forgotten.
func New[K comparable, V any](most int) *Of[K, V] { return &Of[K, V]{most: most, known: map[K]V{}} }

// Get is the value of a key, worked out where it is not known. A failure is not kept.
func (m *Of[K, V]) Get(key K, work func() (V, error)) (V, error) {
	m.mu.Lock()
	v, ok := m.known[key]
	m.mu.Unlock()
	if ok {
		return v, nil
	}
	v, err := work()
	if err != nil {
		return v, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.known) >= m.most {
		clear(m.known)
	}
	m.known[key] = v
	return v, nil
}
