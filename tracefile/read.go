package tracefile

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"telltale/fault"
	"telltale/record"
)

// reader is one reading of one file.
type reader struct {
	name   string
	layout *Layout // nil = our own format
	lines  *lines
	sep    byte
	cols   []column
	row    row

	trace  *record.Trace
	air    record.Air // of every row, unless the line is switched
	faults fault.List
	over   bool // reading has to end

	sampling  int    // index of the column sampling, -1 without
	exercise  int32  // label of the row before
	labelText []byte // and its text
	labels    map[string]int32

	times    times
	decimals decimals
	slips    slips
}

// Read reads the trace called name from r, as layout says (nil for our own
// format, docs/formats.md). The error is a *fault.Fault or a fault.List, each
// with code, place and what to do; then nothing is read. What was tolerated
// stands in the trace's Remarks.
//
// Times are kept in seconds after the first row; an air without a column is all
// NaN. It reads once, from front to end, and holds the numbers and one buffer.
func Read(name string, r io.Reader, layout *Layout) (*record.Trace, error) {
	src := newSource(name, r)
	text, front, remarks, err := open(src, layout)
	if err != nil {
		return nil, asFault(name, 0, err)
	}
	rd := &reader{name: name, layout: layout, lines: newLines(name, text, front), sampling: -1, exercise: -1,
		trace: &record.Trace{Name: name, Remarks: remarks}, labels: map[string]int32{}}
	rd.decimals.allow(layout)
	rd.file()
	if len(rd.faults) == 0 {
		rd.finish()
	}
	if len(rd.faults) == 1 {
		return nil, rd.faults[0]
	}
	if len(rd.faults) > 0 {
		return nil, rd.faults
	}
	rd.trace.SHA256, rd.trace.Bytes = src.sha256(), src.n
	return rd.trace, nil
}

// fault notes a fault; reading goes on to find the others.
func (rd *reader) fault(code string, line, col int, what, do string) {
	f := &fault.Fault{Code: code, File: rd.name, Line: line, Col: col, What: what, Do: do}
	if n := len(rd.faults); n >= keptFaults {
		f = rd.faults[keptFaults-1] // stands for those that are only counted
		rd.over = rd.over || n >= maxFaults
	}
	rd.faults = append(rd.faults, f)
}

// stop notes a fault behind which nothing can be read.
func (rd *reader) stop(code string, line, col int, what, do string) {
	rd.fault(code, line, col, what, do)
	rd.over = true
}

func (rd *reader) stopWith(f *fault.Fault) {
	rd.faults = append(rd.faults, f)
	rd.over = true
}

func (rd *reader) remark(code string, line int, format string, args ...any) {
	rd.trace.Remarks = append(rd.trace.Remarks, record.Remark{Code: code, Line: line, Text: fmt.Sprintf(format, args...)})
}

// next gives the next line; nil at the end or after a fault that ends reading.
func (rd *reader) next() []byte {
	line, f := rd.lines.next()
	if f != nil {
		rd.stopWith(f)
		return nil
	}
	return line
}

// file reads notes, heading and rows.
func (rd *reader) file() {
	line := rd.notes()
	if rd.over {
		return
	}
	if line == nil {
		rd.stop("E102", 0, 0, "no measurements: there is no heading line", "The first line that does not begin with # names the columns, such as time_s,ambient_per_cm3,inside_per_cm3.")
		return
	}
	rd.sep = rd.separator(line)
	if rd.layout == nil || len(rd.layout.Names) == 0 {
		if f := rd.row.cut(rd.lines, line, rd.sep); f != nil {
			rd.stopWith(f)
			return
		}
		found := make([]string, len(rd.row.cells))
		for i, c := range rd.row.cells {
			found[i] = string(c.text)
		}
		rd.heading(rd.row.line, found)
		line = nil
	} else {
		rd.heading(rd.lines.line, rd.layout.Names)
	}
	if len(rd.faults) > 0 {
		return
	}
	rd.place()
	rd.rows(line)
}

