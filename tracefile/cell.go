package tracefile

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"telltale/fault"
	"telltale/record"
)

// cell reads one cell of the row that is being read; every column gets exactly
// one value for it.
func (rd *reader) cell(col *column, c *cell, air record.Air) {
	switch col.kind {
	case kindSeconds:
		rd.seconds(col, c)
	case kindInstant:
		rd.instant(col, c)
	case kindAir, kindChannel:
		*col.values = append(*col.values, rd.particles(col, c, col.air))
	case kindLine:
		rd.line(col, c, air)
	case kindVolume:
		*col.values = append(*col.values, rd.volume(col, c))
	case kindFlow, kindPressure:
		*col.values = append(*col.values, rd.signed(col, c))
	case kindExercise:
		rd.label(c)
	case kindNote:
		if text := words(c); text != "" {
			rd.trace.RowNotes = append(rd.trace.RowNotes, record.RowNote{Row: rd.rowIndex(), Text: text})
		}
	}
}

// rowIndex is the index of the row being read.
func (rd *reader) rowIndex() int { return len(rd.trace.Sampling) - 1 }

// number reads a cell as a number. ok is false for an empty cell, a word for
// missing, and a cell with a fault; word is then true when it holds text that
// may be a word for too much.
func (rd *reader) number(col *column, c *cell) (v float64, ok, word bool) {
	text := trim(c.text)
	if len(text) == 0 || rd.layout.isMissing(text) {
		return 0, false, false
	}
	n, ok := parseNumber(text)
	if !ok {
		if col.particles() && rd.overload(text) != "" {
			return 0, false, true
		}
		code, what, do := notNumber(text)
		rd.cellFault(code, col, c, what, do)
		return 0, false, false
	}
	if n.point || n.comma {
		rd.decimals.see(n, rd.row.line, text)
	}
	return n.value, true, false
}

func (c *column) particles() bool {
	return c.kind == kindAir || c.kind == kindLine || c.kind == kindChannel
}

func (rd *reader) cellFault(code string, col *column, c *cell, what, do string) {
	rd.fault(code, rd.row.line, c.col, fmt.Sprintf("column %s: %s", strings.Trim(col.name, " \t"), what), do)
}

// particles reads a concentration or count; NaN where none was read.
func (rd *reader) particles(col *column, c *cell, air record.Air) float64 {
	v, ok, word := rd.number(col, c)
	switch {
	case word:
		rd.exceeds(col, air, rd.overload(trim(c.text)))
		return math.NaN()
	case !ok:
		return math.NaN()
	case v < 0:
		rd.cellFault("E109", col, c, fmt.Sprintf("%s is below zero", shown(trim(c.text))),
			"Give the readings as the counter showed them, without a zero taken off; the background is taken off by a zero check.")
		return math.NaN()
	case col.full > 0 && v >= col.full:
		rd.slips.full++
		rd.exceeds(col, air, ">="+string(plain(nil, col.ours(v))))
		return math.NaN()
	}
	v = col.ours(v)
	if v >= Absurd {
		rd.slips.seeAbsurd(rd.row.line, trim(c.text))
		return math.NaN()
	}
	if col.raw && v != math.Floor(v) {
		rd.slips.seeFraction(rd.row.line)
	}
	return v
}

// ours brings a reading to our unit.
func (c *column) ours(v float64) float64 {
	if c.over == 0 {
		return v
	}
	return v * c.multiply / c.over
}

// exceeds notes a reading beyond the counter's range.
func (rd *reader) exceeds(col *column, air record.Air, word string) {
	rd.trace.Overload = append(rd.trace.Overload, record.Overload{Row: rd.rowIndex(), Air: air, Word: word, Channel: col.channel})
}

// line reads the cell of a switched line into the column of the air it was on.
func (rd *reader) line(col *column, c *cell, air record.Air) {
	t := rd.trace
	none := math.NaN()
	switch air {
	case record.Ambient:
		t.Ambient = append(t.Ambient, rd.particles(col, c, air))
		t.Inside = append(t.Inside, none)
	case record.Inside:
		t.Ambient = append(t.Ambient, none)
		t.Inside = append(t.Inside, rd.particles(col, c, air))
	default:
		before := t.Overload
		rd.particles(col, c, air)
		t.Overload = before // what is rinsed is not used
		t.Ambient = append(t.Ambient, none)
		t.Inside = append(t.Inside, none)
	}
}

// signed reads a flow or a pressure, which may have either sign.
func (rd *reader) signed(col *column, c *cell) float64 {
	v, ok, _ := rd.number(col, c)
	if !ok {
		return math.NaN()
	}
	if v = col.ours(v); math.Abs(v) >= Absurd {
		rd.slips.seeAbsurd(rd.row.line, trim(c.text))
		return math.NaN()
	}
	return v
}

