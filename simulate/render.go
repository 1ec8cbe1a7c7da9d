package simulate

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"time"

	"telltale/quantity"
	"telltale/record"
)

// Render writes a trace as a trace file, version 1 (docs/formats.md): notes, one
// header row, and the columns that hold anything. Numbers are written in the
// fewest digits that read back as the same number, so that a trace read from the
// file is the trace that was written. A trace with a Start bears instants, any
// other seconds.
func Render(t *record.Trace) []byte {
	var b bytes.Buffer
	for _, n := range t.Notes {
		b.WriteString("# " + n.Key + ": " + n.Value + "\n")
	}
	columns := layout(t)
	for i, c := range columns {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(c.name)
	}
	b.WriteByte('\n')
	for row := range t.Rows() {
		for i, c := range columns {
			if i > 0 {
				b.WriteByte(',')
			}
			b.Write(c.cell(b.AvailableBuffer(), row))
		}
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// field is one column of the file.
type field struct {
	name string
	cell func(dst []byte, row int) []byte
}

// layout lists the columns of a trace in the usual order.
func layout(t *record.Trace) []field {
	out := []field{timeField(t)}
	if t.Switched {
		out = append(out, field{"sampling", func(dst []byte, row int) []byte { return append(dst, t.Sampling[row].String()...) }})
	}
	over := overloads(t)
	switch {
	case t.Switched && (any64(t.Ambient) || any64(t.Inside) || len(t.Channels) == 0):
		out = append(out, field{named(t, "concentration_per_cm3", "count"), func(dst []byte, row int) []byte {
			dst = over.cell(dst, record.Ambient, t.Ambient, row)
			return over.cell(dst, record.Inside, t.Inside, row) // one of the two is empty
		}})
	case !t.Switched:
		for _, air := range []record.Air{record.Ambient, record.Inside} {
			if values := column(t, air); any64(values) || over.of(air) {
				name := named(t, air.String()+"_per_cm3", air.String()+"_count")
				out = append(out, field{name, func(dst []byte, row int) []byte { return over.cell(dst, air, values, row) }})
			}
		}
	}
	if t.VolumeCM3 != nil {
		out = append(out, numbers("volume_cm3", t.VolumeCM3))
	}
	for _, c := range t.Channels {
		if c.Ambient != nil {
			out = append(out, numbers("ambient_"+sizes(c.Low, c.High), c.Ambient))
		}
		if c.Inside != nil {
			out = append(out, numbers("inside_"+sizes(c.Low, c.High), c.Inside))
		}
	}
	if t.Exercise != nil {
		out = append(out, field{"exercise", func(dst []byte, row int) []byte { return append(dst, quoted(t, row)...) }})
	}
	return out
}

func timeField(t *record.Trace) field {
	if t.Start.IsZero() {
		return numbers("time_s", t.TimeS)
	}
	return field{"time", func(dst []byte, row int) []byte {
		at := t.Start.Add(time.Duration(math.Round(t.TimeS[row]*1000)) * time.Millisecond)
		return at.AppendFormat(dst, "2006-01-02T15:04:05.000Z07:00")
	}}
}

func named(t *record.Trace, concentration, count string) string {
	if t.Reading == record.RawCounts {
		return count
	}
	return concentration
}

func sizes(low, high quantity.Diameter) string {
	if high == 0 {
		return "gt" + number(low) + "um_per_cm3"
	}
	return number(low) + "_" + number(high) + "um_per_cm3"
}

func number(d quantity.Diameter) string { return strconv.FormatFloat(float64(d), 'f', -1, 64) }

func numbers(name string, values []float64) field {
	return field{name, func(dst []byte, row int) []byte {
		if math.IsNaN(values[row]) {
			return dst
		}
		return strconv.AppendFloat(dst, values[row], 'f', -1, 64)
	}}
}

// words holds the overload words by air and row.
type words map[record.Air]map[int]string

func overloads(t *record.Trace) words {
	w := words{}
	for _, o := range t.Overload {
		if w[o.Air] == nil {
			w[o.Air] = map[int]string{}
		}
		w[o.Air][o.Row] = o.Word
	}
	return w
}

func (w words) of(air record.Air) bool { return len(w[air]) > 0 }

func (w words) cell(dst []byte, air record.Air, values []float64, row int) []byte {
	if word, ok := w[air][row]; ok {
		return append(dst, word...)
	}
	if math.IsNaN(values[row]) {
		return dst
	}
	return strconv.AppendFloat(dst, values[row], 'f', -1, 64)
}

func any64(values []float64) bool {
	for _, v := range values {
		if !math.IsNaN(v) {
			return true
		}
	}
	return false
}

// quoted is the exercise label of a row, quoted where RFC 4180 asks for it.
func quoted(t *record.Trace, row int) string {
	if t.Exercise[row] < 0 {
		return ""
	}
	s := t.Labels[t.Exercise[row]]
	if strings.ContainsAny(s, "\",\n\r") {
		return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
	}
	return s
}
