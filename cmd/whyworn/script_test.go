package main

import (
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"whyworn/testdata"
)

var update = flag.Bool("update", false, "rewrite the expected outputs in the scripts")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"whyworn": main})
}

// TestSessions runs each command as a person would; the scripts stand in
// testdata/script, named subject first.
func TestSessions(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       *update,
		Setup: func(e *testscript.Env) error {
			e.Setenv("SOURCE_DATE_EPOCH", "1795910400") // 2026-11-29: no session hangs on the clock
			return copyFS(filepath.Join(e.WorkDir, "station"), testdata.Station, "station")
		},
	})
}

// copyFS lays a folder of an embedded file system out on disk.
func copyFS(to string, from fs.FS, root string) error {
	return fs.WalkDir(from, root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		out := filepath.Join(to, rel)
		if d.IsDir() {
			return os.MkdirAll(out, 0o755)
		}
		data, err := fs.ReadFile(from, path)
		if err != nil {
			return err
		}
		return os.WriteFile(out, data, 0o644)
	})
}
