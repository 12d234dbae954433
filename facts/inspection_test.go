package facts_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/facts/written"
)

const strippedSeat = `
machine = "station-twin"
number = "engine 2"
date = 2026-11-12
by = "the fitter"
hours = "2310 h"
k = 1.65
stripped = ["rocker gear"]
order = [["feed.choked", "seat_2ex.overheated"]]
clip = "missing"
[tools]
mic = { is = "micrometer 0-25 mm", u = "0.002 mm", checked = 2026-03-03 }
[[work]]
when = 2025-03-12
did = "joint_remade"
on = "pedestal"
joint_with = "sealant"
[[work]]
id = "service"
left_out = "oil"
[before]
oil = "none"
[seat]
all = { rust = "no" }
1in = { tint = { is = "blue", by = "eye", where = "far end", photo = "1.jpg", sure = "yes", repeats = 3 } }
[[part]]
kind = "break"
id = "break_1"
refs = { of = "arm_1ex" }
[[remark]]
of = "arm_1ex"
text = "nick"
[[photo]]
file = "2.jpg"
[[decision]]
of = "arm_1ex"
verdict = "replace"
[confirmed]
causes = ["feed.choked"]
[[earlier]]
when = 2025-01-05
of = "arm_1ex"
property = "play"
value = "0.04 mm"
`

// TestInspection: all that an inspection can hold comes as it was written.
func TestInspection(t *testing.T) {
	in, ps := facts.ParseInspection(source.NewFile("i.toml", []byte(strippedSeat)), false)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	for _, c := range []struct {
		what string
		ok   bool
	}{
		{"head", in.Machine.Text == "station-twin" && in.Number == "engine 2" && in.Date.Text == "2026-11-12" && in.Hours.Text == "2310 h" && in.K.Text == "1.65"},
		{"tools", len(in.Tools) == 1 && in.Tools[0].Name.Text == "mic" && in.Tools[0].U.Text == "0.002 mm" && in.Tools[0].Checked == "2026-03-03"},
		{"work", len(in.Work) == 2 && in.Work[0].ID.Text == "work_1" && in.Work[1].ID.Text == "service" && in.Work[0].On[0].Text == "pedestal"},
		{"more of work", len(in.Work[0].More) == 1 && in.Work[0].More[0].Property.Text == "joint_with" && in.Work[0].More[0].Value.Text == "sealant"},
		{"tables", len(in.Tables) == 2 && in.Tables[0].Name == "clip" && in.Tables[0].Value.Kind == written.String && in.Tables[1].Name == "seat"},
		{"before", in.Before.Get("oil").Text == "none"},
		{"part", len(in.Parts) == 1 && in.Parts[0].Refs[0].To[0].Text == "arm_1ex"},
		{"remark, photo, decision", in.Remarks[0].Text == "nick" && in.Photos[0].File.Text == "2.jpg" && in.Decisions[0].Verdict.Text == "replace"},
		{"confirmed, order", in.Confirmed.Causes[0].Text == "feed.choked" && in.Orders[0][1].Text == "seat_2ex.overheated"},
		{"earlier", in.Earlier[0].When == "2025-01-05" && in.Earlier[0].Value.Text == "0.04 mm"},
	} {
		if !c.ok {
			t.Errorf("%s: %+v", c.what, in)
		}
	}
	a := facts.ReadAnswer(in.Tables[1].Value.Get("1in").Get("tint"), &ps)
	if len(ps) > 0 || a.Is.Text != "blue" || a.By != "eye" || a.Where != "far end" || a.Photo != "1.jpg" || a.Sure != "yes" || a.Repeats != 3 {
		t.Errorf("answer %+v %v", a, ps)
	}
}

