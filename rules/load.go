package rules

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/facts/written"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Codes of packs as a whole.
var (
	NoPack       = source.Declare("no-pack", "a folder is no pack: it has no TOML file, or no [pack] table")
	TwoPacks     = source.Declare("two-packs", "a folder has more than one [pack] table")
	BadName      = source.Declare("bad-name", "a name or id has characters it cannot have, or is a word of the language")
	TwoOfOneID   = source.Declare("two-of-one-id", "two things of a pack have the same id")
	UnknownKind  = source.Declare("unknown-kind", "a kind of part is not declared")
	PackTooLarge = source.Declare("pack-too-large", "a pack has more files, or more of something, than can be handled")
)

const mostFiles = 1000

// LoadDir loads and checks the pack in a folder.
func LoadDir(dir string) (*Pack, source.Problems) {
	var ps source.Problems
	at := source.Span{File: source.NewFile(dir, nil)}
	switch info, err := os.Stat(dir); {
	case err != nil:
		ps.Addf(NoPack, at, "there is no folder of this name")
		return nil, ps
	case !info.IsDir():
		ps.Addf(NoPack, at, "a pack is a folder, this is a file")
		return nil, ps
	}
	return Load(os.DirFS(dir), dir, Checked)
}

// Trust says whether the TOML of a pack is still to be proven valid.
type Trust bool

// Packs from outside are Checked; a test proves the embedded ones once, which
// are then loaded as Proven, at a third of the time.
const (
	Checked Trust = false
	Proven  Trust = true
)

// Load loads and checks the pack in fsys: all its *.toml but those in
// sub-folders. name is put before the names of files in problems. The pack is
// nil if problems has errors.
func Load(fsys fs.FS, name string, trust Trust) (*Pack, source.Problems) {
	l := &loader{pack: &Pack{Vocabulary: vocab.Empty()}}
	files := l.files(fsys, name)
	roots := make([]*written.Node, len(files))
	problems := make([]source.Problems, len(files))
	concurrently(len(files), func(i int) {
		if trust == Proven {
			roots[i], problems[i] = tomlfile.ParseTrusted(files[i])
		} else {
			roots[i], problems[i] = tomlfile.Parse(files[i])
		}
	})
	for i := range files {
		l.ps = append(l.ps, problems[i]...)
		if roots[i] != nil {
			l.split(roots[i])
		}
	}
	l.pack.Files = files
	l.pack.Digest = digest(files, name)
	if l.pack.ID == "" && !l.ps.HasErrors() {
		l.ps.Addf(NoPack, source.Span{File: source.NewFile(name, nil)}, "no file of this folder has a [pack] table").
			Hint("begin with [pack] and id, version, title in pack.toml")
	}
	l.words()
	l.statements()
	l.check()
	l.ps.Sort()
	l.ps.Dedupe()
	if l.ps.HasErrors() {
		return nil, l.ps
	}
	return l.pack, l.ps
}

// loader gathers the tables of all files, then reads them in the order in
// which they need each other.
type loader struct {
	pack   *Pack
	packAt source.Span
	ps     source.Problems
	tables map[string][]*written.Node // by name of the array of tables, in file order
	shown  []*written.Node
	shared *condition.Shared // by all readers of statements

	// What only follows from a fault that is told stays unsaid. spokenFor are the
	// findings that a rule concludes or a clue speaks to, be the rule or clue
	// itself past mending; unsaidPrior those whose how_common is no frequency.
	spokenFor, unsaidPrior []*vocab.Property
	// doubtful are the ids of properties whose declaration is at fault, and refused
	// the kinds for which a declaration is passed over.
	doubtful map[string]bool
	newAs    []pendingNewAs
	refused  map[*written.Node]map[string]bool
}

var tableNames = []string{"kind", "property", "finding", "computed", "rule", "clue", "rivals", "link", "limit", "remedy", "caution", "picture", "section"}