// notes reads the lines before the heading and gives the line of the heading
// (or of the first row, for a layout with names).
func (rd *reader) notes() []byte {
	for i := 0; rd.layout != nil && i < rd.layout.Skip; i++ {
		if rd.next() == nil {
			return nil
		}
	}
	for {
		line := rd.next()
		if line == nil {
			return nil
		}
		switch {
		case bytes.HasPrefix(line, []byte("#")):
			rd.trace.Notes = append(rd.trace.Notes, note(string(line)))
		case len(trim(line)) > 0:
			return line
		}
	}
}

// note reads "# key: value"; without a colon all of it is the value.
func note(line string) record.Note {
	text := strings.Trim(line[1:], " \t")
	key, value, ok := strings.Cut(text, ":")
	if !ok {
		return record.Note{Value: text}
	}
	return record.Note{Key: strings.Trim(key, " \t"), Value: strings.Trim(value, " \t")}
}

// separator is the layout's, or the one the heading shows: a comma where there
// is one, else a semicolon, else a tab.
func (rd *reader) separator(heading []byte) byte {
	if rd.layout != nil && rd.layout.Separator != 0 {
		return rd.layout.Separator
	}
	for _, sep := range []byte{',', ';', '\t'} {
		if bytes.IndexByte(heading, sep) < 0 {
			continue
		}
		switch sep {
		case ';':
			rd.remark(remarkSeparator, rd.lines.line, "the columns are separated by semicolons")
		case '\t':
			rd.remark(remarkSeparator, rd.lines.line, "the columns are separated by tabs")
		}
		return sep
	}
	return ','
}

// rows reads all rows; first is a line already taken, or nil.
func (rd *reader) rows(first []byte) {
	for i, c := range rd.cols {
		if c.kind == kindSampling {
			rd.sampling = i
		}
	}
	blank := 0
	line := first
	if line == nil {
		line = rd.next()
	}
	for ; line != nil && !rd.over; line = rd.next() {
		switch {
		case len(trim(line)) == 0:
			blank++
		case isFinished(line):
			rd.trace.Notes = append(rd.trace.Notes, note(string(line)))
		case !rd.lines.ended && !rd.finished():
			rd.remark(remarkLastLine, rd.lines.line, "last line incomplete, not used: it has no line end, and no note says \"# finished: yes\"")
		default:
			rd.one(line)
		}
	}
	if blank > 0 {
		rd.remark(remarkBlank, 0, "%d blank lines were passed over", blank)
	}
}

// isFinished knows the note that may also stand behind the last row, because a
// recorder can only write it there.
func isFinished(line []byte) bool {
	if line[0] != '#' {
		return false
	}
	n := note(string(line))
	return strings.EqualFold(n.Key, "finished") && strings.EqualFold(n.Value, "yes")
}

func (rd *reader) finished() bool {
	for _, n := range rd.trace.Notes {
		if strings.EqualFold(n.Key, "finished") && strings.EqualFold(n.Value, "yes") {
			return true
		}
	}
	return false
}

// one reads one row.
func (rd *reader) one(line []byte) {
	if f := rd.row.cut(rd.lines, line, rd.sep); f != nil {
		rd.stopWith(f)
		return
	}
	if n := len(rd.row.cells); n != len(rd.cols) {
		do := "Give every row as many cells as the heading; leave a cell empty where nothing was read."
		if rd.sep == ',' && n > len(rd.cols) {
			do += " A comma inside a number or a text needs quotes around the cell."
		}
		rd.fault("E114", rd.row.line, 0, fmt.Sprintf("the row has %d cells, the heading has %d", n, len(rd.cols)), do)
		return
	}
	if rd.trace.Rows() >= MaxRows {
		rd.stop("E120", rd.row.line, 0, fmt.Sprintf("the file has over %d rows", MaxRows), "Cut the trace into one file per wearing or check.")
		return
	}
	air := rd.air
	if rd.sampling >= 0 {
		air = rd.airOf(rd.row.cells[rd.sampling])
	}
	rd.trace.Sampling = append(rd.trace.Sampling, air)
	for i := range rd.cols {
		rd.cell(&rd.cols[i], &rd.row.cells[i], air)
	}
}
