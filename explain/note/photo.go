package note

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"image"
	"image/jpeg"
	_ "image/png" // one of the two formats read
	"io"
	"io/fs"
	"path"
	"runtime"
	"strings"
	"sync"

	"whyworn/facts/source"
	"whyworn/rules"
)

// Codes of photographs that a note cannot show.
var (
	PhotoMissing = source.Declare("photo-missing", "a photograph that the inspection names cannot be opened")
	PhotoTooBig  = source.Declare("photo-too-large", "a photograph has more bytes or more pixels than is read")
	PhotoUnread  = source.Declare("photo-unreadable", "a photograph is no JPEG or PNG, or is damaged")
)

const (
	longestSide   = 1400     // pixels, in the note
	maxPhotoBytes = 40 << 20 // of one file
	maxPixels     = 50 << 20 // of one picture, 52 megapixels: some 400 MB at the worst, as a PNG of 16 bits
	maxSide       = 30000    // pixels
	jpegQuality   = 82
)

// album reads photographs: several at once, as long as they are not too large together.
type album struct {
	folder fs.FS
	digest hash.Hash // over names and bytes of all files
	ps     source.Problems
	room   budget
}

func newAlbum(folder fs.FS) *album {
	a := &album{folder: folder, digest: sha256.New()}
	a.room.free = maxPixels
	a.room.more = sync.NewCond(&a.room.Mutex)
	return a
}

// taking is a photograph to be read, and what came of it.
type taking struct {
	name    string
	at      source.Span
	photo   Photograph
	problem *source.Problem
	digest  string // a line for the digest of all
	number  int    // of all that are taken, from 0
	of      int
}

// take reads photographs. Each gap comes with one problem; the order is that of the list.
func (a *album) take(list []*taking) {
	var wait sync.WaitGroup
	next := make(chan *taking)
	for range min(len(list), runtime.GOMAXPROCS(0), 4) {
		wait.Go(func() {
			for t := range next {
				a.one(t)
			}
		})
	}
	for i, t := range list {
		t.number, t.of = i, len(list)
		next <- t
	}
	close(next)
	wait.Wait()
	for _, t := range list {
		a.ps.Add(t.problem)
		io.WriteString(a.digest, t.digest)
	}
}

// budget is how many pixels may be held at once: one photograph of the largest size,
// or several smaller ones.
type budget struct {
	sync.Mutex
	free int
	more *sync.Cond
}

func (b *budget) take(n int) {
	b.Lock()
	for b.free < n {
		b.more.Wait()
	}
	b.free -= n
	b.Unlock()
}

func (b *budget) give(n int) {
	b.Lock()
	b.free += n
	b.Unlock()
	b.more.Broadcast()
}

// one reads one photograph.
func (a *album) one(t *taking) {
	name := t.name
	p := &t.photo
	p.File = name
	gap := func(code source.Code, why, hint string) {
		p.Gap = why
		t.problem = &source.Problem{Code: code, At: t.at, Message: fmt.Sprintf("the photograph %q %s", name, why), Hints: []string{hint}, Warning: true}
		t.digest = fmt.Sprintf("%q %s\n", name, why)
	}
	clean := path.Clean(strings.ReplaceAll(name, `\`, "/"))
	switch {
	case a.folder == nil:
		gap(PhotoMissing, "cannot be looked up: the inspection did not come from a folder", "give the inspection as a file beside its photographs")
		return
	case !fs.ValidPath(clean):
		gap(rules.PhotoOutside, "lies outside the inspection's folder and is not read", "copy it beside the inspection")
		return
	}
	raw, err := a.read(clean)
	switch {
	case errors.Is(err, errTooLarge):
		gap(PhotoTooBig, fmt.Sprintf("is larger than %d MB and is not read", maxPhotoBytes>>20), "save a smaller copy of it under the same name")
		return
	case errors.Is(err, fs.ErrNotExist):
		gap(PhotoMissing, "is not there", "put it into the inspection's folder, or take its name out")
		return
	case err != nil:
		// os.Root says "path escapes from parent" of a link that leads out.
		if strings.Contains(err.Error(), "escapes") {
			gap(rules.PhotoOutside, "lies outside the inspection's folder and is not read", "copy it beside the inspection")
			return
		}
		gap(PhotoMissing, "cannot be opened", "see whether it is a file that you may read")
		return
	}
	digest := fmt.Sprintf("%q %x\n", name, sha256.Sum256(raw))
	cfg, format, err := image.DecodeConfig(bytes.NewReader(raw))
	switch {
	case err != nil || format != "jpeg" && format != "png":
		gap(PhotoUnread, "is no JPEG or PNG", "save it as JPEG")
		return
	case cfg.Width > maxSide || cfg.Height > maxSide || cfg.Width*cfg.Height > maxPixels:
		gap(PhotoTooBig, fmt.Sprintf("is %d by %d pixels, more than is read", cfg.Width, cfg.Height), "save a smaller copy of it under the same name")
		return
	}
	pixels := cfg.Width * cfg.Height
	a.room.take(pixels)
	defer a.room.give(pixels)
	img, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		gap(PhotoUnread, "is damaged or cut short", "copy it from the camera once more")
		return
	}
	turn := orientation(raw)
	small := ofItsOwnWidth(turned(shrunk(img, longestSide), turn), t.number, t.of)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, small, &jpeg.Options{Quality: jpegQuality}); err != nil {
		gap(PhotoUnread, "cannot be made smaller", "save it as JPEG")
		return
	}
	p.JPEG, p.W, p.H = out.Bytes(), small.Bounds().Dx(), small.Bounds().Dy()
	t.digest = digest
}

var errTooLarge = errors.New("too large")

func (a *album) read(name string) ([]byte, error) {
	// Looked at before it is opened: opening a pipe would wait for a writer.
	info, err := fs.Stat(a.folder, name)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, fs.ErrInvalid
	case info.Size() > maxPhotoBytes:
		return nil, errTooLarge
	}
	f, err := a.folder.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, maxPhotoBytes+1))
	if err == nil && len(raw) > maxPhotoBytes {
		err = errTooLarge
	}
	return raw, err
}
