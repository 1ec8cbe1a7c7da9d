package papers

import (
	"bufio"
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"runtime"
	"time"
)

const (
	previewSide = 1200            // px of the longer side of a preview
	quality     = 82              // of the preview's JPEG
	searchTime  = 4 * time.Second // after which no further place is searched for codes
)

// codeSides are the sizes in px at which codes are looked for: a fine code needs
// the large one, a noisy photograph the small ones.
var codeSides = []int{1800, 900, 450}

// secondLook is the size, as a share, of a further copy of each: a number in bars
// has to be read twice.
const secondLook = 0.87

// look reads a picture: a preview of its pixels alone, and its codes. It runs in
// the child.
func look(r io.ReadSeeker) (seen, error) {
	img, _, err := image.Decode(bufio.NewReader(r))
	if err != nil {
		return seen{}, fmt.Errorf("the picture cannot be decoded: %w", err)
	}
	until := time.Now().Add(searchTime)
	small := shrunk(img, codeSides[0])
	img = nil // the search needs its memory
	runtime.GC()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, shrunk(small, previewSide), &jpeg.Options{Quality: quality}); err != nil {
		return seen{}, fmt.Errorf("draw the preview: %w", err)
	}
	var greys []*image.Gray
	last := 0
	for _, side := range codeSides {
		small = shrunk(small, side)
		if long := max(small.Rect.Dx(), small.Rect.Dy()); long != last {
			greys, last = append(greys, greyOf(small), greyOf(shrunk(small, max(1, int(secondLook*float64(long)))))), long
		}
	}
	return seen{findCodes(greys, until), b.Bytes()}, nil
}

// shrunk is the picture on white, its longer side at most so many px. Each px is
// the mean of up to four by four of the picture's, spread evenly over its square.
func shrunk(img image.Image, side int) *image.RGBA {
	from := img.Bounds()
	w, h := from.Dx(), from.Dy()
	if long := max(w, h); long > side {
		w, h = max(1, w*side/long), max(1, h*side/long)
	}
	at := pixels(img)
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		ys := samples(from.Min.Y, from.Dy(), y, h)
		for x := range w {
			out.SetRGBA(x, y, mean(at, samples(from.Min.X, from.Dx(), x, w), ys))
		}
	}
	return out
}

// samples are the places of the picture, on one axis, that make up px i of n.
func samples(start, size, i, n int) []int {
	a, b := i*size/n, (i+1)*size/n
	const most = 4
	var out [most]int
	k := min(most, max(1, b-a))
	for j := range k {
		out[j] = start + min(size-1, a+(2*j+1)*(b-a)/(2*k))
	}
	return out[:k]
}

// mean is the mean colour of the places, laid on white.
func mean(at func(x, y int) color.RGBA64, xs, ys []int) color.RGBA {
	var r, g, b uint64
	for _, y := range ys {
		for _, x := range xs {
			c := at(x, y)
			white := uint64(0xffff - c.A) // colours are premultiplied
			r, g, b = r+uint64(c.R)+white, g+uint64(c.G)+white, b+uint64(c.B)+white
		}
	}
	n := uint64(len(xs)*len(ys)) * 0x101
	return color.RGBA{uint8(r / n), uint8(g / n), uint8(b / n), 0xff}
}

// pixels gives the colour at a place, without making a value on the heap for it
// where the picture can.
func pixels(img image.Image) func(x, y int) color.RGBA64 {
	if fast, can := img.(image.RGBA64Image); can {
		return fast.RGBA64At
	}
	return func(x, y int) color.RGBA64 {
		r, g, b, a := img.At(x, y).RGBA()
		return color.RGBA64{R: uint16(r), G: uint16(g), B: uint16(b), A: uint16(a)}
	}
}

func greyOf(img *image.RGBA) *image.Gray {
	out := image.NewGray(img.Rect)
	for i := range out.Pix {
		p := img.Pix[4*i:]
		out.Pix[i] = uint8((int(p[0]) + 2*int(p[1]) + int(p[2])) / 4)
	}
	return out
}
