package engine

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// StrictCycle is the code of a finding that rests on itself through something
// that has to be known before it.
var StrictCycle = source.Declare("strict-cycle", "a finding or number rests on itself through something that must be known first: not, unless, set, a count, a clue")

// pid numbers the properties of a vocabulary: kind by kind, in order.
type pid int32

// edge says that a head is worked out of a property.
type edge struct {
	to     pid // what is read
	strict bool
	where  cause
}

// cause is what an edge comes from, for the report of a cycle.
type cause struct {
	id   string // of the rule, clue or rivals
	what string // "rule", "clue", "rivals"
	at   source.Span
}

// graph is who is worked out of what, property by property.
type graph struct {
	props []*vocab.Property // by pid
	first []pid             // by kind index
	from  [][]edge          // by pid of the head
}

func newGraph(v *vocab.Vocabulary) *graph {
	g := &graph{first: make([]pid, len(v.Kinds))}
	for i, k := range v.Kinds {
		g.first[i] = pid(len(g.props))
		g.props = append(g.props, k.Properties...)
	}
	g.from = make([][]edge, len(g.props))
	return g
}

func (g *graph) id(p *vocab.Property) pid { return g.first[p.Kind.Index] + pid(p.Index) }

func (g *graph) add(head *vocab.Property, c *condition.Condition, strict bool, where cause) {
	h := g.id(head)
	for _, d := range c.Deps {
		g.from[h] = append(g.from[h], edge{g.id(d.Prop), strict || d.Strict, where})
	}
}

// fill enters all rules, clues and rivals of a pack.
func (g *graph) fill(pack *rules.Pack) {
	for _, r := range pack.Rules {
		w := cause{r.ID, "rule", r.At}
		all := func(head *vocab.Property, strict bool) {
			for _, c := range r.If {
				g.add(head, c, strict, w)
			}
			for _, c := range r.Unless {
				g.add(head, c, true, w)
			}
		}
		for _, h := range r.Then {
			all(h.Prop, r.Level != vocab.NoWord)
		}
		for _, h := range r.RulesOut {
			all(h.Prop, true)
		}
		for _, a := range r.Set {
			all(a.Prop, true)
			g.add(a.Prop, a.Value, true, w)
		}
	}
	for _, c := range pack.Clues {
		w := cause{c.ID, "clue", c.At}
		for _, i := range c.If {
			g.add(c.Cause.Prop, i, true, w)
		}
		g.add(c.Cause.Prop, c.Sign, true, w)
	}
	for _, r := range pack.Rivals {
		w := cause{r.ID, "rivals", r.At}
		for i, a := range r.Causes {
			for _, c := range r.If {
				g.add(a.Prop, c, true, w)
			}
			// Rivals are settled together: the probability of one rests on the others.
			for j, b := range r.Causes {
				if i != j && a.Prop != b.Prop {
					h := g.id(a.Prop)
					g.from[h] = append(g.from[h], edge{g.id(b.Prop), false, w})
				}
			}
		}
	}
}

// components gives the strongly connected components with what is read before
// what reads it (Tarjan 1972), without recursion: packs come from strangers.
func (g *graph) components() (of []int32, comps [][]pid) {
	n := len(g.props)
	of = make([]int32, n)
	low, num := make([]int32, n), make([]int32, n)
	on := make([]bool, n)
	var stack []pid
	type call struct {
		v pid
		i int
	}
	var calls []call
	next := int32(1)
	for root := range n {
		if num[root] != 0 {
			continue
		}
		calls = append(calls, call{pid(root), 0})
		for len(calls) > 0 {
			c := &calls[len(calls)-1]
			v := c.v
			if c.i == 0 {
				num[v], low[v] = next, next
				next++
				stack = append(stack, v)
				on[v] = true
			}
			descended := false
			for c.i < len(g.from[v]) {
				w := g.from[v][c.i].to
				c.i++
				if num[w] == 0 {
					calls = append(calls, call{w, 0})
					descended = true
					break
				}
				if on[w] {
					low[v] = min(low[v], num[w])
				}
			}
			if descended {
				continue
			}
			calls = calls[:len(calls)-1]
			if len(calls) > 0 {
				up := calls[len(calls)-1].v
				low[up] = min(low[up], low[v])
			}
			if low[v] != num[v] {
				continue
			}
			var comp []pid
			for {
				w := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				on[w] = false
				of[w] = int32(len(comps))
				comp = append(comp, w)
				if w == v {
					break
				}
			}
			slices.Sort(comp)
			comps = append(comps, comp)
		}
	}
	return of, comps
}

// strictCycles reports each component that holds a strict edge, its shortest
// cycle through one written out.
func (g *graph) strictCycles(of []int32, comps [][]pid) source.Problems {
	var ps source.Problems
	for c, comp := range comps {
		var best []step
		for _, v := range comp {
			for _, e := range g.from[v] {
				if !e.strict || of[e.to] != int32(c) {
					continue
				}
				if way := g.path(e.to, v, of); way != nil || e.to == v {
					if whole := append([]step{{v, e}}, way...); best == nil || len(whole) < len(best) {
						best = whole
					}
				}
			}
		}
		if best == nil {
			continue
		}
		var b strings.Builder
		b.WriteString(g.props[best[0].head].Label())
		for _, s := range best {
			reads := " reads "
			if s.edge.strict {
				reads = " must first know "
			}
			fmt.Fprintf(&b, "%s%s (%s %s)", reads, g.props[s.edge.to].Label(), s.edge.where.what, s.edge.where.id)
			if s.edge.to != best[0].head {
				b.WriteString(", which")
			}
		}
		p := ps.Addf(StrictCycle, best[0].edge.where.at, "%s", b.String()).
			Hint("not, unless, all, none, counts, sums, every set, rules_out, verdict and every clue must know what they read before; break the circle at one of these, or read the observation itself")
		if len(best) > 1 {
			p.Beside(best[1].edge.where.at, "and back from here")
		}
	}
	return ps
}

// step is one edge of a written-out cycle with the head it belongs to.
type step struct {
	head pid
	edge edge
}

// path is the shortest way from one property to another by what is read,
// inside their component; nil if they are the same.
func (g *graph) path(from, to pid, of []int32) []step {
	if from == to {
		return nil
	}
	came := map[pid]step{}
	queue := []pid{from}
	for len(queue) > 0 {
		v := queue[0]
		queue = queue[1:]
		for _, e := range g.from[v] {
			if of[e.to] != of[v] || e.to == from {
				continue
			}
			if _, seen := came[e.to]; seen {
				continue
			}
			came[e.to] = step{v, e}
			if e.to == to {
				var way []step
				for at := to; at != from; at = came[at].head {
					way = append(way, came[at])
				}
				slices.Reverse(way)
				return way
			}
			queue = append(queue, e.to)
		}
	}
	return nil
}
