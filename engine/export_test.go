package engine

// Capped is a session that may do no more than so much work.
func Capped(s *Session, steps int64) *Session {
	s.cap = steps
	return s
}

// ByDifferences tells whether the next Run works out only what differs.
func ByDifferences(s *Session) bool { return !s.fresh }