func write(t *testing.T, dir, name, text string) string {
	t.Helper()
	path := filepath.Join(dir, name)
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestFindMachine: the file of that name, else the one of that id, machine.toml
// first; what is no machine file beside it does not matter.
func TestFindMachine(t *testing.T) {
	dir := t.TempDir()
	at := write(t, dir, "inspection.toml", "machine = \"twin\"\n[machine]\nid = \"twin\"\n")
	write(t, dir, "noise.toml", "[machine\nid = twin\n\x00")
	find := func(name string) string {
		f, p := facts.FindMachine(at, name)
		if p != nil {
			return string(p.Code)
		}
		return filepath.Base(f.Name)
	}
	expect := func(name, want string) {
		t.Helper()
		if got := find(name); got != want {
			t.Errorf("%s: found %s, not %s", name, got, want)
		}
	}
	expect("twin", "no-machine-file")
	write(t, dir, "a.toml", "# a machine\n[machine] # of ours\nname = \"x\"\nid   = 'twin' # its id\n[stations]\nid = \"other\"\n")
	expect("twin", "a.toml")
	expect("other", "no-machine-file")
	write(t, dir, "b.toml", "[machine]\nid = \"twin\"\n")
	expect("twin", "two-machine-files")
	write(t, dir, "machine.toml", "[machine]\nid = \"twin\"\n")
	expect("twin", "machine.toml")
	write(t, dir, "twin.toml", "[machine]\nid = \"something else\"\n")
	expect("twin", "twin.toml")
	expect("../twin", "no-machine-file")
	expect("", "no-machine-file")
}

// TestFindMachineOddFolder: a folder's name is no pattern.
func TestFindMachineOddFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "engine [2] *")
	if err := os.Mkdir(dir, 0o777); err != nil {
		t.Skip("the system does not take such a name")
	}
	write(t, dir, "m.toml", "[machine]\nid = \"twin\"\n")
	if f, p := facts.FindMachine(filepath.Join(dir, "i.toml"), "twin"); p != nil || filepath.Base(f.Name) != "m.toml" {
		t.Errorf("%v %v", f, p)
	}
}

// TestReadFiles: TOML or JSON by the ending.
func TestReadFiles(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"i.toml": "machine = \"m\"\n[seat]\n1in = { tint = \"blue\" }\n",
		"i.json": `{"machine": "m", "seat": {"1in": {"tint": "blue"}}}`,
		"I.JSON": `{"machine": "m", "seat": {"1in": {"tint": "blue"}}}`,
	} {
		in, ps := facts.ReadInspectionFile(write(t, dir, name, text))
		if len(ps) > 0 || in.Tables[0].Value.Get("1in").Get("tint").Text != "blue" {
			t.Errorf("%s: %v", name, ps)
		}
	}
	in, ps := facts.ReadInspectionFile(filepath.Join(dir, "none.toml"))
	if in != nil || len(ps) != 1 || ps[0].Code != source.NoSuchFile || !strings.Contains(ps[0].Error(), "none.toml") {
		t.Errorf("a missing file: %v", ps)
	}
}

// TestStandardInput: "-" is TOML, or JSON when it begins with a brace.
func TestStandardInput(t *testing.T) {
	old := os.Stdin
	defer func() { os.Stdin = old }()
	for _, text := range []string{"machine = \"m\"\n[seat]\n", " \n{\"machine\": \"m\", \"seat\": {}}"} {
		f, err := os.Open(write(t, t.TempDir(), "in", text))
		if err != nil {
			t.Fatal(err)
		}
		os.Stdin = f
		in, ps := facts.ReadInspectionFile("-")
		f.Close()
		if len(ps) > 0 || in == nil || in.Machine.Text != "m" {
			t.Errorf("%q: %v", text, ps)
		}
	}
}

func FuzzInspection(f *testing.F) {
	f.Add(strippedSeat, false)
	f.Add(`{"machine": "m", "order": [["a.b", "c.d"]], "seat": {"all": {"tint": {"is": "?"}}}}`, true)
	f.Fuzz(func(t *testing.T, text string, isJSON bool) {
		in, ps := facts.ParseInspection(source.NewFile("i", []byte(text)), isJSON)
		if in == nil && len(ps) == 0 {
			t.Fatal("neither inspection nor problem")
		}
		for _, p := range ps {
			if p.Message == "" || p.Code == "" {
				t.Fatalf("a problem that says nothing: %+v", p)
			}
		}
	})
}
