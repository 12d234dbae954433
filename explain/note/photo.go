package note

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"image"
	"image/color"
	"image/jpeg"
	_ "image/png" // one of the two formats read
	"io"
	"io/fs"
	"path"
	"strings"

	"golang.org/x/image/draw"

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

// album reads photographs one at a time, so that only one is ever held whole.
type album struct {
	folder fs.FS
	digest hash.Hash // over names and bytes of all files
	ps     source.Problems
}

func newAlbum(folder fs.FS) *album { return &album{folder: folder, digest: sha256.New()} }

// take reads one photograph. A gap comes with one problem.
func (a *album) take(name string, at source.Span) Photograph {
	p := Photograph{File: name}
	gap := func(code source.Code, why, hint string) Photograph {
		p.Gap = why
		a.ps.Addf(code, at, "the photograph %q %s", name, why).Hint("%s", hint).Warn()
		fmt.Fprintf(a.digest, "%q %s\n", name, why)
		return p
	}
	clean := path.Clean(strings.ReplaceAll(name, `\`, "/"))
	switch {
	case a.folder == nil:
		return gap(PhotoMissing, "cannot be looked up: the inspection did not come from a folder", "give the inspection as a file beside its photographs")
	case !fs.ValidPath(clean):
		return gap(rules.PhotoOutside, "lies outside the inspection's folder and is not read", "copy it beside the inspection")
	}
	raw, err := a.read(clean)
	switch {
	case errors.Is(err, errTooLarge):
		return gap(PhotoTooBig, fmt.Sprintf("is larger than %d MB and is not read", maxPhotoBytes>>20), "save a smaller copy of it under the same name")
	case errors.Is(err, fs.ErrNotExist):
		return gap(PhotoMissing, "is not there", "put it into the inspection's folder, or take its name out")
	case err != nil:
		// os.Root says "path escapes from parent" of a link that leads out.
		if strings.Contains(err.Error(), "escapes") {
			return gap(rules.PhotoOutside, "lies outside the inspection's folder and is not read", "copy it beside the inspection")
		}
		return gap(PhotoMissing, "cannot be opened", "see whether it is a file that you may read")
	}
	fmt.Fprintf(a.digest, "%q %x\n", name, sha256.Sum256(raw))
	cfg, format, err := image.DecodeConfig(bytes.NewReader(raw))
	switch {
	case err != nil || format != "jpeg" && format != "png":
		return gap(PhotoUnread, "is no JPEG or PNG", "save it as JPEG")
	case cfg.Width > maxSide || cfg.Height > maxSide || cfg.Width*cfg.Height > maxPixels:
		return gap(PhotoTooBig, fmt.Sprintf("is %d by %d pixels, more than is read", cfg.Width, cfg.Height), "save a smaller copy of it under the same name")
	}
	img, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		return gap(PhotoUnread, "is damaged or cut short", "copy it from the camera once more")
	}
	turn := orientation(raw)
	raw = nil
	small := turned(shrunk(img, longestSide), turn)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, small, &jpeg.Options{Quality: jpegQuality}); err != nil {
		return gap(PhotoUnread, "cannot be made smaller", "save it as JPEG")
	}
	p.JPEG, p.W, p.H = out.Bytes(), small.Bounds().Dx(), small.Bounds().Dy()
	return p
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

// shrunk gives the picture with no side longer than most: first by whole steps,
// each pixel the mean of those it stands for, then by what is left.
func shrunk(img image.Image, most int) *image.RGBA {
	b := img.Bounds()
	if y, ok := img.(*image.YCbCr); ok {
		if n := max(b.Dx(), b.Dy()) / most; n > 1 {
			img = boxed(y, n)
			b = img.Bounds()
		}
	}
	w, h := b.Dx(), b.Dy()
	if long := max(w, h); long > most {
		w, h = max(1, w*most/long), max(1, h*most/long)
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	// Clear parts of a PNG are shown on white.
	draw.Draw(out, out.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.BiLinear.Scale(out, out.Bounds(), img, b, draw.Over, nil)
	return out
}

// boxed averages squares of n by n pixels of a JPEG's own planes, which is much
// faster than a filter over colours.
func boxed(y *image.YCbCr, n int) image.Image {
	b := y.Bounds()
	w, h := b.Dx()/n, b.Dy()/n
	if w == 0 || h == 0 {
		return y
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	half := n * n / 2
	for py := range h {
		for px := range w {
			var sy, sb, sr int
			for dy := range n {
				line := b.Min.Y + py*n + dy
				at := y.YOffset(b.Min.X+px*n, line)
				for dx := range n {
					sy += int(y.Y[at+dx])
					c := y.COffset(b.Min.X+px*n+dx, line)
					sb += int(y.Cb[c])
					sr += int(y.Cr[c])
				}
			}
			d := n * n
			r, g, bl := color.YCbCrToRGB(uint8((sy+half)/d), uint8((sb+half)/d), uint8((sr+half)/d))
			o := out.PixOffset(px, py)
			out.Pix[o], out.Pix[o+1], out.Pix[o+2], out.Pix[o+3] = r, g, bl, 255
		}
	}
	return out
}

// turned gives the picture upright by its EXIF orientation, 1 to 8.
func turned(img *image.RGBA, orientation int) *image.RGBA {
	if orientation < 2 || orientation > 8 {
		return img
	}
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	ow, oh := w, h
	if orientation >= 5 {
		ow, oh = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, ow, oh))
	for y := range oh {
		for x := range ow {
			var sx, sy int // the pixel that belongs here
			switch orientation {
			case 2: // mirrored
				sx, sy = w-1-x, y
			case 3: // upside down
				sx, sy = w-1-x, h-1-y
			case 4: // mirrored, upside down
				sx, sy = x, h-1-y
			case 5: // mirrored along the diagonal
				sx, sy = y, x
			case 6: // lies on its left side: turn it clockwise
				sx, sy = y, h-1-x
			case 7: // mirrored along the other diagonal
				sx, sy = w-1-y, h-1-x
			case 8: // lies on its right side: turn it anticlockwise
				sx, sy = w-1-y, x
			}
			copy(out.Pix[out.PixOffset(x, y):][:4], img.Pix[img.PixOffset(sx, sy):][:4])
		}
	}
	return out
}