// volume reads the sampled volume, which has to be above zero.
func (rd *reader) volume(col *column, c *cell) float64 {
	v, ok, _ := rd.number(col, c)
	if !ok {
		return math.NaN()
	}
	if v <= 0 {
		rd.cellFault("E109", col, c, fmt.Sprintf("%s is not above zero", shown(trim(c.text))), "Give the volume of air in which the row's particles were counted, or leave the cell empty.")
		return math.NaN()
	}
	if v = col.ours(v); v >= Absurd {
		rd.slips.seeAbsurd(rd.row.line, trim(c.text))
		return math.NaN()
	}
	return v
}

// airs are the words of the column sampling.
var airs = []string{"ambient", "inside", "purge"}

// airOf reads the cell of the column sampling.
func (rd *reader) airOf(c cell) record.Air {
	text := strings.ToLower(string(trim(c.text)))
	if rd.layout != nil {
		if air, ok := rd.layout.Sampling[text]; ok {
			return air
		}
	}
	switch text {
	case "ambient":
		return record.Ambient
	case "inside":
		return record.Inside
	case "purge":
		return record.Purge
	case "":
		rd.fault("E111", rd.row.line, c.col, "column sampling: the cell is empty", "Write ambient, inside or purge in every row.")
	default:
		rd.fault("E111", rd.row.line, c.col, "column sampling: "+shown(trim(c.text))+" is not ambient, inside or purge",
			fault.DidYouMean(text, airs)+" A layout can map other words (sampling:).")
	}
	return record.NoAir
}

// overload gives the word to keep when text says that the reading is beyond the
// counter's range: OVER and its like, or > with or without a number.
func (rd *reader) overload(text []byte) string {
	if len(text) > 0 && text[0] == '>' {
		rest := trim(bytes.TrimPrefix(text[1:], []byte("=")))
		if n, ok := parseNumber(rest); len(rest) == 0 || ok && n.value >= 0 {
			return string(text)
		}
		return ""
	}
	switch word := strings.ToLower(string(text)); {
	case word == "over", word == "overload", word == "overloaded", word == "overflow", word == "overrange", word == "over range",
		word == "over-range", word == "over limit", word == "ovl", word == "ovr", word == "saturated":
		return string(text)
	case strings.HasPrefix(word, "over (") && strings.HasSuffix(word, ")"):
		return string(text)
	}
	if rd.layout.isOverload(text) {
		return "OVER (" + string(text) + ")"
	}
	return ""
}

// label reads the cell of the column exercise.
func (rd *reader) label(c *cell) {
	t := rd.trace
	if t.Rows() > 0 && rd.exercise >= 0 && bytes.Equal(c.text, rd.labelText) && !c.quoted {
		t.Exercise = append(t.Exercise, rd.exercise)
		return
	}
	rd.exercise = -1
	if text := words(c); text != "" {
		index, ok := rd.labels[text]
		if !ok {
			index = int32(len(t.Labels))
			rd.labels[text] = index
			t.Labels = append(t.Labels, text)
		}
		rd.exercise = index
		rd.labelText = append(rd.labelText[:0], c.text...)
		if c.quoted {
			rd.labelText = append(rd.labelText[:0], '"')
		}
	}
	t.Exercise = append(t.Exercise, rd.exercise)
}

// words is the text of a cell: blanks at its ends are dropped unless quotes held
// them, and the quote that Write puts before a formula is taken off.
func words(c *cell) string {
	text := c.text
	if !c.quoted {
		text = trim(text)
	}
	if len(text) > 0 && text[0] == '\'' && formula(string(text)) {
		text = text[1:]
	}
	return string(text)
}

// formula reports text that a spreadsheet would take for a formula once single
// quotes before it are gone.
func formula(text string) bool {
	text = strings.TrimLeft(text, "'")
	return text != "" && strings.IndexByte("=+-@\t\r", text[0]) >= 0
}

// slips counts what is kept out or odd, for one remark each.
type slips struct {
	absurd, absurdLine int
	absurdText         string
	fraction, fracLine int
	full               int
}

func (s *slips) seeAbsurd(line int, text []byte) {
	if s.absurd++; s.absurd == 1 {
		s.absurdLine, s.absurdText = line, string(text)
	}
}

func (s *slips) seeFraction(line int) {
	if s.fraction++; s.fraction == 1 {
		s.fracLine = line
	}
}

// tell makes the remarks.
func (s *slips) tell(rd *reader) {
	if s.absurd > 0 {
		rd.remark(remarkAbsurd, s.absurdLine, "%s readings are absurd (1e12 or more, the first is %s) and were kept out as missing", strconv.Itoa(s.absurd), s.absurdText)
	}
	if s.fraction > 0 {
		rd.remark(remarkFraction, s.fracLine, "%d counts are not whole numbers; they may be averages", s.fraction)
	}
	if s.full > 0 {
		rd.remark(remarkFullScale, 0, "%d readings are at or above the full scale of the layout and count as \"at least\"", s.full)
	}
}
