package condition

import "sync"

// Shared keeps the conditions of one vocabulary that were read without a
// problem, so that one which many rules have is read once and its tree is
// theirs together. The zero value is ready; it may be shared between
// goroutines. The vocabulary must not change while it is in use.
type Shared struct {
	mu     sync.RWMutex
	shapes map[sharedNames]int
	known  map[sharedKey]*Condition
}

// sharedNames are the names of an each, so many as are used; with more nothing
// is shared.
type sharedNames [4]EachName

// sharedKey is all that decides what a text means: shape stands for the names.
type sharedKey struct {
	text  string
	shape int
	want  Want
}

// shapeOf numbers the names of a scope from 1, once; -1 is no number.
func (s *Shared) shapeOf(scope *Scope) int {
	if scope.shape != 0 {
		return scope.shape
	}
	var names sharedNames
	scope.shape = -1
	if copy(names[:], scope.Names) < len(scope.Names) {
		return -1
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.shapes == nil {
		s.shapes, s.known = map[sharedNames]int{}, map[sharedKey]*Condition{}
	}
	n, ok := s.shapes[names]
	if !ok {
		n = len(s.shapes) + 1
		s.shapes[names] = n
	}
	scope.shape = n
	return n
}

// find gives a condition with the same text over the same names, or nil.
func (s *Shared) find(text string, scope *Scope, want Want) *Condition {
	if s == nil {
		return nil
	}
	shape := s.shapeOf(scope)
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.known[sharedKey{text, shape, want}]
}

func (s *Shared) keep(c *Condition, scope *Scope, want Want) {
	if s == nil || scope.shape < 0 {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.known[sharedKey{c.Text, scope.shape, want}] = c
}