func (l *loader) files(fsys fs.FS, name string) []*source.File {
	at := source.Span{File: source.NewFile(name, nil)}
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		l.ps.Addf(NoPack, at, "the folder cannot be read: %v", err)
	}
	var files []*source.File
	for _, e := range entries {
		if e.IsDir() || path.Ext(e.Name()) != ".toml" {
			continue
		}
		if len(files) == mostFiles {
			l.ps.Addf(PackTooLarge, at, "more than %d files", mostFiles)
			break
		}
		f, err := fsys.Open(e.Name())
		if err != nil {
			l.ps.Addf(NoPack, at, "%s cannot be read: %v", e.Name(), err)
			continue
		}
		file, problem := source.ReadLimited(f, filepath.ToSlash(filepath.Join(name, e.Name())))
		f.Close()
		if problem != nil {
			l.ps.Add(problem)
			continue
		}
		files = append(files, file)
	}
	if len(files) == 0 && len(l.ps) == 0 {
		l.ps.Addf(NoPack, at, "the folder has no .toml file")
	}
	return files
}

func digest(files []*source.File, name string) string {
	h := sha256.New()
	for _, f := range files {
		io.WriteString(h, strings.TrimPrefix(f.Name, filepath.ToSlash(name)))
		h.Write([]byte{0})
		h.Write(f.Data)
		h.Write([]byte{0})
	}
	return hex.EncodeToString(h.Sum(nil))
}

func (l *loader) split(root *written.Node) {
	if l.tables == nil {
		l.tables = map[string][]*written.Node{}
	}
	r := written.Open(root, &l.ps, "pack file")
	if n := r.Table("pack"); n != nil {
		l.head(n)
	}
	for _, name := range tableNames {
		l.tables[name] = append(l.tables[name], r.Tables(name)...)
	}
	r.Close()
}

func (l *loader) head(n *written.Node) {
	if !l.packAt.IsZero() {
		l.ps.Addf(TwoPacks, n.Place(), "a second [pack] table").Beside(l.packAt, "the first one")
		return
	}
	l.packAt = n.Place()
	r := written.Open(n, &l.ps, "pack")
	p := l.pack
	p.ID, p.Version = r.String("id", written.Required), r.String("version", written.Required)
	p.Title, p.About = r.String("title", written.Required), r.String("about")
	p.LimitsOfMethod = r.String("limits_of_method")
	l.shown = r.Strings("cautions")
	l.name(r.Text("id"), "pack")
	r.Close()
}

// statements reads all that has conditions, on all processors, and puts each
// sort in order of id.
func (l *loader) statements() {
	l.cautions()
	p := l.pack
	l.shared = new(condition.Shared)
	p.Rules = gather(l, "rule", (*loader).rule)
	p.Clues = gather(l, "clue", (*loader).clue)
	p.Links = gather(l, "link", (*loader).link)
	p.Rivals = gather(l, "rivals", (*loader).rivals)
	p.Limits = gather(l, "limit", (*loader).limit)
	p.Remedies = gather(l, "remedy", (*loader).remedy)
	p.Pictures = gather(l, "picture", (*loader).picture)
	p.Sections = gather(l, "section", (*loader).section)
	order(p.Rules, func(r *Rule) *string { return &r.ID }, func(r *Rule, i int) { r.Index = i })
	order(p.Clues, func(c *Clue) *string { return &c.ID }, func(c *Clue, i int) { c.Index = i })
	order(p.Links, func(k *Link) *string { return &k.ID }, func(k *Link, i int) { k.Index = i })
	order(p.Rivals, func(v *Rivals) *string { return &v.ID }, func(v *Rivals, i int) { v.Index = i })
	order(p.Remedies, func(r *Remedy) *string { return &r.ID }, func(r *Remedy, i int) { r.Index = i })
}

// gather reads every table of a name; a reader returns nil for one that is
// past mending. Each reader has a loader of its own for its problems; the
// words are shared and no longer change.
func gather[T any](l *loader, name string, read func(*loader, *written.Node) *T) []*T {
	nodes := l.tables[name]
	const block = 64
	blocks := (len(nodes) + block - 1) / block
	out := make([]*T, len(nodes))
	problems := make([]source.Problems, blocks)
	spoken := make([][]*vocab.Property, blocks)
	concurrently(blocks, func(b int) {
		own := &loader{pack: l.pack, shared: l.shared}
		for i := b * block; i < min(len(nodes), (b+1)*block); i++ {
			before := len(own.ps)
			out[i] = read(own, nodes[i])
			if len(own.ps) > before && l.mentionsDoubtful(nodes[i]) {
				own.ps = l.keepOwn(own.ps, before)
			}
		}
		problems[b], spoken[b] = own.ps, own.spokenFor
	})
	for b, ps := range problems {
		l.ps = append(l.ps, ps...)
		l.spokenFor = append(l.spokenFor, spoken[b]...)
	}
	return slices.DeleteFunc(out, func(t *T) bool { return t == nil })
}

