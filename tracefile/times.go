package tracefile

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"telltale/record"
)

// times is what is remembered of the times of a file.
type times struct {
	first    float64 // time_s of the first row as written, in seconds (days for days)
	start    instant
	hasStart bool
	last     float64
	equal    int
	equalAt  int
	backward int
	decided  bool
	line     int  // of the first row
	micro    bool // times are rounded to a microsecond: the float has no more
}

// longest is the longest recording in seconds that is believed, 300 years.
const longest = 1e10

// seconds reads a cell of time_s.
func (rd *reader) seconds(col *column, c *cell) {
	v, ok, _ := rd.number(col, c)
	if !ok {
		rd.noTime(col, c)
		rd.tick(rd.times.last)
		return
	}
	if !col.days {
		v = col.ours(v)
	}
	tm := &rd.times
	if !tm.decided {
		tm.decided = true
		tm.first, tm.line = v, rd.row.line
		rd.epoch(col, c, v)
	}
	s := v - tm.first
	if col.days {
		s *= 86400
	}
	if tm.micro {
		s = math.Round(s*1e6) / 1e6
	}
	if !(math.Abs(s) < longest) {
		rd.stop("E124", rd.row.line, c.col, fmt.Sprintf("column %s: %s is not a time in seconds of the same recording as the first row", col.name, shown(trim(c.text))),
			"Check the time of this row and of the first one.")
		return
	}
	rd.tick(s)
}

// noTime is the fault of a cell without a time, unless it has one already.
func (rd *reader) noTime(col *column, c *cell) {
	if text := trim(c.text); len(text) == 0 || rd.layout.isMissing(text) {
		rd.cellFault("E111", col, c, "the time is missing", "Give every row its time, or take the row out.")
	}
}

// since1970 reports a number in which times since 1970 lie, from 2001 to 2100,
// counted in units of which scale make a second.
func since1970(v, scale float64) bool { return v >= 978307200*scale && v < 4102444800*scale }

// epoch looks at the first time: it may count from 1970, in seconds or in a
// smaller unit.
func (rd *reader) epoch(col *column, c *cell, v float64) {
	tm := &rd.times
	if col.days {
		tm.micro = true
		if col.clock != nil {
			ns := math.Round((v - 25569) * 86400 * 1e6)
			tm.start = instant{sec: int64(math.Floor(ns/1e6)) - int64(col.clock.offset), ns: int64(math.Mod(math.Mod(ns, 1e6)+1e6, 1e6)) * 1000, offset: col.clock.offset}
			tm.hasStart = true
		}
		return
	}
	if since1970(v, 1) {
		tm.micro, tm.hasStart = true, true
		micro := math.Round(v * 1e6)
		tm.start = instant{sec: int64(math.Floor(micro / 1e6)), ns: int64(math.Mod(micro, 1e6)) * 1000}
		rd.remark(remarkEpoch, rd.row.line, "time_s counts seconds from 1970: the first row is at %s", tm.start.time().Format(time.RFC3339Nano))
		return
	}
	for _, u := range []struct {
		scale      float64
		name, unit string
	}{{1e3, "milliseconds", "ms"}, {1e6, "microseconds", "us"}, {1e9, "nanoseconds", "ns"}} {
		if since1970(v, u.scale) {
			rd.notSeconds(col, c, fmt.Sprintf("looks like %s since 1970", u.name), u.unit)
			return
		}
	}
}

// notSeconds refuses a time that is not in seconds and names the line of a
// layout that confirms it.
func (rd *reader) notSeconds(col *column, c *cell, what, unit string) {
	rd.stop("E124", rd.row.line, c.col, fmt.Sprintf("column %s: %s %s, not seconds", col.name, trim(c.text), what),
		fmt.Sprintf("Write seconds, or confirm it in a layout: columns: {%s: {to: time_s, unit: %s}}.", strconv.Quote(strings.Trim(col.name, " \t")), unit))
}

// instant reads a cell of time.
func (rd *reader) instant(col *column, c *cell) {
	clk := col.clock
	if clk == nil {
		clk = &rfc3339
	}
	text := trim(c.text)
	i, local, ok := clk.read(text)
	if local && clk.given {
		ok = true
	}
	tm := &rd.times
	if !ok {
		rd.badTime(col, c, clk, local)
		rd.tick(tm.last)
		return
	}
	if !tm.decided {
		tm.decided, tm.start, tm.hasStart = true, i, clk.dated
		if !clk.dated {
			tm.start.offset = 0
		}
	}
	rd.tick(i.since(tm.start))
}

// badTime says why a time cannot be used.
func (rd *reader) badTime(col *column, c *cell, clk *clock, local bool) {
	text := trim(c.text)
	name := strconv.Quote(strings.Trim(col.name, " \t"))
	if local {
		rd.cellFault("E117", col, c, shown(text)+" has no zone: when summer time ends, one hour comes twice",
			"Write the offset behind it, such as "+string(text)+"+02:00, or state it in a layout: columns: {"+name+": {to: time, format: \"YYYY-MM-DDThh:mm:ssf\", tz: \"+02:00\"}}.")
		return
	}
	if len(text) == 0 {
		rd.noTime(col, c)
		return
	}
	if n, ok := parseNumber(text); ok {
		unit := "s"
		switch v := n.value; {
		case since1970(v, 1e3):
			unit = "ms"
		case since1970(v, 1e6):
			unit = "us"
		case serialDay(v):
			unit = "excel_days"
		}
		rd.stop("E124", rd.row.line, c.col, fmt.Sprintf("column %s: %s is a plain number, not a time such as 2026-08-14T18:05:00+02:00", col.name, text),
			fmt.Sprintf("Name the column time_s if it holds seconds, or confirm its unit in a layout: columns: {%s: {to: time_s, unit: %s}}.", name, unit))
		return
	}
	if clk == &rfc3339 && slashed(text) {
		rd.cellFault("E118", col, c, shown(text)+" can be read with day or month first",
			"Write 2026-08-14T18:05:00+02:00, or state the order in a layout: columns: {"+name+": {to: time, format: \"DD/MM/YYYY hh:mm:ss\", tz: \"+02:00\"}}.")
		return
	}
	rd.cellFault("E111", col, c, shown(text)+" is not a time of the form "+clk.pattern, "Write times such as 2026-08-14T18:05:00+02:00, or state the form in a layout (format:).")
}

