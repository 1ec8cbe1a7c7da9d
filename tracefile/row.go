package tracefile

import (
	"bytes"
	"fmt"

	"telltale/fault"
)

// row is one record of the file, cut into cells.
type row struct {
	line  int // where it begins
	cells []cell
	text  []byte // of a record that has quotes; cells point into it
}

// cell is the text of one cell.
type cell struct {
	text   []byte
	col    int  // 1-based byte in the line; 0 where quotes or line ends moved it
	quoted bool // stood in quotes: blanks at its ends belong to it
}

// cut splits line at sep into r. A record with quotes may go on over further
// lines (RFC 4180, section 2, read in part from memory); within quotes every
// line end is read as LF.
func (r *row) cut(l *lines, line []byte, sep byte) *fault.Fault {
	r.line, r.cells = l.line, r.cells[:0]
	if bytes.IndexByte(line, '"') >= 0 {
		return r.cutQuoted(l, line, sep)
	}
	from := 0
	for i, c := range line {
		if c == sep {
			r.cells = append(r.cells, cell{text: line[from:i], col: from + 1})
			from = i + 1
		}
	}
	r.cells = append(r.cells, cell{text: line[from:], col: from + 1})
	return nil
}

// cutQuoted is cut for a record with quotes.
func (r *row) cutQuoted(l *lines, line []byte, sep byte) *fault.Fault {
	r.text = append(r.text[:0], line...)
	for i := 0; ; {
		start, quoted := i, false
		if blank := skipBlanks(r.text, i, sep); blank < len(r.text) && r.text[blank] == '"' {
			quoted = true
			end, f := r.closing(l, blank)
			if f != nil {
				return f
			}
			r.cells = append(r.cells, cell{text: unquote(r.text[blank+1 : end]), quoted: true})
			i = skipBlanks(r.text, end+1, sep)
			if i < len(r.text) && r.text[i] != sep {
				return &fault.Fault{Code: "E115", File: l.name, Line: l.line, What: "text stands behind a closing quote",
					Do: `Put the whole cell in quotes and double the quotes in it: "say ""hm"" twice".`}
			}
		}
		if !quoted {
			i += index(r.text[i:], sep)
			r.cells = append(r.cells, cell{text: r.text[start:i]})
		}
		if i >= len(r.text) {
			return nil
		}
		i++
	}
}

func skipBlanks(b []byte, i int, sep byte) int {
	for i < len(b) && b[i] != sep && (b[i] == ' ' || b[i] == '\t') {
		i++
	}
	return i
}

// closing finds the quote that closes the one at open and takes further lines
// until it comes.
func (r *row) closing(l *lines, open int) (int, *fault.Fault) {
	opened := l.line
	i := open + 1
	for {
		for ; i < len(r.text); i++ {
			if r.text[i] != '"' {
				continue
			}
			if i+1 < len(r.text) && r.text[i+1] == '"' {
				i++
				continue
			}
			return i, nil
		}
		var next []byte
		var f *fault.Fault
		if len(r.text) <= MaxLine {
			if next, f = l.next(); f != nil {
				return 0, f
			}
		}
		if next == nil {
			return 0, &fault.Fault{Code: "E115", File: l.name, Line: opened, What: fmt.Sprintf("a quote is opened in line %d and never closed", opened),
				Do: "Close it, or double it if the quote is part of the text."}
		}
		// Cells cut so far may point at the old bytes; nobody writes to those any
		// more before the next record.
		r.text = append(append(r.text, '\n'), next...)
	}
}

// unquote halves doubled quotes, in place.
func unquote(b []byte) []byte {
	if bytes.IndexByte(b, '"') < 0 {
		return b
	}
	out := b[:0]
	for i := 0; i < len(b); i++ {
		out = append(out, b[i])
		if b[i] == '"' {
			i++
		}
	}
	return out
}

// trim takes blanks off both ends.
func trim(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t') {
		b = b[1:]
	}
	for len(b) > 0 && (b[len(b)-1] == ' ' || b[len(b)-1] == '\t') {
		b = b[:len(b)-1]
	}
	return b
}