func order[T any](list []*T, id func(*T) *string, index func(*T, int)) {
	slices.SortStableFunc(list, func(a, b *T) int { return cmp.Compare(*id(a), *id(b)) })
	for i, t := range list {
		index(t, i)
	}
}

// concurrently calls f(0) … f(n-1) on all processors.
func concurrently(n int, f func(int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers <= 1 {
		for i := range n {
			f(i)
		}
		return
	}
	var wg sync.WaitGroup
	next := make(chan int)
	for range workers {
		wg.Go(func() {
			for i := range next {
				f(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
}

// name checks an id of the pack, a kind, a property or a name of each: it must
// be able to stand in a condition.
func (l *loader) name(n *written.Node, what string) bool {
	if n == nil {
		return false
	}
	ok := n.Text != "" && n.Text[0] >= 'a' && n.Text[0] <= 'z'
	for i := range len(n.Text) {
		c := n.Text[i]
		ok = ok && (c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z')
	}
	if !ok {
		l.ps.Addf(BadName, n.At, "%s: %q cannot be a name", what, n.Text).
			Hint("a name has small letters, digits and '_' and begins with a letter: rocker_arm")
	}
	return ok
}

// id checks the id of a rule, clue, link, remedy or caution.
func (l *loader) id(n *written.Node, what string) string {
	if n == nil {
		return ""
	}
	ok := n.Text != "" && !strings.HasPrefix(n.Text, "-")
	for i := range len(n.Text) {
		c := n.Text[i]
		ok = ok && (c == '-' || c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z')
	}
	if !ok {
		l.ps.Addf(BadName, n.At, "%s: %q cannot be an id", what, n.Text).
			Hint("an id has small letters, digits and '-': blue-seat-ran-hot")
	}
	return n.Text
}

func (l *loader) kind(n *written.Node) *vocab.Kind {
	if n == nil {
		return nil
	}
	k := l.pack.Vocabulary.Kind(n.Text)
	if k == nil {
		var all []string
		for _, k := range l.pack.Vocabulary.Kinds {
			all = append(all, k.ID)
		}
		l.ps.Addf(UnknownKind, n.At, "%q is no kind of part", n.Text).DidYouMean(n.Text, all)
	}
	return k
}

// each reads the names of a statement.
func (l *loader) each(r *written.Reader, what string) (Binding, *condition.Scope) {
	var b Binding
	n := r.Table("each", written.Required)
	if n == nil { // what follows from it stays unsaid
		if p := l.ps[len(l.ps)-1]; p.Code == written.MissingKey {
			p.Hint("say of which parts the %s speaks: each = { name = \"kind\" }", what)
		}
		return nil, nil
	}
	for _, e := range n.Entries {
		name := *e.Value
		name.Text, name.At = e.Name, e.At
		l.name(&name, what)
		if condition.Reserved(e.Name) {
			l.ps.Addf(BadName, e.At, "%s: %q is a word of the condition language, or a unit, and cannot be a name of each", what, e.Name).
				Hint("take another: the_%s", e.Name)
		}
		if e.Value.Kind != written.String {
			l.ps.Addf(written.WrongKind, e.Value.At, "%s: each name takes the id of a kind in quotes, this is %s", what, e.Value.Kind)
			continue
		}
		// A name of an unknown kind is kept, so that nothing that follows from it is told again.
		b = append(b, condition.EachName{ID: e.Name, Kind: l.kind(e.Value)})
	}
	if len(n.Entries) == 0 || len(n.Entries) > mostNames {
		l.ps.Addf(TooManyNames, n.At, "%s: each has %d names; one to %d can be bound", what, len(n.Entries), mostNames)
	}
	return b, &condition.Scope{Vocabulary: l.pack.Vocabulary, Names: b, Shared: l.shared}
}
