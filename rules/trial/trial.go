// Package trial holds trials: small inspections with what must and must not be
// concluded from them, the test of a pack. Start with [Load] and [Trial.Fit];
// package engine/trialrun runs them. Under must, must_not and open stand
//
//	seat_1in.overheated                  a finding
//	shaft = replace                      a verdict
//	arm_1in.radial_play = 0.12 mm        a number
//	test-the-arm-for-cracks of arm_1in   a remedy is to be done; without "of" for any part
//
// and under roots findings in which a story begins.
package trial

import (
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"whyworn/facts"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/facts/truth"
	"whyworn/facts/written"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Codes of trials.
var (
	ClaimsNothing  = source.Declare("trial-claims-nothing", "a trial says nothing that could fail")
	BadClaim       = source.Declare("bad-claim", "a claim of a trial is no part.finding, no part = verdict, no part.number = value and no remedy")
	UnknownMachine = source.Declare("unknown-machine", "a trial or an inspection names a machine that is not there")
	ClaimsAtOdds   = source.Declare("claims-at-odds", "two claims of a trial cannot both come true")
	TwoTrials      = source.Declare("two-trials-one-id", "two trials have the same id")
)

// Trial is one trial as written.
type Trial struct {
	ID, Says   string
	At         source.Span
	Machine    *facts.Machine
	Inspection *facts.Inspection
	Claims     []Written
}

// Written is a claim as written.
type Written struct {
	Expect truth.Truth // what the finding must be
	Root   bool        // claims that the finding is a root of the story
	Text   string
	Node   *written.Node
}

// Claim is what a trial says must come out, fitted to the parts.
type Claim struct {
	Written
	Part   int32
	Prop   *vocab.Property // a finding or a number; nil for a verdict or a remedy
	Remedy *rules.Remedy   // to be done, of Part or, if that is -1, of any
	Level  vocab.Level     // of a verdict
	Number measure.Number  // of a number
	IsSet  bool            // a number is claimed
}

// Load reads the trials of a pack's folder: trials/*.toml and machines/*.toml.
func Load(fsys fs.FS, name string) ([]*Trial, source.Problems) {
	l := loader{fsys: fsys, name: name, machines: map[string]*facts.Machine{}, seen: map[string]*Trial{}}
	for _, file := range l.glob("machines") {
		l.machine(file)
	}
	for _, file := range l.glob("trials") {
		l.file(file)
	}
	l.ps.Sort()
	return l.trials, l.ps
}

type loader struct {
	fsys     fs.FS
	name     string
	machines map[string]*facts.Machine
	names    []string
	seen     map[string]*Trial
	trials   []*Trial
	ps       source.Problems
}

func (l *loader) glob(folder string) []string {
	files, err := fs.Glob(l.fsys, folder+"/*.toml")
	if err != nil {
		panic(err) // the pattern is ours
	}
	return files
}

func (l *loader) parse(file string) (*source.File, *written.Node) {
	r, err := l.fsys.Open(file)
	if err != nil {
		l.ps.Addf(rules.NoPack, source.Span{File: source.NewFile(file, nil)}, "cannot be read: %v", err)
		return nil, nil
	}
	defer r.Close()
	f, problem := source.ReadLimited(r, filepath.ToSlash(filepath.Join(l.name, file)))
	if problem != nil {
		l.ps.Add(problem)
		return nil, nil
	}
	root, ps := tomlfile.Parse(f)
	l.ps.Add(ps...)
	return f, root
}

func (l *loader) machine(file string) {
	f, root := l.parse(file)
	if root == nil {
		return
	}
	m, ps := facts.ReadMachine(f, root)
	l.ps.Add(ps...)
	stem := strings.TrimSuffix(path.Base(file), ".toml")
	l.machines[stem] = m
	l.names = append(l.names, stem)
}

func (l *loader) file(file string) {
	f, root := l.parse(file)
	if root == nil {
		return
	}
	r := written.Open(root, &l.ps, "trial file")
	for _, n := range r.Tables("trial") {
		l.trial(f, n)
	}
	r.Close()
}

func (l *loader) trial(f *source.File, n *written.Node) {
	r := written.Open(n, &l.ps, "trial")
	t := &Trial{ID: r.String("id", written.Required), Says: r.String("says", written.Required), At: r.Place()}
	machine := r.Text("machine", written.Required)
	seen := r.Table("seen", written.Required)
	claim := func(key string, expect truth.Truth, root bool) {
		for _, c := range r.Strings(key) {
			t.Claims = append(t.Claims, Written{expect, root, c.Text, c})
		}
	}
	claim("must", truth.True, false)
	claim("must_not", truth.False, false)
	claim("open", truth.Unknown, false)
	claim("roots", truth.True, true)
	before := len(l.ps)
	r.Close()
	misspelt := len(l.ps) > before // perhaps what it claims
	if old := l.seen[t.ID]; old != nil {
		l.ps.Addf(TwoTrials, t.At, "two trials have the id %q", t.ID).Beside(old.At, "the other one")
	}
	l.seen[t.ID] = t
	l.atOdds(t)
	if len(t.Claims) == 0 && !misspelt {
		l.ps.Addf(ClaimsNothing, t.At, "trial %q has none of must, must_not, open and roots", t.ID)
	}
	if machine == nil || seen == nil {
		return
	}
	if t.Machine = l.machines[machine.Text]; t.Machine == nil {
		l.ps.Addf(UnknownMachine, machine.At, "there is no machines/%s.toml", machine.Text).DidYouMean(machine.Text, l.names)
		return
	}
	// The inspection is what was seen, on that machine.
	whole := *seen
	id := *machine
	id.Text = t.Machine.ID
	whole.Entries = append([]written.Entry{{Name: "machine", At: machine.At, Value: &id}}, seen.Entries...)
	in, ps := facts.ReadInspection(f, &whole)
	for _, p := range ps {
		if p.Code != facts.EmptyInspection { // a trial may show what nothing tells
			l.ps.Add(p)
		}
	}
	t.Inspection = in
	l.trials = append(l.trials, t)
}

// atOdds tells of claims that cannot both come true: one finding claimed to be
// so and not so or open, two verdicts of one part, two values of one number.
func (l *loader) atOdds(t *Trial) {
	type claimed struct {
		Written
		value string
	}
	first := map[string]claimed{}
	for _, w := range t.Claims {
		what, value, equals := strings.Cut(w.Text, "=")
		what, value = strings.TrimSpace(what), strings.Join(strings.Fields(value), " ")
		if equals && w.Expect != truth.True { // not 3 mm and not 4 mm may well be
			what += " = " + value
		}
		old, twice := first[what]
		if !twice {
			first[what] = claimed{w, value}
			continue
		}
		if old.Expect != w.Expect || w.Expect == truth.True && old.value != value {
			l.ps.Addf(ClaimsAtOdds, w.Node.At, "trial %q: %q and %q cannot both come true", t.ID, old.Text, w.Text).
				Beside(old.Node.At, "the other claim").Hint("take one of them out")
		}
	}
}

// Fit fits a trial to a pack and finds what its claims speak of.
func (t *Trial) Fit(p *rules.Pack) (*rules.Facts, []Claim, source.Problems) {
	f, ps := rules.Fit(p, t.Machine, t.Inspection)
	if f == nil {
		return nil, nil, ps
	}
	var claims []Claim
	for _, w := range t.Claims {
		if c, ok := claim(f, w, &ps); ok {
			claims = append(claims, c)
		}
	}
	return f, claims, ps
}

// claim reads part.finding, part = verdict, part.number = value, or a remedy by its
// id, "remedy" or "remedy of part".
func claim(f *rules.Facts, w Written, ps *source.Problems) (Claim, bool) {
	c := Claim{Written: w}
	left, right, equals := strings.Cut(w.Text, "=")
	left, right = strings.TrimSpace(left), strings.TrimSpace(right)
	id, property, dotted := strings.Cut(left, ".")
	if remedy, of, named := strings.Cut(left, " of "); !equals && !dotted {
		remedies := f.Layout.Pack.Remedies
		i := slices.IndexFunc(remedies, func(m *rules.Remedy) bool { return m.ID == strings.TrimSpace(remedy) })
		switch {
		case i >= 0 && w.Root:
			ps.Addf(BadClaim, w.Node.At, "a remedy is no root of the story").Hint("claim it under must, must_not or open")
			return c, false
		case i >= 0:
			c.Remedy, c.Part = remedies[i], -1
			if !named {
				return c, true
			}
			id = strings.TrimSpace(of)
		case named || strings.Contains(left, "-"):
			ids := make([]string, len(remedies))
			for i, m := range remedies {
				ids[i] = m.ID
			}
			ps.Addf(BadClaim, w.Node.At, "there is no remedy %q", remedy).DidYouMean(remedy, ids)
			return c, false
		}
	}
	part, ok := f.Find(id)
	if !ok {
		ids := make([]string, len(f.Parts))
		for i := range f.Parts {
			ids[i] = f.Parts[i].ID
		}
		ps.Addf(BadClaim, w.Node.At, "there is no part %q", id).DidYouMean(id, ids)
		return c, false
	}
	if c.Part = part; c.Remedy != nil {
		return c, true
	}
	kind := f.Parts[part].Kind
	if !dotted {
		for l := vocab.Refit; l <= vocab.Replace; l++ {
			if equals && strings.ReplaceAll(right, "_", " ") == l.String() {
				c.Level = l
				return c, true
			}
		}
		ps.Addf(BadClaim, w.Node.At, "%q is no claim", w.Text).
			Hint("write part.finding, part = replace (rework, inspect_further, refit), part.number = 0.12 mm, or the id of a remedy")
		return c, false
	}
	if c.Prop = kind.Property(property); c.Prop == nil {
		ps.Addf(BadClaim, w.Node.At, "a %s has no property %q", kind.Name, property).DidYouMean(property, rules.PropertyIDs(kind))
		return c, false
	}
	switch {
	case equals:
		if c.Prop.Unit == nil {
			ps.Addf(BadClaim, w.Node.At, "%s is no number", c.Prop.Label())
			return c, false
		}
		n, err := measure.ParseNumber(right, c.Prop.Unit)
		if err != nil {
			ps.Addf(BadClaim, w.Node.At, "%v", err)
			return c, false
		}
		c.Number, c.IsSet = n.Number, true
	case !c.Prop.Role.Concluded() && c.Prop.Role != vocab.Computed:
		ps.Addf(BadClaim, w.Node.At, "%s is observed, not concluded", c.Prop.Label())
		return c, false
	case c.Prop.Role == vocab.Computed && w.Expect != truth.Unknown:
		ps.Addf(BadClaim, w.Node.At, "%s is a number: claim its value, or claim it under open", c.Prop.Label())
		return c, false
	}
	return c, true
}
