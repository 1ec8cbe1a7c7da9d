package papers

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os/exec"
	"strings"
	"testing"
	"time"

	"telltale/fault"
)

// pdf writes a one-page PDF with a line of text, after the general form of the
// file format: header, objects, cross-reference table, trailer.
func pdf(text string) []byte {
	stream := fmt.Sprintf("BT /F1 24 Tf 40 100 Td (%s) Tj ET", text)
	return pdfOf([]string{
		"<< /Type /Catalog /Pages 2 0 R >>",
		"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
		"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 600 200] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>",
		fmt.Sprintf("<< /Length %d >>\nstream\n%s\nendstream", len(stream), stream),
		"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
	}, "")
}

func pdfOf(objects []string, size string) []byte {
	var b bytes.Buffer
	b.WriteString("%PDF-1.4\n")
	var at []int
	for i, o := range objects {
		at = append(at, b.Len())
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	start := b.Len()
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(objects)+1)
	for _, a := range at {
		fmt.Fprintf(&b, "%010d 00000 n \n", a)
	}
	if size == "" {
		size = fmt.Sprint(len(objects) + 1)
	}
	fmt.Fprintf(&b, "trailer\n<< /Size %s /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n", size, start)
	return b.Bytes()
}

func need(t *testing.T, program string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("%s is not installed", program)
	}
}

func codeOf(err error) string {
	var f *fault.Fault
	if errors.As(err, &f) {
		return f.Code
	}
	return ""
}

func TestThePrintedWordsOfAPDFAreRead(t *testing.T) {
	need(t, "pdftotext")
	data := pdf("FFP2 NR EN 149:2001+A1:2009")
	sum := sha256.Sum256(data)
	r, err := Read(context.Background(), "certificate.pdf", data, Usual)
	if err != nil || !strings.Contains(r.Text, "FFP2 NR EN 149:2001+A1:2009") || !r.Machine || r.Kind != PDF || r.SHA256 != hex.EncodeToString(sum[:]) {
		t.Errorf("%+v, %v", r, err)
	}
}

func TestHostilePDFsEndInAFaultAndTheHashIsKept(t *testing.T) {
	need(t, "pdftotext")
	deep := "<< /Type /Catalog /Pages 2 0 R /X " + strings.Repeat("[", 4_000_000) + " >>"
	cyclic := []string{"<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Kids [2 0 R 2 0 R 3 0 R] /Count 3 /Parent 2 0 R >>", "<< /Type /Pages /Kids [2 0 R] /Count 1 /Parent 3 0 R >>"}
	whole := pdf("N95")
	for name, data := range map[string][]byte{
		"cut in the middle":        whole[:len(whole)/2],
		"header alone":             []byte("%PDF-1.4\n"),
		"cross-reference of 1e9":   pdfOf([]string{"<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Kids [] /Count 0 >>"}, "1000000000"),
		"pages in a circle":        pdfOf(cyclic, ""),
		"four million open arrays": pdfOf([]string{deep, "<< /Type /Pages /Kids [] /Count 0 >>"}, ""),
		"open hex string":          pdfOf([]string{"<< /Type /Catalog /Pages 2 0 R /X <" + strings.Repeat("41", 1<<20), "<< >>"}, ""),
		"encrypted":                bytes.Replace(pdf("N95"), []byte("/Root 1 0 R"), []byte("/Root 1 0 R /Encrypt << /Filter /Standard /V 1 /R 2 /O (12345678901234567890123456789012) /U (12345678901234567890123456789012) /P -4 >> /ID [(a) (b)]"), 1),
	} {
		start := time.Now()
		r, err := Read(context.Background(), name, data, Usual)
		took := time.Since(start)
		t.Logf("%-26s %8v %v", name, took.Round(time.Millisecond), err)
		if codeOf(err) != "E133" && codeOf(err) != "E134" {
			t.Errorf("%s: %v, want a fault E133 or E134 that says to type the words", name, err)
		}
		if len(r.SHA256) != 64 || took > Usual.Time+2*time.Second {
			t.Errorf("%s: hash %q after %v", name, r.SHA256, took)
		}
	}
}

func TestFilesThatAreNoPaperAreRefusedByTheirBytes(t *testing.T) {
	small := Usual
	small.FileBytes = 10
	for _, c := range []struct {
		name string
		data []byte
		l    Limits
		code string
		kind Kind
	}{
		{"empty.pdf", nil, Usual, "E136", Unknown},
		{"zip.pdf", []byte("PK\x03\x04\x00"), Usual, "E136", Unknown},
		{"large.txt", []byte("more than ten bytes"), small, "E132", Text},
		{"bad.png", []byte("\x89PNG\r\n\x1a\nnothing"), Usual, "E134", Picture},
		{"huge.png", hugePNG(60_000), Usual, "E131", Picture},
		{"words.png", []byte("N95 NIOSH"), Usual, "", Text},
	} {
		r, err := Read(context.Background(), c.name, c.data, c.l)
		if codeOf(err) != c.code || r.Kind != c.kind || len(r.SHA256) != 64 {
			t.Errorf("%s: kind %s, %v; want %s and %q", c.name, r.Kind, err, c.kind, c.code)
		}
	}
}

