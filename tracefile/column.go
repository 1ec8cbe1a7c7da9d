package tracefile

import (
	"strings"

	"telltale/quantity"
	"telltale/record"
)

// kind is what a column holds.
type kind uint8

const (
	kindIgnored  kind = iota
	kindSeconds       // time_s
	kindInstant       // time
	kindAir           // ambient or inside, concentration or count
	kindLine          // concentration or count of a switched line
	kindSampling      // which air the line is on
	kindVolume        // volume_cm3
	kindChannel       // one air of a size channel
	kindExercise
	kindFlow
	kindPressure
	kindNote
)

// column is one column of a file and what is done with its cells.
type column struct {
	name  string // heading as written, for messages
	known string // our name for it
	kind  kind
	air   record.Air
	raw   bool // counts, not concentrations

	low, high quantity.Diameter // of a channel
	channel   int               // 1-based index into the trace's channels

	multiply, over float64 // bring a reading to our unit; over is 0 without a layout
	full           float64 // reading from which on the counter only says "at least"; 0 = none
	clock          *clock  // for times of a layout
	days           bool    // times are spreadsheet days

	values *[]float64 // where the readings go
}

// names are the fixed headings of the format, in the order of docs/formats.md.
var names = []struct {
	name string
	col  column
}{
	{"time_s", column{kind: kindSeconds}},
	{"time", column{kind: kindInstant}},
	{"ambient_per_cm3", column{kind: kindAir, air: record.Ambient}},
	{"inside_per_cm3", column{kind: kindAir, air: record.Inside}},
	{"concentration_per_cm3", column{kind: kindLine}},
	{"sampling", column{kind: kindSampling}},
	{"ambient_count", column{kind: kindAir, air: record.Ambient, raw: true}},
	{"inside_count", column{kind: kindAir, air: record.Inside, raw: true}},
	{"count", column{kind: kindLine, raw: true}},
	{"volume_cm3", column{kind: kindVolume}},
	{"exercise", column{kind: kindExercise}},
	{"flow_l_min", column{kind: kindFlow}},
	{"pressure_pa", column{kind: kindPressure}},
	{"note", column{kind: kindNote}},
}

// known lists the headings for messages.
func known() []string {
	var out []string
	for _, n := range names {
		out = append(out, n.name)
	}
	return append(out, "ambient_0.3_0.5um_per_cm3", "inside_gt0.3um_per_cm3")
}

// named finds the column that a heading means, case and surrounding blanks
// aside.
func named(heading string) (column, bool) {
	word := strings.ToLower(strings.Trim(heading, " \t"))
	for _, n := range names {
		if n.name == word {
			c := n.col
			c.name, c.known = heading, word
			return c, true
		}
	}
	if c, unit, ok := channelNamed(word); ok && unit == "per_cm3" {
		c.name, c.known = heading, word
		return c, true
	}
	return column{}, false
}

// channelNamed reads ambient_<lo>_<hi>um_<unit> and ambient_gt<lo>um_<unit>.
func channelNamed(word string) (c column, unit string, ok bool) {
	c.kind = kindChannel
	rest, ambient := strings.CutPrefix(word, "ambient_")
	c.air = record.Ambient
	if !ambient {
		if rest, ok = strings.CutPrefix(word, "inside_"); !ok {
			return c, "", false
		}
		c.air = record.Inside
	}
	sizes, unit, ok := strings.Cut(rest, "um_")
	if !ok {
		return c, "", false
	}
	if low, above := strings.CutPrefix(sizes, "gt"); above {
		c.low, ok = micrometres(low)
		return c, unit, ok
	}
	low, high, ok := strings.Cut(sizes, "_")
	if !ok {
		return c, "", false
	}
	var okHigh bool
	c.low, ok = micrometres(low)
	c.high, okHigh = micrometres(high)
	return c, unit, ok && okHigh && c.low < c.high
}

// micrometres reads a size of a heading: a plain number above 0 and up to 1000.
func micrometres(s string) (quantity.Diameter, bool) {
	n, ok := parseNumber([]byte(s))
	return quantity.Diameter(n.value), ok && !n.comma && n.value > 0 && n.value <= 1000
}

// channelName is the heading of one air of a channel.
func channelName(air record.Air, c record.Channel) string {
	b := append([]byte(air.String()), '_')
	if c.High == 0 {
		b = append(b, "gt"...)
	} else {
		b = append(plain(b, float64(c.Low)), '_')
	}
	if c.High == 0 {
		b = plain(b, float64(c.Low))
	} else {
		b = plain(b, float64(c.High))
	}
	return string(append(b, "um_per_cm3"...))
}

// otherUnit tells whether a heading is one of ours but for its unit, and names
// ours. mass is true when the unit is a mass.
func otherUnit(heading string) (ours string, mass, ok bool) {
	word := strings.ToLower(strings.Trim(heading, " \t"))
	for _, m := range []string{"g/m3", "g/m³", "ug_m3", "µg_m3", "mg_m3"} {
		if strings.Contains(word, m) {
			return "", true, true
		}
	}
	if c, unit, channel := channelNamed(word); channel {
		ours = channelName(c.air, record.Channel{Low: c.low, High: c.high})
		return ours, isMass(unit), true
	}
	cut := strings.IndexAny(word, "_ ([#/")
	if cut < 0 {
		return "", false, false
	}
	unit := strings.Trim(word[cut:], "_ ()[]#/")
	for _, n := range names {
		base, own, has := strings.Cut(n.name, "_")
		if !has || base != word[:cut] || own == "count" {
			continue
		}
		if isMass(unit) || isUnit(unit) {
			return n.name, isMass(unit), true
		}
	}
	return "", false, false
}

// isUnit knows how people write units of counts, times, flows and pressures.
func isUnit(unit string) bool {
	switch unit {
	case "ms", "us", "ns", "min", "h", "hours", "minutes", "seconds", "sec", "days",
		"l", "ml", "cm3", "cc", "m3", "ft3", "cf", "l_s", "lpm", "slpm", "ml_min", "m3_h", "cfm", "cm3_s",
		"hpa", "kpa", "mbar", "bar", "mmh2o", "inh2o", "s", "l_min", "l/min", "pa", "pt_cc":
		return true
	}
	for _, p := range []string{"per_", "per ", "p/", "#/", "1/", "pt/", "particles/", "counts/", "n/"} {
		if strings.HasPrefix(unit, p) {
			return true
		}
	}
	return false
}

func isMass(unit string) bool {
	for _, p := range []string{"mg", "ug", "µg", "μg", "ng", "g/m3", "g_m3", "g_per"} {
		if strings.HasPrefix(unit, p) {
			return true
		}
	}
	return false
}
