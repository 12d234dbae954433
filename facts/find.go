package facts

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"whyworn/facts/jsonfile"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/facts/written"
)

// Codes of finding files.
var (
	NoMachineFile   = source.Declare("no-machine-file", "no file beside the inspection is of the machine it names")
	TwoMachineFiles = source.Declare("two-machine-files", "two files beside the inspection are of the machine it names")
	UnknownEnding   = source.Declare("unknown-ending", "a file's name does not say whether it is TOML or JSON")
)

// ReadMachineFile reads and parses a machine file. The machine is nil when the
// file could not be read or is not TOML.
func ReadMachineFile(path string) (*Machine, source.Problems) {
	f, p := source.ReadFile(path)
	if p != nil {
		return nil, source.Problems{p}
	}
	return ParseMachine(f)
}

// ParseMachine parses a machine file that was read.
func ParseMachine(f *source.File) (*Machine, source.Problems) {
	root, ps := tomlfile.Parse(f)
	if root == nil {
		return nil, ps
	}
	m, more := ReadMachine(f, root)
	ps.Add(more...)
	ps.Sort()
	return m, ps
}

// ReadInspectionFile reads an inspection, TOML or JSON by the ending of its
// name; "-" is standard input, TOML unless it begins with '{'. The inspection
// is nil when the file could not be read or parsed.
func ReadInspectionFile(path string) (*Inspection, source.Problems) {
	var f *source.File
	var p *source.Problem
	if path == "-" {
		f, p = source.ReadLimited(os.Stdin, "standard input")
	} else {
		f, p = source.ReadFile(path)
	}
	if p != nil {
		return nil, source.Problems{p}
	}
	isJSON := false
	switch strings.ToLower(filepath.Ext(path)) {
	case ".json":
		isJSON = true
	case ".toml":
	default:
		if path != "-" {
			q := &source.Problem{Code: UnknownEnding, At: source.Span{File: source.NewFile(path, nil)}, Message: "the name ends neither in .toml nor in .json"}
			return nil, source.Problems{q.Hint("an inspection is a TOML or a JSON file")}
		}
		isJSON = bytes.HasPrefix(bytes.TrimLeft(f.Data, " \t\r\n"), []byte("{"))
	}
	return ParseInspection(f, isJSON)
}

// ParseInspection parses an inspection that was read.
func ParseInspection(f *source.File, isJSON bool) (*Inspection, source.Problems) {
	var root *written.Node
	var ps source.Problems
	if isJSON {
		root, ps = jsonfile.Parse(f)
	} else {
		root, ps = tomlfile.Parse(f)
	}
	if root == nil {
		return nil, ps
	}
	in, more := ReadInspection(f, root)
	for _, p := range more {
		if p.Code != EmptyInspection || len(ps) == 0 { // it may seem empty for what is told already
			ps.Add(p)
		}
	}
	ps.Sort()
	return in, ps
}

const mostBeside = 200 // files that are looked into

// FindMachine finds the machine file that an inspection names: name.toml in
// the inspection's folder, else the one *.toml there whose [machine] has that
// id, machine.toml first. "-" stands for the working folder.
func FindMachine(inspectionPath, name string) (*source.File, *source.Problem) {
	dir := filepath.Dir(inspectionPath)
	if inspectionPath == "-" {
		dir = "."
	}
	at := source.Span{File: source.NewFile(inspectionPath, nil)}
	var tried []string
	if own := name + ".toml"; name != "" && filepath.Base(own) == own {
		path := filepath.Join(dir, own)
		if info, err := os.Stat(path); err == nil && !info.IsDir() {
			return source.ReadFile(path)
		}
		tried = append(tried, path)
	}
	tried = append(tried, filepath.Join(dir, "machine.toml"))
	beside, _ := filepath.Glob(filepath.Join(escapeGlob(dir), "*.toml"))
	slices.Sort(beside)
	var ids, of []string
	for i, path := range beside {
		if i == mostBeside {
			break
		}
		if path == filepath.Clean(inspectionPath) {
			continue
		}
		id := machineID(path)
		switch {
		case id == "":
		case id != name:
			ids = append(ids, id)
		default:
			of = append(of, path)
		}
	}
	switch {
	case len(of) == 1, len(of) > 1 && slices.Contains(of, tried[len(tried)-1]):
		if len(of) > 1 {
			of[0] = tried[len(tried)-1]
		}
		return source.ReadFile(of[0])
	case len(of) > 1:
		p := &source.Problem{Code: TwoMachineFiles, At: at, Message: "the machine \"" + name + "\" has two files: " + of[0] + " and " + of[1]}
		return nil, p.Hint("name the one to take with --machine")
	}
	p := &source.Problem{Code: NoMachineFile, At: at, Message: "no machine file for machine = \"" + name + "\""}
	p.DidYouMean(name, ids)
	return nil, p.Hint("looked for %s, and for id = %q in every .toml file of %s", strings.Join(tried, " and "), name, dir).
		Hint("name the file with --machine")
}

// escapeGlob keeps a folder's name from being read as a pattern.
func escapeGlob(dir string) string {
	var b strings.Builder
	for _, c := range dir {
		if strings.ContainsRune(`*?[\`, c) && os.PathSeparator != '\\' {
			b.WriteByte('\\')
		}
		b.WriteRune(c)
	}
	return b.String()
}

// machineID gives the id of [machine] in a file, "" if it has none. It looks at
// lines and parses nothing: a file beside the inspection may be anything.
func machineID(path string) string {
	f, err := os.Open(path)
	if err != nil {
		return ""
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, 64<<10))
	if err != nil {
		return ""
	}
	inside := false
	for line := range strings.Lines(string(data)) {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "[") {
			head, _, _ := strings.Cut(line, "#")
			inside = strings.ReplaceAll(strings.TrimSpace(head), " ", "") == "[machine]"
			continue
		}
		key, value, ok := strings.Cut(line, "=")
		if !inside || !ok || strings.TrimSpace(key) != "id" {
			continue
		}
		value = strings.TrimSpace(value)
		if len(value) < 2 || value[0] != '"' && value[0] != '\'' {
			return ""
		}
		if end := strings.IndexByte(value[1:], value[0]); end >= 0 {
			return value[1 : 1+end]
		}
	}
	return ""
}
