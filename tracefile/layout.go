package tracefile

import (
	"fmt"
	"strings"

	"telltale/record"
)

// Layout says how a foreign file is to be read; ReadLayout reads one
// (docs/formats.md, telltale-layout/1). The zero Layout is our own format.
type Layout struct {
	Name      string // the file it was read from, for messages
	Separator byte   // 0 = shown by the heading
	Decimal   byte   // '.' or ','; 0 = shown by the whole file
	Encoding  string // "", "utf-8" or "windows-1252"
	Skip      int    // lines to pass over before anything else

	Names    []string // of the columns, when the file has no heading
	Columns  []LayoutColumn
	Ignore   []string // columns that are not used
	Missing  []string // words for "nothing was read"
	Overload []string // words for "beyond the counter's range"
	Sampling map[string]record.Air
	Notes    []record.Note // added to those of the file
}

// LayoutColumn maps one foreign column to one of ours.
type LayoutColumn struct {
	From, To string
	Unit     string // one of Units; "" = the one of To
	Format   string // pattern of a written time, see newClock
	TZ       string // offset such as +02:00 of times without a zone
	// FullScale is the reading, in the file's unit, from which on the counter can
	// only say "at least"; 0 = not known.
	FullScale float64

	col column
}

// unit says how a reading comes to our unit: it is multiplied and divided. One of
// the two is 1, so that the step is one correctly rounded operation.
type unit struct {
	name           string
	multiply, over float64
	kinds          []kind
}

var perVolume = []kind{kindAir, kindLine, kindChannel}

// units are those a layout may name. A cubic foot is 0.3048^3 m3 by definition.
var units = []unit{
	{"per_cm3", 1, 1, perVolume},
	{"per_l", 1, 1e3, perVolume},
	{"per_0.1l", 1, 1e2, perVolume},
	{"per_m3", 1, 1e6, perVolume},
	{"per_ft3", 1, 28316.846592, perVolume},
	{"counts", 1, 1, []kind{kindAir, kindLine}},
	{"s", 1, 1, []kind{kindSeconds}},
	{"ms", 1, 1e3, []kind{kindSeconds}},
	{"us", 1, 1e6, []kind{kindSeconds}},
	{"ns", 1, 1e9, []kind{kindSeconds}},
	{"min", 60, 1, []kind{kindSeconds}},
	{"excel_days", 1, 1, []kind{kindSeconds}},
	{"rfc3339", 1, 1, []kind{kindInstant}},
	{"cm3", 1, 1, []kind{kindVolume}},
	{"l", 1e3, 1, []kind{kindVolume}},
	{"l_min", 1, 1, []kind{kindFlow}},
	{"l_s", 60, 1, []kind{kindFlow}},
	{"pa", 1, 1, []kind{kindPressure}},
	{"hpa", 1e2, 1, []kind{kindPressure}},
	{"kpa", 1e3, 1, []kind{kindPressure}},
}

// Units lists the words that a layout may use as a unit.
func Units() []string {
	out := make([]string, len(units))
	for i, u := range units {
		out[i] = u.name
	}
	return out
}

// column finds what the layout says of a column; ok is false where it says
// nothing.
func (l *Layout) column(name string) (column, bool) {
	if l == nil {
		return column{}, false
	}
	for _, c := range l.Columns {
		if sameWord(c.From, name) {
			col := c.col
			col.name = name
			return col, true
		}
	}
	for _, w := range l.Ignore {
		if sameWord(w, name) {
			return column{name: name, kind: kindIgnored}, true
		}
	}
	return column{}, false
}

func sameWord(a, b string) bool {
	return strings.EqualFold(strings.Trim(a, " \t"), strings.Trim(b, " \t"))
}

func contains(words []string, text []byte) bool {
	for _, w := range words {
		if sameWord(w, string(text)) {
			return true
		}
	}
	return false
}

func (l *Layout) isMissing(text []byte) bool {
	return l != nil && len(l.Missing) > 0 && contains(l.Missing, text)
}

func (l *Layout) isOverload(text []byte) bool { return l != nil && contains(l.Overload, text) }

