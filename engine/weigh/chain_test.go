package weigh

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// node is a sign or a weighed finding that depends on its parent only.
type node struct {
	parent int     // -1 for the cause itself
	p, q   float64 // how often it is there with its parent, and without
	leaf   bool
	seen   Lambda // for a leaf
}

// tree draws a cause at 0 with weighed findings below it, chained up to four
// deep, and signs that are seen, absent or unknown.
func tree(t *rapid.T) []node {
	nodes := []node{{parent: -1}}
	n := rapid.IntRange(1, 11).Draw(t, "nodes")
	depth := []int{0}
	for i := 1; i <= n; i++ {
		parent := rapid.IntRange(0, i-1).Draw(t, "parent")
		for nodes[parent].leaf || depth[parent] > 3 {
			parent = nodes[parent].parent
		}
		leaf := i > 3 || rapid.Bool().Draw(t, "leaf")
		nodes = append(nodes, node{
			parent: parent, leaf: leaf,
			p: frequency().Draw(t, "p"), q: frequency().Draw(t, "q"),
			seen: rapid.SampledFrom([]Lambda{Seen, Absent, Open}).Draw(t, "seen"),
		})
		depth = append(depth, depth[parent]+1)
	}
	return nodes
}

// enumerated is 10·log10 P(signs | cause) / P(signs | no cause), by adding up
// the joint distribution over every state of every node.
func enumerated(nodes []node) float64 {
	var with, without float64
	for state := range 1 << len(nodes) {
		joint := 1.0
		for i, n := range nodes[1:] {
			bit := state >> (i + 1) & 1
			p := n.q
			if state>>n.parent&1 == 1 {
				p = n.p
			}
			if bit == 0 {
				p = 1 - p
			}
			if n.leaf && (n.seen == Seen && bit == 0 || n.seen == Absent && bit == 1) {
				p = 0
			}
			joint *= p
		}
		if state&1 == 1 {
			with += joint
		} else {
			without += joint
		}
	}
	return 10 * math.Log10(with/without)
}

// exactDecibans passes unrounded weights up the chain.
func exactDecibans(nodes []node, at int) float64 {
	sum := 0.0
	for i, n := range nodes {
		if n.parent == at {
			l := n.seen
			if !n.leaf {
				l = math.Pow(10, exactDecibans(nodes, i)/10)
			}
			sum += ClueDecibans(n.p, n.q, l)
		}
	}
	return sum
}

// roundedWeight passes what a run passes: sums of whole units.
func roundedWeight(nodes []node, at int) Weight {
	var sum Weight
	for i, n := range nodes {
		if n.parent == at {
			l := n.seen
			if !n.leaf {
				l = roundedWeight(nodes, i).Ratio()
			}
			sum += Clue(n.p, n.q, l)
		}
	}
	return sum
}

func TestChainsAgreeWithTheJointDistribution(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes := tree(t)
		want := enumerated(nodes)
		if got := exactDecibans(nodes, 0); math.Abs(got-want) > 1e-9 {
			t.Fatalf("λ gives %.12f decibans, the joint distribution %.12f", got, want)
		}
		// Each clue is rounded once, by half a unit at most, and no clue passes on
		// more than it received.
		got := roundedWeight(nodes, 0).Decibans()
		if bound := 0.5e-9*float64(len(nodes)-1) + 1e-11; math.Abs(got-want) > bound {
			t.Fatalf("rounded %.12f, the joint distribution %.12f, allowed %g", got, want, bound)
		}
		prior := frequency().Draw(t, "prior")
		lr := math.Pow(10, want/10)
		if p, exact := Posterior(prior, roundedWeight(nodes, 0)), prior*lr/(prior*lr+1-prior); math.Abs(p-exact) > 1e-9 {
			t.Fatalf("posterior %.12f, exact %.12f", p, exact)
		}
	})
}

// The popular short cut, to weaken a clue's ratio R to c·R + 1 − c by the
// finding's probability c, is not what the formula does; it may be wrong by many decibans.
func TestDiscountIsNotTheFormula(t *testing.T) {
	const p, q, l = 0.9, 0.01, 1.0 / 9 // a finding held at 0.10 on an even prior
	short := 10 * math.Log10(0.1*p/q+0.9)
	if d := short - ClueDecibans(p, q, l); d < 10 {
		t.Errorf("the short cut differs by %.1f decibans only", d)
	}
}
