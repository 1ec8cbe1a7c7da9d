package tracefile

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"telltale/record"
)

// outColumn is one column that is written: its heading and the text of a row.
type outColumn struct {
	name string
	cell func(dst []byte, row int) []byte
}

// Write writes t in the canonical form: notes, heading, one line a row, LF. The
// instant of the first row stands in the note start. Text that a spreadsheet
// would take for a formula gets a single quote before it (CSV injection, OWASP;
// from memory), which Read takes off again; numbers are written as they are.
//
// Reading what was written gives the same trace again, but for the things that
// belong to the file: name, sum, size, and remarks. A trace that no file can
// hold (columns of unequal length, infinite numbers, broken text) is an error.
func Write(w io.Writer, t *record.Trace) error {
	if err := writable(t); err != nil {
		return fmt.Errorf("tracefile: cannot write the trace %q: %w", t.Name, err)
	}
	out := bufio.NewWriterSize(w, 1<<16)
	for _, line := range noteLines(t) {
		out.WriteString(line)
		out.WriteByte('\n')
	}
	cols := columnsOf(t)
	line := make([]byte, 0, 256)
	for i, c := range cols {
		if i > 0 {
			line = append(line, ',')
		}
		line = append(line, c.name...)
	}
	out.Write(append(line, '\n'))
	for row := range t.Rows() {
		line = line[:0]
		for i, c := range cols {
			if i > 0 {
				line = append(line, ',')
			}
			line = c.cell(line, row)
		}
		if _, err := out.Write(append(line, '\n')); err != nil {
			return err
		}
	}
	return out.Flush()
}

// noteLines are the lines before the heading.
func noteLines(t *record.Trace) []string {
	var out []string
	if !t.Start.IsZero() {
		out = append(out, "# start: "+t.Start.Format(time.RFC3339Nano))
	}
	for _, n := range t.Notes {
		if n.Key == "" && !strings.Contains(n.Value, ":") {
			out = append(out, "# "+n.Value)
			continue
		}
		out = append(out, "# "+n.Key+": "+n.Value)
	}
	return out
}

// columnsOf are the columns of t in the order in which they are written.
func columnsOf(t *record.Trace) []outColumn {
	cols := []outColumn{{"time_s", numbers(t.TimeS)}}
	words := overloads(t)
	main := func(air record.Air, values []float64) func([]byte, int) []byte {
		return readings(values, words, air, 0)
	}
	switch unit := [...]string{"per_cm3", "count"}[t.Reading]; {
	case t.Switched:
		name := unit
		if t.Reading == record.Concentrations {
			name = "concentration_per_cm3"
		}
		ambient, inside := main(record.Ambient, t.Ambient), main(record.Inside, t.Inside)
		cols = append(cols, outColumn{"sampling", func(dst []byte, row int) []byte { return append(dst, t.Sampling[row].String()...) }},
			outColumn{name, func(dst []byte, row int) []byte {
				switch t.Sampling[row] {
				case record.Ambient:
					return ambient(dst, row)
				case record.Inside:
					return inside(dst, row)
				}
				return dst
			}})
	default:
		if hasMain(t, record.Ambient) {
			cols = append(cols, outColumn{"ambient_" + unit, main(record.Ambient, t.Ambient)})
		}
		if hasMain(t, record.Inside) {
			cols = append(cols, outColumn{"inside_" + unit, main(record.Inside, t.Inside)})
		}
	}
	if t.Reading == record.RawCounts {
		cols = append(cols, outColumn{"volume_cm3", numbers(t.VolumeCM3)})
	}
	for i, c := range t.Channels {
		if c.Ambient != nil {
			cols = append(cols, outColumn{channelName(record.Ambient, c), readings(c.Ambient, words, record.Ambient, i+1)})
		}
		if c.Inside != nil {
			cols = append(cols, outColumn{channelName(record.Inside, c), readings(c.Inside, words, record.Inside, i+1)})
		}
	}
	return append(cols, lastColumns(t)...)
}

// lastColumns are the optional ones.
func lastColumns(t *record.Trace) (cols []outColumn) {
	if t.Exercise != nil {
		cols = append(cols, outColumn{"exercise", func(dst []byte, row int) []byte {
			if i := t.Exercise[row]; i >= 0 {
				return text(dst, t.Labels[i])
			}
			return dst
		}})
	}
	if t.FlowLMin != nil {
		cols = append(cols, outColumn{"flow_l_min", numbers(t.FlowLMin)})
	}
	if t.PressurePa != nil {
		cols = append(cols, outColumn{"pressure_pa", numbers(t.PressurePa)})
	}
	if len(t.RowNotes) > 0 {
		notes := make(map[int]string, len(t.RowNotes))
		for _, n := range t.RowNotes {
			notes[n.Row] = n.Text
		}
		cols = append(cols, outColumn{"note", func(dst []byte, row int) []byte { return text(dst, notes[row]) }})
	}
	return cols
}