// confirms reports whether the layout states the unit of a column of times.
func (l *Layout) confirms(name string) bool {
	c, ok := l.column(name)
	return ok && c.kind == kindSeconds
}

// tell makes the remarks on what the layout changed.
func (l *Layout) tell(rd *reader) {
	rd.trace.Notes = append(rd.trace.Notes, l.Notes...)
	var ignored []string
	for _, c := range rd.cols {
		if c.kind == kindIgnored {
			ignored = append(ignored, c.name)
		}
		if c.over > 1 {
			rd.remark(remarkConverted, 0, "column %s: readings were divided by %s to give %s", c.name, plain(nil, c.over), c.known)
		} else if c.multiply > 1 {
			rd.remark(remarkConverted, 0, "column %s: readings were multiplied by %s to give %s", c.name, plain(nil, c.multiply), c.known)
		}
	}
	if len(ignored) > 0 {
		rd.remark(remarkIgnored, 0, "ignored, as the layout says: %s", list(ignored))
	}
	var absent []string
	for _, c := range l.Columns {
		if !rd.has(func(o column) bool { return sameWord(o.name, c.From) }) {
			absent = append(absent, c.From)
		}
	}
	if len(absent) > 0 {
		rd.remark(remarkAbsent, 0, "the layout maps columns that the file does not have: %s", list(absent))
	}
}

// words lists the headings that a file may have under the layout.
func (l *Layout) words() []string {
	out := known()
	if l != nil {
		for _, c := range l.Columns {
			out = append(out, c.From)
		}
	}
	return out
}

// settle works out what the column means, or says what is wrong with it and
// which key to look at.
func (c *LayoutColumn) settle() (key string, err error) {
	col, ok := named(c.To)
	if !ok {
		return "to", fmt.Errorf("%s is none of our columns", shown([]byte(c.To)))
	}
	c.col = col
	c.col.full = c.FullScale
	if c.FullScale != 0 && !col.particles() {
		return "full_scale", fmt.Errorf("%s has no full scale", c.To)
	}
	if isMass(strings.ToLower(c.Unit)) {
		return "unit", fmt.Errorf("%s is a mass; mass and number are never mixed", c.Unit)
	}
	if key, err := c.settleTime(); err != nil {
		return key, err
	}
	if c.Unit == "" {
		if (col.particles() && !col.raw || col.kind == kindSeconds) && !sameWord(c.From, c.To) {
			return "unit", fmt.Errorf("column %q needs a unit", c.From)
		}
		return "", nil
	}
	for _, u := range units {
		if u.name != c.Unit {
			continue
		}
		for _, k := range u.kinds {
			if k == col.kind && (u.name == "counts") == col.raw {
				c.col.multiply, c.col.over = u.multiply, u.over
				c.col.days = u.name == "excel_days"
				return "", nil
			}
		}
		return "unit", fmt.Errorf("%s is no unit of %s", c.Unit, c.To)
	}
	return "unit", fmt.Errorf("unit %s is not known", shown([]byte(c.Unit)))
}

// settleTime works out the pattern and the zone of a column of times.
func (c *LayoutColumn) settleTime() (key string, err error) {
	if c.Format == "" && c.TZ == "" {
		return "", nil
	}
	if c.col.kind != kindInstant && !(c.col.kind == kindSeconds && c.Unit == "excel_days" && c.Format == "") {
		return "format", fmt.Errorf("format and tz belong to a column of times (to: time), tz also to unit: excel_days")
	}
	clk := rfc3339
	if c.Format != "" {
		made, err := newClock(c.Format)
		if err != nil {
			return "format", err
		}
		clk = *made
	}
	if c.TZ != "" {
		var p parts
		rest, ok := p.zone([]byte(c.TZ))
		if !ok || len(rest) > 0 {
			return "tz", fmt.Errorf("%s is not an offset such as +02:00", shown([]byte(c.TZ)))
		}
		clk.offset, clk.given = p.offset, true
	}
	if clk.dated && !clk.zoned && !clk.given {
		return "format", fmt.Errorf("the pattern has no Z, so tz has to state the offset, such as \"+02:00\"")
	}
	c.col.clock = &clk
	return "", nil
}
