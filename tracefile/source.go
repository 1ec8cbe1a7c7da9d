package tracefile

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
	"telltale/fault"
	"telltale/record"
)

// source is the raw bytes of a file on their way to be text: counted, limited
// and summed.
type source struct {
	name string
	r    io.Reader
	n    int64
	sum  hash.Hash
}

func (s *source) Read(p []byte) (int, error) {
	n, err := s.r.Read(p)
	s.n += int64(n)
	s.sum.Write(p[:n])
	if s.n > MaxBytes {
		return 0, &fault.Fault{Code: "E120", File: s.name,
			What: fmt.Sprintf("the file is over %d MiB", MaxBytes>>20),
			Do:   "Cut the trace into one file per wearing or check."}
	}
	return n, err
}

func (s *source) sha256() string { return hex.EncodeToString(s.sum.Sum(nil)) }

// sniffed is how much of the beginning is looked at to tell what a file is.
const sniffed = 4096

// open looks at the beginning of s and gives the UTF-8 text behind it, with the
// number of bytes taken off its front and what was tolerated.
func open(s *source, layout *Layout) (text io.Reader, front int64, remarks []record.Remark, err error) {
	head := make([]byte, sniffed)
	n, err := io.ReadFull(s, head)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return nil, 0, nil, err
	}
	head = head[:n]
	if n == 0 {
		return nil, 0, nil, &fault.Fault{Code: "E101", File: s.name, What: "the file is empty (0 bytes)",
			Do: "Copy it again from the counter; an empty file often means a copy that was broken off."}
	}
	if f := notText(s.name, head); f != nil {
		return nil, 0, nil, f
	}
	whole := io.MultiReader(bytes.NewReader(head), s)
	switch {
	case bytes.HasPrefix(head, []byte("\xEF\xBB\xBF")):
		whole = io.MultiReader(bytes.NewReader(head[3:]), s)
		return whole, 3, []record.Remark{{Code: remarkBOM, Line: 1, Text: "a byte order mark before the text was removed"}}, nil
	case bytes.HasPrefix(head, []byte("\xFF\xFE")), bytes.HasPrefix(head, []byte("\xFE\xFF")):
		dec := unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder()
		return transform.NewReader(whole, dec), 0, []record.Remark{{Code: remarkUTF16, Text: "the file is UTF-16 and was read as such"}}, nil
	case layout != nil && layout.Encoding == "windows-1252":
		return transform.NewReader(whole, charmap.Windows1252.NewDecoder()), 0,
			[]record.Remark{{Code: remarkEncoding, Text: "read as windows-1252, as the layout says"}}, nil
	case looksUTF16(head):
		return nil, 0, nil, &fault.Fault{Code: "E103", File: s.name, What: "this looks like UTF-16 text without a mark at its beginning",
			Do: "Save it as UTF-8."}
	}
	return whole, 0, nil, nil
}

// magics are the first bytes of files that are often given the wrong name.
var magics = []struct{ bytes, kind string }{
	{"PK\x03\x04", "a zip archive or a spreadsheet workbook"},
	{"PK\x05\x06", "an empty zip archive"},
	{"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", "an old office document"},
	{"%PDF-", "a PDF document"},
	{"\x1F\x8B", "a gzip archive"},
	{"BZh", "a bzip2 archive"},
	{"\xFD7zXZ\x00", "an xz archive"},
	{"7z\xBC\xAF\x27\x1C", "a 7z archive"},
	{"\x28\xB5\x2F\xFD", "a zstd archive"},
	{"Rar!\x1A\x07", "a rar archive"},
	{"\x89PNG", "a PNG picture"},
	{"\xFF\xD8\xFF", "a JPEG picture"},
	{"GIF8", "a GIF picture"},
	{"II*\x00", "a TIFF picture"},
	{"MM\x00*", "a TIFF picture"},
	{"\x7FELF", "a program"},
	{"MZ\x90\x00", "a program"},
	{"SQLite format 3\x00", "a database"},
	{"{\\rtf", "an RTF document"},
}

func notText(name string, head []byte) *fault.Fault {
	for _, m := range magics {
		if bytes.HasPrefix(head, []byte(m.bytes)) {
			return &fault.Fault{Code: "E121", File: name, What: "this is " + m.kind + ", not text",
				Do: "Export the measurements as CSV text and give that file."}
		}
	}
	return nil
}

// looksUTF16 reports text in which every other byte is mostly zero.
func looksUTF16(head []byte) bool {
	var zeros [2]int
	for i, c := range head {
		if c == 0 {
			zeros[i%2]++
		}
	}
	half := len(head) / 2
	few, many := min(zeros[0], zeros[1]), max(zeros[0], zeros[1])
	return half >= 2 && many*2 > half && few*10 < many
}

func newSource(name string, r io.Reader) *source {
	return &source{name: name, r: r, sum: sha256.New()}
}

// asFault gives the fault in err, or wraps a failure of the reader in one.
func asFault(name string, line int, err error) *fault.Fault {
	var f *fault.Fault
	if errors.As(err, &f) {
		if f.Line == 0 {
			f.Line = line
		}
		return f
	}
	return &fault.Fault{Code: "E100", File: name, Line: line, What: "the file could not be read: " + err.Error(),
		Do: "Check the disk or the connection and try again.", Err: err}
}
