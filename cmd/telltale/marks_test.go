package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"telltale/fault"
	"telltale/marks"
	"telltale/papers"
)

// pdf writes a PDF of objects with its cross-reference table, after the general
// form of the file format. size is the trailer's, "" for the true one.
func pdf(size string, objects ...string) []byte {
	b := bytes.NewBufferString("%PDF-1.4\n")
	var at []int
	for i, o := range objects {
		at = append(at, b.Len())
		fmt.Fprintf(b, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	start := b.Len()
	fmt.Fprintf(b, "xref\n0 %d\n0000000000 65535 f \n", len(objects)+1)
	for _, a := range at {
		fmt.Fprintf(b, "%010d 00000 n \n", a)
	}
	if size == "" {
		size = fmt.Sprint(len(objects) + 1)
	}
	fmt.Fprintf(b, "trailer\n<< /Size %s /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n", size, start)
	return b.Bytes()
}

// paperOfWords is a PDF of one page with one line of words.
func paperOfWords(words string) []byte {
	stream := fmt.Sprintf("BT /F1 24 Tf 40 100 Td (%s) Tj ET", words)
	return pdf("", "<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
		"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 600 200] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>",
		fmt.Sprintf("<< /Length %d >>\nstream\n%s\nendstream", len(stream), stream), "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>")
}

func headerOfPNG(side uint32) []byte {
	chunk := []byte("IHDR")
	chunk = binary.BigEndian.AppendUint32(chunk, side)
	chunk = append(binary.BigEndian.AppendUint32(chunk, side), 8, 2, 0, 0, 0)
	b := append([]byte("\x89PNG\r\n\x1a\n"), 0, 0, 0, 13)
	return binary.BigEndian.AppendUint32(append(b, chunk...), crc32.ChecksumIEEE(chunk))
}

func greyJPEG(t *testing.T) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 1600, 900))
	for i := range img.Pix {
		img.Pix[i] = color.Gray{Y: 200}.Y
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// examine runs telltale marks in the folder of the test.
func examine(args ...string) (string, error) {
	var out bytes.Buffer
	err := run(context.Background(), append([]string{"marks"}, args...), strings.NewReader(""), &out, &out)
	return out.String(), err
}

func write(t *testing.T, name string, data []byte) {
	t.Helper()
	if err := os.WriteFile(name, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

// B35 to B38: a bad paper ends its reader and nothing else. The message says that
// the words can be typed, the page says it too, and the file is as it was.
func TestABadPaperEndsItsReaderAndNothingElse(t *testing.T) {
	for _, program := range []string{"pdftotext", "tesseract"} {
		if _, err := exec.LookPath(program); err != nil {
			t.Skipf("%s is not installed", program)
		}
	}
	whole := paperOfWords("N95")
	trailer := []byte("/Root 1 0 R")
	pages := "<< /Type /Pages /Kids [] /Count 0 >>"
	encrypt := "/Root 1 0 R /Encrypt << /Filter /Standard /V 1 /R 2 /O (12345678901234567890123456789012) /U (12345678901234567890123456789012) /P -4 >> /ID [(a) (b)]"
	t.Chdir(t.TempDir())
	for name, c := range map[string]struct {
		data []byte
		code string
	}{
		"B35 empty.pdf":     {nil, "E136"},
		"B35 empty.png":     {nil, "E136"},
		"B35 cut.pdf":       {whole[:len(whole)/2], "E134"},
		"B35 cut.jpg":       {greyJPEG(t)[:700], "E134"},
		"B35 encrypted.pdf": {bytes.Replace(whole, trailer, []byte(encrypt), 1), "E134"},
		"B36 billion.pdf":   {pdf("1000000000", "<< /Type /Catalog /Pages 2 0 R >>", pages), "E134"},
		"B36 circle.pdf": {pdf("", "<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Kids [2 0 R 3 0 R] /Count 3 /Parent 2 0 R >>",
			"<< /Type /Pages /Kids [2 0 R] /Count 1 /Parent 3 0 R >>"), "E134"},
		"B36 deep.pdf":      {pdf("", "<< /Type /Catalog /Pages 2 0 R /X "+strings.Repeat("[", 4_000_000)+" >>", pages), "E134"},
		"B36 open-hex.pdf":  {pdf("", "<< /Type /Catalog /Pages 2 0 R /X <"+strings.Repeat("41", 1<<20), "<< >>"), "E134"},
		"B37 huge.png":      {headerOfPNG(60_000), "E131"},
		"B37 two-faces.jpg": {append(greyJPEG(t), "PK\x03\x04 a zip behind the picture"...), "E134"}, // no words on it
		"B38 large.jpg":     {append(greyJPEG(t), make([]byte, 31<<20)...), "E132"},
	} {
		name = strings.ReplaceAll(name, " ", "-")
		write(t, name, c.data)
		start := time.Now()
		_, err := examine(name, "--out", "sheet-of-"+name)
		took := time.Since(start)
		var f *fault.Fault
		if !errors.As(err, &f) || f.Code != c.code || !strings.Contains(strings.ToLower(err.Error()), "type its words") {
			t.Errorf("%s: %v, want %s and that its words can be typed", name, err, c.code)
		}
		if took > 25*time.Second { // two readers of at most 10 s each
			t.Errorf("%s took %v", name, took)
		}
		if now, err := os.ReadFile(name); err != nil || !bytes.Equal(now, c.data) {
			t.Errorf("%s was changed", name)
		}
		if c.code == "E132" { // not read at all
			continue
		}
		if page, err := os.ReadFile("sheet-of-" + name + "/marks.html"); err != nil || !strings.Contains(string(page), "type its words") || strings.Contains(string(page), "PK\x03\x04") {
			t.Errorf("%s: no page that says so (%v)", name, err)
		}
		if m, err := os.ReadFile("sheet-of-" + name + "/marks.yaml"); err != nil || !strings.Contains(string(m), "SHA-256") || !strings.Contains(string(m), "\nbox: \"\"\n") {
			t.Errorf("%s: no marks file with its hash to type into (%v)", name, err)
		}
	}
	var u syscall.Rusage // of every reader that was waited for; the kernel counts our own size at their start in
	if err := syscall.Getrusage(syscall.RUSAGE_CHILDREN, &u); err != nil {
		t.Fatal(err)
	}
	t.Logf("the largest reader had %d MB in use", u.Maxrss>>10)
	if u.Maxrss>>10 > 256 {
		t.Errorf("a reader had %d MB in use, more than 256", u.Maxrss>>10)
	}
}

// B39: a number of another form is worded as such.
func TestANumberOfAnotherFormIsCalledThat(t *testing.T) {
	t.Chdir(t.TempDir())
	write(t, "m.yaml", []byte("facepiece: NIOSH N95 TC-84-12345\nmade: 2031-01-01\n"))
	out, err := examine("m.yaml")
	if err != nil || !strings.Contains(out, "form") || regexp.MustCompile(`(?i)fake|counterfeit|genuine`).MatchString(out) {
		t.Errorf("%v\n%s", err, out)
	}
}

// B40: two certificates of one respirator that name different classes are both
// kept, and shown.
func TestTwoCertificatesThatDisagreeAreBothKept(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed")
	}
	t.Chdir(t.TempDir())
	write(t, "a.pdf", paperOfWords("Certificate FFP2 NR EN 149:2001+A1:2009"))
	write(t, "b.pdf", paperOfWords("Certificate FFP3 NR EN 149:2001+A1:2009"))
	out, err := examine("a.pdf", "b.pdf", "--json", "--out", "sheet")
	var f marks.Findings
	if err != nil || json.Unmarshal([]byte(out), &f) != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	shown := false
	for _, x := range f.Findings {
		shown = shown || x.Rule == "certificates-disagree" && x.NeedsConfirmation && len(x.Evidence) == 2
	}
	if !shown {
		t.Errorf("%+v", f.Findings)
	}
	page, _ := os.ReadFile("sheet/marks.html")
	words, _ := os.ReadFile("sheet/marks.yaml")
	for _, want := range []string{"FFP2 NR EN 149", "FFP3 NR EN 149", "eeds confirmation", "This is a PDF"} {
		if !strings.Contains(string(page), want) || strings.HasPrefix(want, "FFP") && !strings.Contains(string(words), want) {
			t.Errorf("%q is not kept", want)
		}
	}
}

// The whole way: pictures are read, the words corrected by hand, the page made
// anew; corrections are never written over.
func TestWordsReadByMachineAreCorrectedByHand(t *testing.T) {
	pack, err := os.ReadFile("../../papers/testdata/pack.jpg")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	hostile := `facepiece-<img src=x onerror=alert(1)>.jpg`
	write(t, hostile, pack)
	examine(hostile, "--out", "sheet") // whether words are read depends on the reader that is installed
	page, err := os.ReadFile("sheet/marks.html")
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"data:image/jpeg;base64,", "EAN-13: 4006381333931", "QR: https://example.org/doc/8841", "&lt;img src=x", "machine_read"} {
		if !strings.Contains(string(page), want) {
			t.Errorf("the page has no %q", want)
		}
	}
	if strings.Contains(string(page), "<img src=x") || strings.Contains(string(page), "<script") {
		t.Error("a file's name became markup")
	}
	words, err := os.ReadFile("sheet/marks.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m, err := marks.ReadFile("marks.yaml", words)
	if err != nil || strings.Join(m.Codes, " ") != "https://example.org/doc/8841 4006381333931" {
		t.Errorf("%+v, %v", m, err)
	}
	m.Facepiece, m.MachineRead = "FFP2 NR EN 149:2001+A1:2009 <b>CE 0000</b>", nil
	corrected := marks.Format(m)
	write(t, "sheet/marks.yaml", corrected)
	if _, err := examine(hostile, "--out", "sheet"); err == nil || !strings.Contains(err.Error(), "E137") {
		t.Errorf("corrections may be lost: %v", err)
	}
	out, _ := examine("sheet/marks.yaml", hostile, "--out", "sheet")
	page, _ = os.ReadFile("sheet/marks.html")
	if now, _ := os.ReadFile("sheet/marks.yaml"); !bytes.Equal(now, corrected) {
		t.Error("the corrected marks file was written over")
	}
	if !strings.Contains(out, "FFP2") || strings.Contains(out, "needs confirmation") || !strings.Contains(string(page), "Read or confirmed by a person") || strings.Contains(string(page), "<b>CE") {
		t.Errorf("the correction does not stand:\n%s", out)
	}
}

func TestThePrintSaysWhichRegisterAndHowToRecordIt(t *testing.T) {
	t.Chdir(t.TempDir())
	write(t, "m.yaml", []byte("facepiece: NIOSH N95 TC-84A-0042\nbox: N95 EAN 4006381333931\ncodes: [\"96385074\"]\n"))
	out, err := examine("m.yaml")
	if err != nil {
		t.Fatal(err)
	}
	looked, notes := strings.Index(out, "To be looked up by a person"), strings.Index(out, "Notes, which speak neither")
	if looked < 0 || notes < looked || !strings.Contains(out, `number: "TC-84A-0042"`) || strings.Contains(out, "[look-the-number-up]") {
		t.Error(out)
	}
	last := map[string]int{"missing": strings.LastIndex(out, "\n  missing:"), "unusual": strings.LastIndex(out, "\n  unusual:")}
	for severity, at := range last {
		if at > looked {
			t.Errorf("a finding %s stands after the look-ups:\n%s", severity, out)
		}
	}
}

func TestAFilesNameSaysItsPlace(t *testing.T) {
	for name, want := range map[string]string{
		"facepiece.jpg": "facepiece", "dir/Strap-2.png": "strap", "box 1.jpg": "box", "boxes.jpg": "box", "straps.png": "box", "leaflet.pdf": "leaflet",
		"anything.pdf": "certificate", "IMG_1.jpg": "box", "certificate_front.jpg": "certificate", "facepieces.pdf": "certificate",
	} {
		kind := map[bool]string{true: "pdf", false: "picture"}[filepath.Ext(name) == ".pdf"]
		if got := placeOf(name, papers.Kind(kind)); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
}