// serialDay reports a number that is a day from 2000 to 2099 in the count of
// spreadsheets (days since 1899-12-30).
func serialDay(v float64) bool { return v >= 36526 && v < 73051 }

// tick takes the time of the row, in seconds after the first.
func (rd *reader) tick(s float64) {
	t, tm := rd.trace, &rd.times
	if n := len(t.TimeS); n > 0 && s <= tm.last {
		if s < tm.last && tm.backward == 0 && len(rd.faults) < maxFaults {
			tm.backward++
			rd.fault("E116", rd.row.line, 0, fmt.Sprintf("the time goes back by %s s from the row before", plain(nil, math.Round((tm.last-s)*1e6)/1e6)),
				"Cut the file there into two traces, or put the rows in order.")
		} else if s == tm.last {
			if tm.equal++; tm.equal == 1 {
				tm.equalAt = rd.row.line
			}
		}
	}
	tm.last = s
	t.TimeS = append(t.TimeS, s)
}

// finish judges what only the whole file shows.
func (rd *reader) finish() {
	t, tm := rd.trace, &rd.times
	if t.Rows() == 0 {
		what := "no measurements: only a heading line was found"
		if len(t.Remarks) > 0 && t.Remarks[len(t.Remarks)-1].Code == remarkLastLine {
			what += "; the line below it has no line end, so it may be cut off and is not used"
		}
		rd.fault("E102", 0, 0, what, "Copy the file again from the counter, and check that the recording was running.")
		return
	}
	rd.serial()
	rd.decimals.judge(rd)
	if tm.hasStart {
		t.Start = tm.start.time()
	} else if rd.has(ofKind(kindSeconds)) {
		t.Start, t.Notes = startNote(t.Notes)
	}
	if tm.equal > 0 {
		rd.remark(remarkEqualTimes, tm.equalAt, "%d rows have the time of the row before; their order is kept, and the rate is that of the rows", tm.equal)
	}
	if e := rd.lines.ends; e[endCRLF]+e[endCR] > 0 {
		rd.remark(remarkLineEnds, 0, "line ends: %d LF, %d CRLF, %d CR; all are read alike", e[endLF], e[endCRLF], e[endCR])
	}
	rd.slips.tell(rd)
	if rd.layout != nil {
		rd.layout.tell(rd)
	}
	rd.fillAirs()
	sortOverloads(t.Overload)
}

// sortOverloads puts them in the order of rows, then of columns.
func sortOverloads(o []record.Overload) {
	slices.SortStableFunc(o, func(a, b record.Overload) int {
		return cmp.Or(cmp.Compare(a.Row, b.Row), cmp.Compare(a.Channel, b.Channel), cmp.Compare(a.Air, b.Air))
	})
}

// serial refuses times of a spreadsheet that were taken for seconds.
func (rd *reader) serial() {
	t := rd.trace
	for _, c := range rd.cols {
		if c.kind != kindSeconds || c.days || c.over != 0 || c.clock != nil || !serialDay(rd.times.first) || rd.layout.confirms(c.name) {
			continue
		}
		steps := make([]float64, 0, len(t.TimeS))
		for i := 1; i < len(t.TimeS); i++ {
			steps = append(steps, t.TimeS[i]-t.TimeS[i-1])
		}
		slices.Sort(steps)
		if len(steps) == 0 || steps[len(steps)/2] < 0.02 {
			rd.fault("E124", rd.times.line, 0, fmt.Sprintf("column %s: times from %s on in such small steps look like days of a spreadsheet, not seconds", c.name, plain(nil, rd.times.first)),
				fmt.Sprintf("Write seconds, or confirm it in a layout: columns: {%s: {to: time_s, unit: excel_days}} (or unit: s).", strconv.Quote(strings.Trim(c.name, " \t"))))
		}
	}
}

// startNote takes the first note "start" that is an instant out of the notes: it
// is how Write keeps the instant of the first row.
func startNote(notes []record.Note) (time.Time, []record.Note) {
	for i, n := range notes {
		if n.Key != "start" {
			continue
		}
		if at, _, ok := rfc3339.read([]byte(n.Value)); ok && !at.time().IsZero() {
			rest := append(append([]record.Note(nil), notes[:i]...), notes[i+1:]...)
			return at.time(), rest
		}
	}
	return time.Time{}, notes
}

// fillAirs makes the air columns that the file does not have.
func (rd *reader) fillAirs() {
	t := rd.trace
	for _, col := range []*[]float64{&t.Ambient, &t.Inside} {
		if len(*col) == 0 {
			*col = make([]float64, t.Rows())
			for i := range *col {
				(*col)[i] = math.NaN()
			}
		}
	}
}
