package engine

import (
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// The session as the plain evaluator reads it, and as others do.

func (s *Session) layout() *rules.Layout { return s.l }
func (s *Session) coverage() float64     { return s.facts.K }
func (s *Session) uncertain() bool       { return s.unsure }

func (s *Session) truthOf(part int32, p *vocab.Property) truth.Truth {
	id := s.p.id(p)
	if p.Role.Concluded() {
		return s.state[s.first[id]+s.ords[part]]
	}
	return within(s.maskOf(part, p), vocab.Yes)
}

func (s *Session) maskOf(part int32, p *vocab.Property) uint64 {
	id := s.p.id(p)
	if s.maskAt[id] < 0 {
		return 0
	}
	return s.mask[s.maskAt[id]+s.ords[part]]
}

func (s *Session) numberOf(part int32, p *vocab.Property) (measure.Number, bool) {
	id := s.p.id(p)
	if s.numAt[id] < 0 {
		return measure.Number{}, false
	}
	at := s.numAt[id] + s.ords[part]
	if x := s.num[at]; x == x {
		return measure.Exact(x), true
	}
	n, ok := s.odd[at]
	return n, ok
}

func (s *Session) refOf(part int32, p *vocab.Property) int32 {
	if refs := s.refs[s.p.id(p)]; refs != nil {
		return refs[s.ords[part]]
	}
	return unknownPart
}

func (s *Session) listOf(part int32, p *vocab.Property) ([]int32, bool) {
	return s.lists[s.p.id(p)].of(s.ords[part])
}

func (s *Session) roundOf(part int32, p *vocab.Property) int32 {
	id := s.p.id(p)
	if s.first[id] < 0 || p.Role == vocab.Computed && s.given[s.first[id]+s.ords[part]] {
		return 0
	}
	return s.round[s.first[id]+s.ords[part]]
}

func (s *Session) evidenceOf(part int32, p *vocab.Property) evidence {
	if s.p.info[s.p.id(p)].tainted {
		slot := s.first[s.p.id(p)] + s.ords[part]
		return evidence{s.weights.lambda[slot], s.weights.prob[slot]}
	}
	return evidenceOfTruth(s.truthOf(part, p))
}

// State is the state of a concluded property of a part as of the last run.
func (s *Session) State(part int32, p *vocab.Property) truth.Truth {
	if !p.Role.Concluded() || s.l.Parts[part].Kind != p.Kind {
		return truth.Unknown
	}
	return s.state[s.first[s.p.id(p)]+s.ords[part]]
}

// Round is the round in which a true fact came, 0 for all others.
func (s *Session) Round(part int32, p *vocab.Property) int32 {
	if s.l.Parts[part].Kind != p.Kind {
		return 0
	}
	return s.roundOf(part, p)
}

// True counts the true findings, verdict rules not among them.
func (s *Session) True() int {
	n := 0
	for _, r := range s.findings {
		for _, t := range s.state[r[0]:r[1]] {
			n += int(t >> 1) // true alone has the second bit
		}
	}
	return n
}
