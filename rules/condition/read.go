package condition

import "whyworn/rules/vocab"

// dependencies adds the properties that e reads, each once, strict if it is
// read strictly anywhere.
func dependencies(deps []Dep, e *Expr) []Dep {
	if deps == nil {
		deps = make([]Dep, 0, 4)
	}
	return depend(deps, e, false)
}

func depend(deps []Dep, e *Expr, strict bool) []Dep {
	switch e.Op {
	case Prop:
		known := false
		for i := range deps {
			if deps[i].Prop == e.Prop {
				deps[i].Strict = deps[i].Strict || strict
				known = true
				break
			}
		}
		if !known {
			deps = append(deps, Dep{e.Prop, strict})
		}
	case Not, All, None, Count, Sum, Min, Max, Mean, Median, Map:
		strict = true
	}
	for _, a := range e.Args {
		deps = depend(deps, a, strict)
	}
	return deps
}

// reads tells whether the answer can hang on the parts bound.
func reads(e *Expr) bool {
	if e.Op == Name || e.Op == Elem {
		return true
	}
	for _, a := range e.Args {
		if reads(a) {
			return true
		}
	}
	return false
}

// ties lists the equalities and memberships that join two names and must hold
// for the condition to hold: the root itself or an argument of an and there.
func ties(root *Expr) []Tie {
	var list []Tie
	add := func(e *Expr) {
		if e.Op != Same && e.Op != InList {
			return
		}
		a, b := onlyName(e.Args[0]), onlyName(e.Args[1])
		if a >= 0 && b >= 0 && a != b {
			list = append(list, Tie{A: a, B: b, Left: e.Args[0], Right: e.Args[1], Member: e.Op == InList})
		}
	}
	if root.Op == And {
		for _, e := range root.Args {
			add(e)
		}
	} else {
		add(root)
	}
	return list
}

// onlyName is the one name that e speaks of, -1 if none or several.
func onlyName(e *Expr) int {
	v := names(e)
	if v == 0 || v&(v-1) != 0 {
		return -1
	}
	i := 0
	for v>>i != 1 {
		i++
	}
	return i
}

// names is the set of names that e speaks of, bit i for name i.
func names(e *Expr) uint64 {
	var set uint64
	if e.Op == Name {
		set = 1 << min(e.Var, 63)
	}
	for _, a := range e.Args {
		set |= names(a)
	}
	return set
}

// ids lists the properties of a kind that an author can write.
func ids(k *vocab.Kind) []string {
	var list []string
	for _, p := range k.Properties {
		if p.Bound == vocab.NoBound && p.Role != vocab.Verdict {
			list = append(list, p.ID)
		}
	}
	return list
}

// derived lists the numbers worked out of a size.
func derived(size *vocab.Property) []string {
	var list []string
	for _, p := range size.Kind.Properties {
		if p.Role == vocab.Derived && p.Of == size {
			list = append(list, p.ID)
		}
	}
	return list
}

// example is a property to show in a hint.
func example(k *vocab.Kind) string {
	if k != nil {
		for _, p := range k.Properties {
			if p.Bound == vocab.NoBound && p.Role != vocab.Verdict && p.ID != "found" && p.ID != "works" {
				return p.ID
			}
		}
	}
	return "property"
}
