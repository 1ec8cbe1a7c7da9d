package papers

import (
	"bytes"
	"context"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"
)

func TestMain(m *testing.M) {
	Serve()
	os.Exit(m.Run())
}

func fixture(t *testing.T, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// The pictures were drawn by other programs (testdata/SOURCE.md).
func TestCodesDrawnByOtherProgramsAreRead(t *testing.T) {
	for name, want := range map[string][]Code{
		"ean13.png":      {{"EAN-13", "4006381333931"}},
		"ean8.png":       {{"EAN-8", "96385074"}},
		"upca.png":       {{"UPC-A", "036000291452"}},
		"qr.png":         {{"QR", "https://example.org/doc/8841"}},
		"datamatrix.png": {{"Data Matrix", "010400638133393117270331"}},
		"pack.jpg":       {{"QR", "https://example.org/doc/8841"}, {"EAN-13", "4006381333931"}},
	} {
		r, _ := Read(context.Background(), name, fixture(t, name), Usual) // most hold no words; that fault is another test's
		if !slices.Equal(r.Codes, want) || r.Remark != "" {
			t.Errorf("%s: %v (%s), want %v", name, r.Codes, r.Remark, want)
		}
	}
}

// turned is the picture a quarter turn to the right, n times.
func turned(img image.Image, n int) image.Image {
	for range n {
		b := img.Bounds()
		out := image.NewGray(image.Rect(0, 0, b.Dy(), b.Dx()))
		for y := range b.Dy() {
			for x := range b.Dx() {
				out.Set(b.Dy()-1-y, x, img.At(b.Min.X+x, b.Min.Y+y))
			}
		}
		img = out
	}
	return img
}

func TestACodeIsReadAtEveryQuarterTurn(t *testing.T) {
	for _, name := range []string{"ean13.png", "qr.png", "datamatrix.png"} {
		img, err := png.Decode(bytes.NewReader(fixture(t, name)))
		if err != nil {
			t.Fatal(err)
		}
		for n := range 4 {
			var b bytes.Buffer
			if err := png.Encode(&b, turned(img, n)); err != nil {
				t.Fatal(err)
			}
			if s, err := look(bytes.NewReader(b.Bytes())); err != nil || len(s.Codes) != 1 {
				t.Errorf("%s after %d quarter turns: %v, %v", name, n, s.Codes, err)
			}
		}
	}
}

// noise is a picture of side by side random px, 16 bit each of four colours: the
// dearest kind to decode. Its codes are chance.
func noise(side int) *image.NRGBA64 {
	img := image.NewNRGBA64(image.Rect(0, 0, side, side))
	random := rand.New(rand.NewPCG(4, 4))
	for i := 0; i+8 <= len(img.Pix); i += 8 {
		binary.LittleEndian.PutUint64(img.Pix[i:], random.Uint64())
	}
	return img
}

func TestNoiseAndWordsHoldNoCode(t *testing.T) {
	words := image.NewGray(image.Rect(0, 0, 400, 120))
	for i := range words.Pix {
		words.Pix[i] = 255
	}
	bars(words, "FFP2")
	for name, img := range map[string]image.Image{"noise": noise(500), "words": words, "one px": noise(1), "a line": image.NewGray(image.Rect(0, 0, 1, 900))} {
		var b bytes.Buffer
		if err := png.Encode(&b, img); err != nil {
			t.Fatal(err)
		}
		if s, err := look(bytes.NewReader(b.Bytes())); err != nil || len(s.Codes) > 0 || len(s.Preview) == 0 {
			t.Errorf("%s: %v, %v, preview of %d bytes", name, s.Codes, err, len(s.Preview))
		}
	}
}

// blank is a picture of one colour that takes no memory itself, so that the peak
// of this test's children is theirs.
type blank struct {
	side int
	c    color.Color
	m    color.Model
}

func (b blank) ColorModel() color.Model { return b.m }
func (b blank) Bounds() image.Rectangle { return image.Rect(0, 0, b.side, b.side) }
func (b blank) At(int, int) color.Color { return b.c }

// The largest pictures that are let in: what cannot be decoded within the limits
// ends the child, and the parent keeps a remark.
func TestTheLargestPicturesStayWithinTheLimits(t *testing.T) {
	if testing.Short() {
		t.Skip("draws pictures of 40 million px")
	}
	const side = 6300 // 39.7 million px
	for _, c := range []struct {
		name string
		img  image.Image
		jpeg bool
		fits bool
	}{
		{"grey", blank{side, color.Gray{90}, color.GrayModel}, false, true},
		{"jpeg", blank{side, color.RGBA{9, 99, 200, 255}, color.RGBAModel}, true, true},
		{"four colours of 16 bit", blank{side, color.NRGBA64{9, 9, 9, 9}, color.NRGBA64Model}, false, false}, // 318 MB decoded
	} {
		var b bytes.Buffer
		var err error
		if c.jpeg {
			err = jpeg.Encode(&b, c.img, nil)
		} else {
			err = png.Encode(&b, c.img)
		}
		if err != nil {
			t.Fatal(err)
		}
		r := Reading{Kind: Picture}
		start := time.Now()
		r.picture(context.Background(), c.name, b.Bytes(), Usual)
		took := time.Since(start)
		t.Logf("%-24s %8v preview %d bytes, largest child so far %d MB %s", c.name, took.Round(time.Millisecond), len(r.Preview), childPeak(t)>>20, r.Remark)
		if (r.Preview != nil) != c.fits || (r.Remark == "") != c.fits || took > Usual.Time+2*time.Second {
			t.Errorf("%s: preview %d bytes, remark %q after %v", c.name, len(r.Preview), r.Remark, took)
		}
	}
	if peak := childPeak(t); peak > int64(Usual.MemoryBytes) {
		t.Errorf("a child had %d MB in use", peak>>20)
	}
}

func TestAPreviewHoldsPixelsAlone(t *testing.T) {
	raw := fixture(t, "pack.jpg")
	secret := "Exif\x00\x00 taken at 48.1 N 11.5 E by somebody"
	segment := append([]byte{0xff, 0xe1, 0, byte(len(secret) + 2)}, secret...)
	raw = slices.Concat(raw[:2], segment, raw[2:], []byte("PK\x03\x04 a zip behind"))
	before := bytes.Clone(raw)
	r := Reading{Kind: Picture}
	r.picture(context.Background(), "pack.jpg", raw, Usual)
	c, err := jpeg.DecodeConfig(bytes.NewReader(r.Preview))
	if err != nil || max(c.Width, c.Height) != previewSide {
		t.Fatalf("%+v, %v, %s", c, err, r.Remark)
	}
	for _, s := range []string{"Exif", "somebody", "PK\x03\x04"} {
		if bytes.Contains(r.Preview, []byte(s)) {
			t.Errorf("the preview holds %q", s)
		}
	}
	if !bytes.Equal(before, raw) {
		t.Error("the file's bytes were changed")
	}
}

func TestAProgramThatDoesNotServeIsNotStartedAgain(t *testing.T) {
	answers = false
	defer func() { answers = true }()
	r := Reading{Kind: Picture}
	r.picture(context.Background(), "qr.png", fixture(t, "qr.png"), Usual)
	if r.Codes != nil || r.Remark == "" {
		t.Errorf("%+v", r)
	}
}

// By hand: a half-transparent black px on white is grey; two black and two white
// px make the same grey.
func TestAShrunkPictureIsTheMeanOnWhite(t *testing.T) {
	img := image.NewNRGBA(image.Rect(5, 5, 9, 7)) // its corner is not at 0, 0
	for y := 5; y < 7; y++ {
		img.Set(5, y, color.NRGBA{A: 255})
		img.Set(6, y, color.White)
		img.Set(7, y, color.NRGBA{A: 128})
		img.Set(8, y, color.NRGBA{A: 128})
	}
	got := shrunk(img, 2)
	if got.Rect != image.Rect(0, 0, 2, 1) {
		t.Fatal(got.Rect)
	}
	for x := range 2 {
		if c := got.RGBAAt(x, 0); c.R < 126 || c.R > 128 || c.R != c.G || c.G != c.B || c.A != 255 {
			t.Errorf("px %d is %v", x, c)
		}
	}
}

// childPeak is the largest memory in bytes that a child of this test had in use.
func childPeak(t *testing.T) int64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_CHILDREN, &u); err != nil {
		t.Fatal(err)
	}
	return u.Maxrss << 10
}
