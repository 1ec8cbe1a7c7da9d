package tracefile

import (
	"bytes"
	"fmt"
	"io"
	"unicode/utf8"

	"telltale/fault"
)

// lines cuts text into lines at LF, CRLF or CR, through one buffer that is used
// again and again.
type lines struct {
	name  string
	r     io.Reader
	buf   []byte
	start int   // of the part not yet given
	lf    int   // index of the next LF at or after start; len(buf) when none is there
	base  int64 // offset in the file of buf[0]
	eof   bool
	err   error

	line  int  // number of the line given last, 1-based
	ended bool // the line given last had a line end
	ends  [3]int
}

// The kinds of line ends, as indices of lines.ends.
const (
	endLF = iota
	endCRLF
	endCR
)

func newLines(name string, r io.Reader, front int64) *lines {
	return &lines{name: name, r: r, buf: make([]byte, 0, 4*MaxLine), base: front}
}

// fill moves the rest to the front and reads more behind it.
func (l *lines) fill() {
	l.base += int64(l.start)
	n := copy(l.buf, l.buf[l.start:])
	l.buf, l.start = l.buf[:n], 0
	for tries := 0; ; tries++ {
		m, err := l.r.Read(l.buf[n:cap(l.buf)])
		l.buf = l.buf[:n+m]
		if err != nil {
			l.eof = true
			if err != io.EOF {
				l.err = err
			}
		} else if m == 0 && tries < 100 {
			continue
		} else if m == 0 {
			l.eof, l.err = true, io.ErrNoProgress
		}
		break
	}
	l.lf = n + index(l.buf[n:], '\n')
}

// index is bytes.IndexByte, but the length when c is not there.
func index(b []byte, c byte) int {
	if i := bytes.IndexByte(b, c); i >= 0 {
		return i
	}
	return len(b)
}

// next gives the next line without its end; it is valid until the next call.
// nil, nil is the end of the text.
func (l *lines) next() ([]byte, *fault.Fault) {
	for {
		if l.lf < l.start {
			l.lf = l.start + index(l.buf[l.start:], '\n')
		}
		line := l.buf[l.start:l.lf]
		end, width, kind := len(line), 1, endLF
		if cr := bytes.IndexByte(line, '\r'); cr >= 0 {
			end, kind = cr, endCR
			if cr == len(line)-1 && l.lf < len(l.buf) {
				width, kind = 2, endCRLF
			}
		}
		at := l.start + end
		whole := at < len(l.buf) && (l.buf[at] != '\r' || at+1 < len(l.buf) || l.eof)
		if end > MaxLine {
			return nil, &fault.Fault{Code: "E120", File: l.name, Line: l.line + 1, What: fmt.Sprintf("the line is over %d KiB", MaxLine>>10),
				Do: "Check that this is a trace with one row of measurements a line."}
		}
		if whole {
			l.ends[kind]++
			l.ended = true
			return l.give(line[:end], end+width)
		}
		if l.eof {
			return l.last()
		}
		l.fill()
	}
}

// last gives what stands after the last line end.
func (l *lines) last() ([]byte, *fault.Fault) {
	if l.err != nil {
		return nil, asFault(l.name, l.line+1, l.err)
	}
	rest := l.buf[l.start:]
	l.ended = false
	if len(rest) == 0 {
		return nil, nil
	}
	return l.give(rest, len(rest))
}

// give hands a line out after a look at its bytes.
func (l *lines) give(line []byte, step int) ([]byte, *fault.Fault) {
	at := l.base + int64(l.start)
	l.start += step
	l.line++
	if i := bytes.IndexByte(line, 0); i >= 0 {
		return nil, &fault.Fault{Code: "E122", File: l.name, Line: l.line, Col: i + 1, What: fmt.Sprintf("a NUL byte stands at byte offset %d", at+int64(i)),
			Do: "The file is damaged or not text; copy it again from the counter."}
	}
	if !utf8.Valid(line) {
		i := invalid(line)
		return nil, &fault.Fault{Code: "E104", File: l.name, Line: l.line, Col: i + 1,
			What: fmt.Sprintf("byte 0x%02X at byte offset %d is not UTF-8 text", line[i], at+int64(i)),
			Do:   "Save the file as UTF-8, or say in a layout: encoding: windows-1252."}
	}
	return line, nil
}

// invalid is the index of the first byte that is not UTF-8.
func invalid(b []byte) int {
	for i := 0; i < len(b); {
		r, n := utf8.DecodeRune(b[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return 0
}
