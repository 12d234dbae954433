package note

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"whyworn/facts/source"
	"whyworn/rules"
)

// corners is a picture of four coloured quarters, which tell how it lies.
func corners(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{250, 250, 250, 255}
			switch {
			case x < w/2 && y < h/2:
				c = color.RGBA{250, 0, 0, 255}
			case y < h/2:
				c = color.RGBA{0, 250, 0, 255}
			case x < w/2:
				c = color.RGBA{0, 0, 250, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

func jpegOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// withOrientation puts an EXIF segment with the tag into a JPEG.
func withOrientation(raw []byte, n uint16, order binary.ByteOrder) []byte {
	mark := "II*\x00"
	if order == binary.BigEndian {
		mark = "MM\x00*"
	}
	tiff := []byte(mark)
	put := func(v any) { tiff, _ = binary.Append(tiff, order, v) }
	put(uint32(8))
	put(uint16(1))
	put(uint16(0x0112))
	put(uint16(3))
	put(uint32(1))
	put(n)
	put(uint16(0))
	put(uint32(0))
	body := append([]byte("Exif\x00\x00"), tiff...)
	seg := append([]byte{0xff, 0xe1, byte((len(body) + 2) >> 8), byte(len(body) + 2)}, body...)
	return append(append(append([]byte{}, raw[:2]...), seg...), raw[2:]...)
}

// Where row 0 and column 0 of a stored picture lie when it is seen, by the value
// of the tag. Source: CIPA DC-008 (EXIF 2.3), 4.6.4, tag Orientation.
var seenSides = [9][2]string{1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
	5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"}}

// stored gives a seen picture as a camera stores it under a value of the tag.
func stored(seen *image.RGBA, n int) *image.RGBA {
	w, h := seen.Bounds().Dx(), seen.Bounds().Dy()
	rows, cols := h, w
	if n >= 5 {
		rows, cols = w, h
	}
	out := image.NewRGBA(image.Rect(0, 0, cols, rows))
	for r := range rows {
		for c := range cols {
			var x, y int
			for i, side := range seenSides[n] {
				at := [2]int{r, c}[i] // distance from that side
				switch side {
				case "top":
					y = at
				case "bottom":
					y = h - 1 - at
				case "left":
					x = at
				case "right":
					x = w - 1 - at
				}
			}
			out.SetRGBA(c, r, seen.RGBAAt(x, y))
		}
	}
	return out
}

// takeOne reads one photograph.
func takeOne(a *album, name string) Photograph {
	t := &taking{name: name}
	a.take([]*taking{t})
	return t.photo
}

func TestPhotographsStandUpright(t *testing.T) {
	seen := corners(64, 32)
	dir := t.TempDir()
	for n := 1; n <= 8; n++ {
		for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
			raw := withOrientation(jpegOf(t, stored(seen, n)), uint16(n), order)
			os.WriteFile(filepath.Join(dir, "p.jpg"), raw, 0o644)
			a := newAlbum(os.DirFS(dir))
			p := takeOne(a, "p.jpg")
			if len(a.ps) > 0 {
				t.Fatal(a.ps)
			}
			got, err := jpeg.Decode(bytes.NewReader(p.JPEG))
			if err != nil {
				t.Fatal(err)
			}
			if got.Bounds() != seen.Bounds() {
				t.Fatalf("orientation %d: %v, want %v", n, got.Bounds(), seen.Bounds())
			}
			for _, at := range []image.Point{{8, 8}, {56, 8}, {8, 24}, {56, 24}} {
				r, g, b, _ := got.At(at.X, at.Y).RGBA()
				want := seen.RGBAAt(at.X, at.Y)
				for i, d := range []int{int(r>>8) - int(want.R), int(g>>8) - int(want.G), int(b>>8) - int(want.B)} {
					if max(d, -d) > 30 {
						t.Fatalf("orientation %d at %v: channel %d is off by %d", n, at, i, d)
					}
				}
			}
		}
	}
}

func TestPhotographsAreShrunk(t *testing.T) {
	dir := t.TempDir()
	var b bytes.Buffer
	png.Encode(&b, corners(3000, 1000))
	os.WriteFile(filepath.Join(dir, "p.png"), b.Bytes(), 0o644)
	os.WriteFile(filepath.Join(dir, "p.jpg"), jpegOf(t, corners(1999, 4001)), 0o644)
	a := newAlbum(os.DirFS(dir))
	for name, want := range map[string][2]int{"p.png": {1400, 466}, "p.jpg": {666, 1333}} {
		if p := takeOne(a, name); [2]int{p.W, p.H} != want {
			t.Errorf("%s: %d by %d, want %v %v", name, p.W, p.H, want, a.ps)
		}
	}
}

// hugePNG says it has very many pixels, in 60 bytes.
func hugePNG(w, h uint32) []byte {
	out := []byte("\x89PNG\r\n\x1a\n")
	chunk := func(kind string, data []byte) {
		out = binary.BigEndian.AppendUint32(out, uint32(len(data)))
		from := len(out)
		out = append(append(out, kind...), data...)
		out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[from:]))
	}
	head := binary.BigEndian.AppendUint32(nil, w)
	head = binary.BigEndian.AppendUint32(head, h)
	chunk("IHDR", append(head, 8, 2, 0, 0, 0))
	chunk("IEND", nil)
	return out
}

func TestBadPhotographs(t *testing.T) {
	parent := t.TempDir()
	dir := filepath.Join(parent, "inspection")
	os.Mkdir(dir, 0o755)
	good := jpegOf(t, corners(80, 60))
	write := func(name string, raw []byte) {
		if err := os.WriteFile(filepath.Join(dir, name), raw, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	os.WriteFile(filepath.Join(parent, "secret.jpg"), good, 0o644)
	write("good.jpg", good)
	write("cut.jpg", good[:len(good)/2])
	write("text.jpg", []byte("not a picture"))
	write("empty.jpg", nil)
	write("vast.png", hugePNG(60000, 60000))
	write("many.png", hugePNG(20000, 20000))
	write("heavy.jpg", good)
	os.Truncate(filepath.Join(dir, "heavy.jpg"), maxPhotoBytes+1)
	os.Mkdir(filepath.Join(dir, "folder.jpg"), 0o755)
	os.Symlink("good.jpg", filepath.Join(dir, "link.jpg"))
	os.Symlink("../secret.jpg", filepath.Join(dir, "out.jpg"))
	os.Symlink(filepath.Join(parent, "secret.jpg"), filepath.Join(dir, "absolute.jpg"))
	syscall.Mkfifo(filepath.Join(dir, "pipe.jpg"), 0o644)
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()

	for name, want := range map[string]source.Code{
		"good.jpg": "", "./good.jpg": "", "link.jpg": "",
		"gone.jpg": PhotoMissing, "folder.jpg": PhotoMissing, "pipe.jpg": PhotoMissing,
		"cut.jpg": PhotoUnread, "text.jpg": PhotoUnread, "empty.jpg": PhotoUnread,
		"vast.png": PhotoTooBig, "many.png": PhotoTooBig, "heavy.jpg": PhotoTooBig,
		"../secret.jpg": rules.PhotoOutside, "/etc/hostname": rules.PhotoOutside, `..\secret.jpg`: rules.PhotoOutside,
		"out.jpg": rules.PhotoOutside, "absolute.jpg": rules.PhotoOutside,
	} {
		a := newAlbum(root.FS())
		p := takeOne(a, name)
		if want == "" {
			if len(a.ps) > 0 || p.JPEG == nil || p.Gap != "" {
				t.Errorf("%s: %v", name, a.ps)
			}
			continue
		}
		if len(a.ps) != 1 || a.ps[0].Code != want || !a.ps[0].Warning || p.JPEG != nil || p.Gap == "" {
			t.Errorf("%s: problems %v, gap %q; want one of %s", name, a.ps, p.Gap, want)
		}
	}
}

func FuzzOrientation(f *testing.F) {
	var b bytes.Buffer
	jpeg.Encode(&b, corners(8, 8), nil)
	f.Add(withOrientation(b.Bytes(), 6, binary.LittleEndian))
	f.Add(hugePNG(3, 3))
	f.Fuzz(func(t *testing.T, raw []byte) {
		if n := orientation(raw); n < 1 || n > 8 {
			t.Fatalf("orientation %d", n)
		}
	})
}
