package papers

import (
	"image"
	"slices"
	"strings"
	"time"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/datamatrix"
	"github.com/makiuchi-d/gozxing/multi/qrcode"
	"github.com/makiuchi-d/gozxing/oned"
)

// Code is a barcode and what it says.
type Code struct {
	Kind string `json:"kind"` // EAN-13, EAN-8, UPC-A, QR, Data Matrix
	Text string `json:"text"`
}

const (
	mostCodes = 20
	mostText  = 8 << 10 // bytes; more than the largest of these codes holds
)

var kinds = map[gozxing.BarcodeFormat]string{
	gozxing.BarcodeFormat_EAN_13: "EAN-13", gozxing.BarcodeFormat_EAN_8: "EAN-8", gozxing.BarcodeFormat_UPC_A: "UPC-A",
	gozxing.BarcodeFormat_QR_CODE: "QR", gozxing.BarcodeFormat_DATA_MATRIX: "Data Matrix",
}

// search looks for codes in one picture after another until the time is over.
type search struct {
	until time.Time
	found []Code
	size  int          // of the picture at hand
	first map[Code]int // bars, and the size they were first read in
}

// findCodes gives the codes of one picture that is there in several sizes. Bars are
// looked for along both axes; a square code may stand at any turn. Bars of
// noise are now and then read as a number whose check digit holds, so a number in bars counts
// once it was read in two of the sizes.
func findCodes(sizes []*image.Gray, until time.Time) []Code {
	s := &search{until: until, first: map[Code]int{}}
	for round := range 2 {
		for i, g := range sizes {
			s.size = i
			parts := []*image.Gray{g}
			if round > 0 {
				parts = windows(g) // codes beside others, or off the middle
			}
			for _, part := range parts {
				s.squares(part)
				s.bars(part)
			}
		}
	}
	return s.found
}

var hints = map[gozxing.DecodeHintType]any{
	gozxing.DecodeHintType_TRY_HARDER:       true,
	gozxing.DecodeHintType_POSSIBLE_FORMATS: []gozxing.BarcodeFormat{gozxing.BarcodeFormat_EAN_13, gozxing.BarcodeFormat_EAN_8, gozxing.BarcodeFormat_UPC_A},
}

func (s *search) bars(g *image.Gray) {
	s.try(g, func(b *gozxing.BinaryBitmap) ([]*gozxing.Result, error) {
		r, err := oned.NewMultiFormatUPCEANReader(hints).Decode(b, hints)
		return []*gozxing.Result{r}, err
	})
}

func (s *search) squares(g *image.Gray) {
	s.try(g, func(b *gozxing.BinaryBitmap) ([]*gozxing.Result, error) {
		return qrcode.NewQRCodeMultiReader().DecodeMultiple(b, hints)
	})
	s.try(g, func(b *gozxing.BinaryBitmap) ([]*gozxing.Result, error) {
		r, err := datamatrix.NewDataMatrixReader().Decode(b, hints)
		return []*gozxing.Result{r}, err
	})
}

// try runs one reader. A reader's own panic on a strange picture counts as nothing
// found.
func (s *search) try(g *image.Gray, read func(*gozxing.BinaryBitmap) ([]*gozxing.Result, error)) {
	if time.Now().After(s.until) {
		return
	}
	defer func() { _ = recover() }()
	b, err := gozxing.NewBinaryBitmap(gozxing.NewHybridBinarizer(gozxing.NewLuminanceSourceFromImage(g)))
	if err != nil {
		return
	}
	results, err := read(b)
	if err != nil {
		return
	}
	for _, r := range results {
		c := Code{kinds[r.GetBarcodeFormat()], strings.ToValidUTF8(r.GetText(), "\ufffd")}
		if c.Kind == "" || c.Text == "" || len(c.Text) > mostText || len(s.found) >= mostCodes || slices.Contains(s.found, c) {
			continue
		}
		if first, before := s.first[c]; !selfChecking(c.Kind) && (!before || first == s.size) {
			if !before {
				s.first[c] = s.size
			}
			continue
		}
		s.found = append(s.found, c)
	}
}

// selfChecking kinds mend and check each of their words, so one reading is enough.
func selfChecking(kind string) bool { return kind == "QR" || kind == "Data Matrix" }

// windows are nine parts of half the width and height each, overlapping by half.
func windows(g *image.Gray) []*image.Gray {
	w, h := g.Rect.Dx()/2, g.Rect.Dy()/2
	if w < 60 || h < 60 { // px: no code with its margin is smaller
		return nil
	}
	var out []*image.Gray
	for y := 0; y <= 2; y++ {
		for x := 0; x <= 2; x++ {
			corner := image.Pt(x*(g.Rect.Dx()-w)/2, y*(g.Rect.Dy()-h)/2)
			out = append(out, g.SubImage(image.Rectangle{corner, corner.Add(image.Pt(w, h))}).(*image.Gray))
		}
	}
	return out
}