// sampled reports whether the rows of t, which are not of a switched line, say
// that air was sampled.
func sampled(t *record.Trace, air record.Air) bool {
	if len(t.Sampling) == 0 {
		return false
	}
	return t.Sampling[0] == air || t.Sampling[0] == record.Both
}

// hasMain reports whether air has its own column, and not size channels alone.
func hasMain(t *record.Trace, air record.Air) bool {
	if !sampled(t, air) {
		return false
	}
	for _, o := range t.Overload {
		if o.Air == air && o.Channel == 0 {
			return true
		}
	}
	values := t.Ambient
	if air == record.Inside {
		values = t.Inside
	}
	for _, v := range values {
		if !math.IsNaN(v) {
			return true
		}
	}
	for _, c := range t.Channels {
		if air == record.Ambient && c.Ambient != nil || air == record.Inside && c.Inside != nil {
			return false
		}
	}
	return true
}

// place is where an overload word stands.
type place struct {
	row     int
	air     record.Air
	channel int
}

func overloads(t *record.Trace) map[place]string {
	words := make(map[place]string, len(t.Overload))
	for _, o := range t.Overload {
		words[place{o.Row, o.Air, o.Channel}] = o.Word
	}
	return words
}

// numbers writes a column of numbers; NaN is an empty cell.
func numbers(values []float64) func([]byte, int) []byte {
	return func(dst []byte, row int) []byte {
		if math.IsNaN(values[row]) {
			return dst
		}
		return plain(dst, values[row])
	}
}

// readings writes a column of numbers with the words for too much.
func readings(values []float64, words map[place]string, air record.Air, channel int) func([]byte, int) []byte {
	write := numbers(values)
	return func(dst []byte, row int) []byte {
		if math.IsNaN(values[row]) && len(words) > 0 {
			return quote(dst, words[place{row, air, channel}])
		}
		return write(dst, row)
	}
}

// text writes the text of a person.
func text(dst []byte, s string) []byte {
	if formula(s) {
		s = "'" + s
	}
	return quote(dst, s)
}

// quote puts s in quotes where RFC 4180 or a blank at its ends needs them.
func quote(dst []byte, s string) []byte {
	if !strings.ContainsAny(s, ",\"\r\n") && strings.Trim(s, " \t") == s {
		return append(dst, s...)
	}
	s = strings.NewReplacer("\r\n", "\n", "\r", "\n", `"`, `""`).Replace(s)
	return append(append(append(dst, '"'), s...), '"')
}

// writable says what of t no file can hold.
func writable(t *record.Trace) error {
	n := t.Rows()
	columns := [][]float64{t.TimeS, t.Ambient, t.Inside}
	optional := [][]float64{t.FlowLMin, t.PressurePa}
	if t.Reading == record.RawCounts {
		columns = append(columns, t.VolumeCM3)
	}
	for _, c := range t.Channels {
		optional = append(optional, c.Ambient, c.Inside)
	}
	for _, c := range optional {
		if c != nil {
			columns = append(columns, c)
		}
	}
	for _, c := range columns {
		if len(c) != n {
			return fmt.Errorf("a column has %d rows, the times have %d", len(c), n)
		}
		for row, v := range c {
			if math.IsInf(v, 0) {
				return fmt.Errorf("row %d holds an infinite number", row+1)
			}
		}
	}
	if n == 0 || len(t.Sampling) != n || t.Exercise != nil && len(t.Exercise) != n {
		return fmt.Errorf("there are no rows, or rows without an air or an exercise")
	}
	return writableText(t)
}

func writableText(t *record.Trace) error {
	texts := append([]string(nil), t.Labels...)
	for _, n := range t.RowNotes {
		texts = append(texts, n.Text)
	}
	for _, n := range t.Notes {
		if strings.ContainsAny(n.Key+n.Value, "\r\n") {
			return fmt.Errorf("the note %q holds a line end", n.Key)
		}
		texts = append(texts, n.Key, n.Value)
	}
	for _, s := range texts {
		if !utf8.ValidString(s) || strings.Contains(s, "\x00") {
			return fmt.Errorf("the text %q is not text", s)
		}
	}
	return nil
}
