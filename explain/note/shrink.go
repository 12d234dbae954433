package note

import (
	"image"
	"image/color"

	"golang.org/x/image/draw"
)

// shrunk gives the picture with no side longer than most. A large JPEG is shrunk by
// whole steps, each pixel the mean of those it stands for, on its own planes: many
// times faster than a filter over colours, and all that is lost is some hundred
// pixels of the side.
func shrunk(img image.Image, most int) *image.RGBA {
	b := img.Bounds()
	long := max(b.Dx(), b.Dy())
	if y, ok := img.(*image.YCbCr); ok && long > 2*most {
		return boxed(y, (long+most-1)/most)
	}
	w, h := b.Dx(), b.Dy()
	if long > most {
		w, h = max(1, w*most/long), max(1, h*most/long)
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	// Clear parts of a PNG are shown on white.
	draw.Draw(out, out.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.BiLinear.Scale(out, out.Bounds(), img, b, draw.Over, nil)
	return out
}

// boxed averages squares of n by n pixels.
func boxed(img *image.YCbCr, n int) *image.RGBA {
	b := img.Bounds()
	w, h := max(1, b.Dx()/n), max(1, b.Dy()/n)
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	y := boxedPlane(img.Y, img.YStride, b.Dx(), b.Dy(), n, 1, 1, w, h)
	sx, sy := subsampling(img.SubsampleRatio)
	cw, ch := (b.Dx()+sx-1)/sx, (b.Dy()+sy-1)/sy
	cb := boxedPlane(img.Cb, img.CStride, cw, ch, n, sx, sy, w, h)
	cr := boxedPlane(img.Cr, img.CStride, cw, ch, n, sx, sy, w, h)
	for i := range y {
		r, g, bl := color.YCbCrToRGB(y[i], cb[i], cr[i])
		o := out.Pix[4*i : 4*i+4]
		o[0], o[1], o[2], o[3] = r, g, bl, 255
	}
	return out
}

// boxedPlane averages a plane of pw by ph samples, each of which stands for sx by
// sy pixels, into w by h samples of n by n pixels.
func boxedPlane(plane []uint8, stride, pw, ph, n, sx, sy, w, h int) []uint8 {
	out := make([]uint8, w*h)
	from, to := make([]int, w), make([]int, w)
	for x := range w {
		from[x], to[x] = span(x, n, sx, pw)
	}
	columns := make([]uint32, pw) // sums down the rows of one sample, told across at once
	for y := range h {
		clear(columns)
		top, end := span(y, n, sy, ph)
		for row := top; row < end; row++ {
			line := plane[row*stride : row*stride+pw]
			for i, v := range line {
				columns[i] += uint32(v)
			}
		}
		for x := range w {
			s := uint32(0)
			for _, c := range columns[from[x]:to[x]] {
				s += c
			}
			d := uint32((to[x] - from[x]) * (end - top))
			out[y*w+x] = uint8((s + d/2) / d)
		}
	}
	return out
}

// span is the samples, of s pixels each, under the n pixels of sample i: at least
// one, and none past the end.
func span(i, n, s, end int) (from, to int) {
	from = min(i*n/s, end-1)
	return from, max(from+1, min((i+1)*n/s, end))
}

func subsampling(r image.YCbCrSubsampleRatio) (x, y int) {
	switch r {
	case image.YCbCrSubsampleRatio422:
		return 2, 1
	case image.YCbCrSubsampleRatio420:
		return 2, 2
	case image.YCbCrSubsampleRatio440:
		return 1, 2
	case image.YCbCrSubsampleRatio411:
		return 4, 1
	case image.YCbCrSubsampleRatio410:
		return 4, 2
	}
	return 1, 1
}

// ofItsOwnWidth makes picture i of n a few pixels smaller, so that no two of
// them are equally wide: the PDF library orders pictures by width and leaves
// equals to chance, and a note has to come out the same to the byte.
func ofItsOwnWidth(img *image.RGBA, i, n int) *image.RGBA {
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	less := (w - i%n + n) % n // w - less leaves the rest i when divided by n
	if n < 2 || less == 0 || less >= w {
		return img
	}
	out := image.NewRGBA(image.Rect(0, 0, w-less, max(1, h*(w-less)/w)))
	draw.ApproxBiLinear.Scale(out, out.Bounds(), img, img.Bounds(), draw.Src, nil) // so few pixels less need no filter
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
