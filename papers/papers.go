// Package papers answers: what text is in this paper?
//
// A certificate comes as a PDF or a picture, made by people unknown. Its bytes are
// hashed and never changed; its text is read by a general-purpose program
// (pdftotext, tesseract) in a child process with a limit on memory, time, output
// and written files, so that a hostile file can end the child and nothing else. The
// codes of a picture and its preview are read in such a child too: the program
// starts itself again (Serve).
//
// It assumes a Unix shell for the limits and refuses to run a reader without it.
// What a machine read is marked so, until a person has compared it with the paper.
// A file that cannot be read is still hashed, and the fault says to type the words.
package papers

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	_ "image/gif"  // for the pixel count alone
	_ "image/jpeg" // for the pixel count alone
	_ "image/png"  // for the pixel count alone
	"time"
	"unicode/utf8"

	"telltale/fault"
)

// Kind is what a file turned out to be, by its bytes and not by its name.
type Kind string

// The kinds of file.
const (
	Text    Kind = "text"
	PDF     Kind = "pdf"
	Picture Kind = "picture"
	Unknown Kind = "unknown"
)

// Limits bound what one file may cost.
type Limits struct {
	FileBytes   int           // of the file
	Pixels      int           // of a picture, from its header
	MemoryBytes int           // address space of the child
	Time        time.Duration // of the child, wall clock and processor
	OutputBytes int           // of text
}

// Usual are the limits for a tester's laptop.
var Usual = Limits{FileBytes: 30 << 20, Pixels: 40e6, MemoryBytes: 256 << 20, Time: 10 * time.Second, OutputBytes: 4 << 20}

// Reading is the text of one paper.
type Reading struct {
	Text    string
	Kind    Kind
	Machine bool   // a machine read the text; a person has to compare it with the paper
	Cut     bool   // the text was longer than the limit
	SHA256  string // of the file's bytes, in hex

	Codes   []Code // barcodes of a picture
	Preview []byte // a picture's pixels alone as a JPEG of at most 1200 px; nil if there is none
	Remark  string // why codes and preview are missing, if they are
}

const typeIt = "The file is kept as it is; type its words into the marks file under certificate (or the place they stand in)."

// Read gives the text of a file, and of a picture its codes and a preview. With a
// fault the reading still holds the kind, the hash, and what else was read. The faults: E131 too many pixels, E132 too large, E133 ended by a
// limit, E134 no text could be read, E135 no reader on this machine, E136 unknown
// kind of file.
func Read(ctx context.Context, name string, data []byte, l Limits) (Reading, error) {
	sum := sha256.Sum256(data)
	r := Reading{Kind: kindOf(data), SHA256: hex.EncodeToString(sum[:])}
	bad := func(code, format string, args ...any) (Reading, error) {
		return r, &fault.Fault{Code: code, What: fmt.Sprintf(format, args...), File: name, Do: typeIt}
	}
	if len(data) > l.FileBytes {
		return bad("E132", "the file has %d bytes, more than %d", len(data), l.FileBytes)
	}
	switch r.Kind {
	case Text:
		r.Text = string(data)
		return r, nil
	case PDF:
		r.Machine = true
		return r.run(ctx, name, data, l, "pdftotext", "-enc", "UTF-8", "-nopgbrk", "-l", "60", paperFile, "-")
	case Picture:
		config, _, err := image.DecodeConfig(bytes.NewReader(data))
		if err != nil {
			return bad("E134", "the picture's header cannot be read: %v", err)
		}
		if config.Width <= 0 || config.Height <= 0 || config.Width > l.Pixels/config.Height {
			return bad("E131", "the picture says it has %d by %d pixels, more than %d in all", config.Width, config.Height, l.Pixels)
		}
		r.Machine = true
		r.picture(ctx, name, data, l)
		return r.run(ctx, name, data, l, "tesseract", paperFile, "stdout", "--psm", "3")
	}
	return bad("E136", "the file is no text, PDF or picture (PNG, JPEG, GIF) that is known here")
}

// kindOf looks at the bytes alone. Readers of PDF accept its sign anywhere in the
// first 1024 bytes, so a file with two faces is a PDF here as it is for them.
func kindOf(data []byte) Kind {
	head := data[:min(len(data), 1024)]
	for _, sign := range []string{"\x89PNG\r\n\x1a\n", "\xff\xd8\xff", "GIF87a", "GIF89a"} {
		if bytes.HasPrefix(head, []byte(sign)) {
			return Picture
		}
	}
	switch {
	case bytes.Contains(head, []byte("%PDF-")):
		return PDF
	case len(data) > 0 && utf8.Valid(data) && !bytes.ContainsRune(data, 0):
		return Text
	}
	return Unknown
}
