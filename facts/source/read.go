package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// MaxSize is the largest file that is read, in bytes: 1 MiB. It is checked
// before any parser sees the content.
const MaxSize = 1 << 20

// Codes for files that cannot be read.
var (
	NoSuchFile = Declare("no-such-file", "a file that was named does not exist")
	IsFolder   = Declare("is-a-folder", "a folder was named where a file is needed")
	Unreadable = Declare("unreadable", "a file exists but could not be read")
	TooLarge   = Declare("too-large", "a file is larger than is read")
)

// ReadFile reads the file at path, which also becomes its name. The problem is
// nil when it could be read; then the file is not nil.
func ReadFile(path string) (*File, *Problem) {
	r, err := os.Open(path)
	if err != nil {
		return nil, openProblem(path, err, func() []fs.DirEntry {
			entries, _ := os.ReadDir(filepath.Dir(path))
			return entries
		})
	}
	defer r.Close()
	return readOpen(r, path)
}

// ReadFS reads the file at path in fsys (slashes, as io/fs has it) and gives it
// the name shown.
func ReadFS(fsys fs.FS, path, shown string) (*File, *Problem) {
	r, err := fsys.Open(path)
	if err != nil {
		return nil, openProblem(shown, err, func() []fs.DirEntry {
			entries, _ := fs.ReadDir(fsys, filepath.ToSlash(filepath.Dir(path)))
			return entries
		})
	}
	defer r.Close()
	return readOpen(r, shown)
}

func readOpen(r fs.File, name string) (*File, *Problem) {
	info, err := r.Stat()
	switch {
	case err != nil:
		return nil, unread(Unreadable, name, "cannot be read: %s", reason(err))
	case info.IsDir():
		return nil, unread(IsFolder, name, "is a folder, not a file").Hint("name a file inside it")
	case info.Mode().IsRegular() && info.Size() > MaxSize:
		return nil, tooLarge(name)
	}
	return ReadLimited(r, name)
}

// ReadLimited reads r to its end, at most [MaxSize] bytes, and calls it name.
func ReadLimited(r io.Reader, name string) (*File, *Problem) {
	data, err := readAll(io.LimitReader(r, MaxSize+1), sizeOf(r))
	switch {
	case err != nil:
		return nil, unread(Unreadable, name, "cannot be read: %s", reason(err))
	case len(data) > MaxSize:
		return nil, tooLarge(name)
	}
	if data == nil {
		data = []byte{}
	}
	return NewFile(name, data), nil
}

// sizeOf is how long r says it is, 0 if it does not.
func sizeOf(r io.Reader) int64 {
	if f, ok := r.(fs.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			return info.Size()
		}
	}
	return 0
}

// readAll reads r to its end, with room from the start for what it is likely to
// hold.
func readAll(r io.Reader, likely int64) ([]byte, error) {
	var out bytes.Buffer
	out.Grow(int(max(0, min(likely, MaxSize))) + bytes.MinRead) // which ReadFrom wants free at the end
	_, err := out.ReadFrom(r)
	return out.Bytes(), err
}

// CheckSize returns a problem when f is larger than [MaxSize]: for bytes that
// did not come through [ReadFile].
func (f *File) CheckSize() *Problem {
	if len(f.Data) > MaxSize {
		p := tooLarge(f.Name)
		p.At.File.order = f.order
		return p
	}
	return nil
}

func tooLarge(name string) *Problem {
	return unread(TooLarge, name, "is larger than %d KiB, the most that is read", MaxSize>>10).
		Hint("split it into smaller files")
}

// unread makes a problem about a whole file that has no text to show.
func unread(code Code, name, format string, args ...any) *Problem {
	return &Problem{Code: code, At: NewFile(name, nil).At(0, 0), Message: fmt.Sprintf(format, args...)}
}

func openProblem(name string, err error, folder func() []fs.DirEntry) *Problem {
	if !errors.Is(err, fs.ErrNotExist) {
		return unread(Unreadable, name, "cannot be read: %s", reason(err))
	}
	p := unread(NoSuchFile, name, "there is no such file")
	var names []string
	for _, entry := range folder() {
		names = append(names, entry.Name())
	}
	if near, ok := Nearest(filepath.Base(name), names); ok {
		p.Hint("did you mean %s?", filepath.Join(filepath.Dir(name), near))
	}
	return p
}

// reason returns the cause without the path, which the problem names already.
func reason(err error) string {
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		return pathErr.Err.Error()
	}
	return err.Error()
}