// hugePNG has a header for side by side pixels and no picture.
func hugePNG(side uint32) []byte {
	b := bytes.NewBufferString("\x89PNG\r\n\x1a\n")
	chunk := []byte("IHDR")
	chunk = binary.BigEndian.AppendUint32(chunk, side)
	chunk = binary.BigEndian.AppendUint32(chunk, side)
	chunk = append(chunk, 8, 2, 0, 0, 0)
	b.Write(binary.BigEndian.AppendUint32(nil, 13))
	b.Write(chunk)
	b.Write(binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE(chunk)))
	return b.Bytes()
}

func TestAChildThatWritesTooMuchIsCut(t *testing.T) {
	need(t, "yes")
	l := Usual
	l.OutputBytes = 1 << 16
	start := time.Now()
	r, err := Reading{Kind: Text}.run(context.Background(), "x", nil, l, "yes")
	if err != nil || !r.Cut || len(r.Text) != l.OutputBytes || time.Since(start) > 5*time.Second {
		t.Errorf("%d bytes, cut %v, %v after %v", len(r.Text), r.Cut, err, time.Since(start))
	}
}

func TestAChildThatSleepsIsEnded(t *testing.T) {
	need(t, "sleep")
	l := Usual
	l.Time = 300 * time.Millisecond
	start := time.Now()
	_, err := Reading{Kind: Text}.run(context.Background(), "x", nil, l, "sleep", "60")
	if codeOf(err) != "E133" || time.Since(start) > 3*time.Second {
		t.Errorf("%v after %v", err, time.Since(start))
	}
}

// tail keeps the last line of its input in memory, and the input has none: it asks
// for memory without end and must be stopped by the limit, not by the clock.
func TestAChildThatAsksForTooMuchMemoryIsStopped(t *testing.T) {
	need(t, "tail")
	l := Usual
	l.MemoryBytes = 32 << 20
	start := time.Now()
	_, err := Reading{Kind: Text}.run(context.Background(), "x", nil, l, "tail", "-n1", "/dev/zero")
	if codeOf(err) != "E134" || time.Since(start) > l.Time {
		t.Errorf("%v after %v", err, time.Since(start))
	}
}

func TestAMissingReaderIsNamed(t *testing.T) {
	_, err := Reading{Kind: PDF}.run(context.Background(), "x.pdf", nil, Usual, "no-such-reader-here")
	if codeOf(err) != "E135" || !strings.Contains(err.Error(), "type its words") {
		t.Error(err)
	}
}

func TestAPictureIsReadAndItsBytesAreLeftAlone(t *testing.T) {
	need(t, "tesseract")
	img := image.NewGray(image.Rect(0, 0, 400, 120))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	bars(img, "FFP2")
	var p, j bytes.Buffer
	if err := errors.Join(png.Encode(&p, img), jpeg.Encode(&j, img, nil)); err != nil {
		t.Fatal(err)
	}
	j.WriteString("PK\x03\x04 a zip behind the picture")
	for name, data := range map[string][]byte{"a.png": p.Bytes(), "polyglot.jpg": j.Bytes()} {
		before := bytes.Clone(data)
		r, err := Read(context.Background(), name, data, Usual)
		t.Logf("%s: %q %v", name, r.Text, err)
		if err != nil || !strings.Contains(r.Text, "FFP2") || !r.Machine || !bytes.Equal(before, data) {
			t.Errorf("%s: %+v, %v", name, r, err)
		}
	}
}

// letters are drawn on a grid of 5 by 7 squares.
var letters = map[rune][]string{
	'F': {"#####", "#....", "#....", "####.", "#....", "#....", "#...."},
	'P': {"####.", "#...#", "#...#", "####.", "#....", "#....", "#...."},
	'2': {".###.", "#...#", "....#", "...#.", "..#..", ".#...", "#####"},
}

func bars(img *image.Gray, word string) {
	const square, left, top = 9, 60, 28
	for n, r := range word {
		for y, line := range letters[r] {
			for x, c := range line {
				if c != '#' {
					continue
				}
				for dy := range square {
					for dx := range square {
						img.SetGray(left+n*6*square+x*square+dx, top+y*square+dy, color.Gray{})
					}
				}
			}
		}
	}
}
