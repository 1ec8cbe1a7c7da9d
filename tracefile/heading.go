package tracefile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"telltale/fault"
	"telltale/record"
)

// heading turns the names of the columns into columns, with a fault for every
// name that cannot be used.
func (rd *reader) heading(line int, found []string) {
	if len(found) > MaxColumns {
		rd.stop("E120", line, 0, fmt.Sprintf("the heading has %d columns; the limit is %d", len(found), MaxColumns), "Leave out the columns that are not needed.")
		return
	}
	first := make(map[string]string)
	for i, name := range found {
		c, ok := rd.layout.column(name)
		if !ok {
			c, ok = named(name)
		}
		if !ok {
			rd.unknown(line, i, found)
		} else if c.kind != kindIgnored {
			if before, twice := first[c.same()]; twice {
				rd.fault("E112", line, 0, fmt.Sprintf("the columns %s and %s mean the same; found: %s", strconv.Quote(before), strconv.Quote(name), list(found)), "Leave one of them out, or name it in a layout under ignore.")
			}
			first[c.same()] = name
		}
		rd.cols = append(rd.cols, c)
	}
	rd.together(line, found)
}

// same is a key that two columns of one meaning share.
func (c column) same() string {
	if c.kind == kindChannel {
		return channelName(c.air, record.Channel{Low: c.low, High: c.high})
	}
	return c.known
}

func list(found []string) string {
	quoted := make([]string, len(found))
	for i, f := range found {
		quoted[i] = shown([]byte(f))
	}
	return strings.Join(quoted, ", ")
}

// unknown is the fault of column i of those found.
func (rd *reader) unknown(line, i int, found []string) {
	name := strings.Trim(found[i], " \t")
	if name == "" {
		rd.fault("E112", line, 0, fmt.Sprintf("column %d has no heading; found: %s", i+1, list(found)), "Name it, or take the column out.")
		return
	}
	if ours, mass, ok := otherUnit(name); ok && mass {
		rd.fault("E113", line, 0, fmt.Sprintf("column %s is a mass, not a number of particles", shown([]byte(name))),
			"Mass and number are never mixed: take a column of particle numbers, and name this one in a layout under ignore.")
		return
	} else if ok {
		rd.fault("E113", line, 0, fmt.Sprintf("column %s has another unit than %s, or writes it otherwise", shown([]byte(name)), ours),
			fmt.Sprintf("Name it %s if the unit is the same; else convert it, or state its unit in a layout (columns: {%q: {to: %s, unit: ...}}).", ours, name, ours))
		return
	}
	rd.fault("E112", line, 0, fmt.Sprintf("column %s is not known; found: %s", shown([]byte(name)), list(found)),
		meant(name, rd.layout.words())+" A layout can rename or ignore columns.")
}

// meant words which known names may be meant: those that begin with the name, or
// else the nearest one.
func meant(name string, words []string) string {
	var longer []string
	for _, w := range words {
		if strings.HasPrefix(w, strings.ToLower(name)+"_") {
			longer = append(longer, w)
		}
	}
	if len(longer) > 0 {
		return "Did you mean " + strings.Join(longer, " or ") + "?"
	}
	return fault.DidYouMean(name, words)
}

// has finds the columns that fit.
func (rd *reader) has(fits func(column) bool) bool { return slices.ContainsFunc(rd.cols, fits) }

func ofKind(k kind) func(column) bool { return func(c column) bool { return c.kind == k } }

// together judges whether the columns make one of the forms of a trace.
func (rd *reader) together(line int, found []string) {
	missing := func(what, do string) {
		rd.fault("E112", line, 0, what+"; found: "+list(found), do)
	}
	if len(rd.faults) > 0 {
		return // a misspelt column would be reported again as missing
	}
	seconds, instant := rd.has(ofKind(kindSeconds)), rd.has(ofKind(kindInstant))
	switch {
	case !seconds && !instant:
		missing("there is no column time_s or time", "Name the column of times time_s (seconds) or time (such as 2026-08-14T18:05:00+02:00), or map it in a layout."+rd.foreign(found))
	case seconds && instant:
		missing("there are two columns of times", "Keep time_s or time, and leave the other out.")
	}
	air, lineOf, sampling := rd.has(ofKind(kindAir)), rd.has(ofKind(kindLine)), rd.has(ofKind(kindSampling))
	volume, channel := rd.has(ofKind(kindVolume)), rd.has(ofKind(kindChannel))
	raw := rd.has(func(c column) bool { return c.raw })
	counted := rd.has(func(c column) bool { return !c.raw && (c.kind == kindAir || c.kind == kindLine) })
	switch {
	case !air && !lineOf && !channel:
		missing("there is no column of particles", "A trace needs ambient_per_cm3 and inside_per_cm3, or concentration_per_cm3 and sampling, or counts with volume_cm3.")
	case air && lineOf, air && sampling:
		missing("columns of two counters and of a switched line stand together", "Keep ambient_... and inside_..., or concentration_per_cm3 (or count) and sampling.")
	case lineOf && !sampling:
		missing("there is no column sampling", "A switched line needs the column sampling with ambient, inside or purge in each row.")
	case sampling && !lineOf:
		missing("there is a column sampling without concentration_per_cm3 or count", "Name the readings of the switched line concentration_per_cm3 or count.")
	case raw && counted:
		missing("counts and concentrations stand together", "Keep the counts with volume_cm3, or the concentrations.")
	case raw && !volume:
		missing("there are counts without volume_cm3", "Add the column volume_cm3: the volume of air in cm3 in which each row's particles were counted.")
	case volume && !raw:
		missing("there is volume_cm3 without a column of counts", "Leave volume_cm3 out, or give the counts (ambient_count, inside_count, or count and sampling).")
	}
}

// foreign adds a hint when nothing of the heading is known.
func (rd *reader) foreign(found []string) string {
	for _, name := range found {
		if _, ok := named(name); ok {
			return ""
		}
	}
	return " The first line that does not begin with # must be the heading."
}

// place makes the trace's columns and tells each column where its readings go.
func (rd *reader) place() {
	t := rd.trace
	both := [3]bool{}
	for i := range rd.cols {
		c := &rd.cols[i]
		if c.raw {
			t.Reading = record.RawCounts
		}
		switch c.kind {
		case kindAir:
			both[c.air] = true
			c.values = &t.Ambient
			if c.air == record.Inside {
				c.values = &t.Inside
			}
		case kindLine:
			t.Switched = true
		case kindVolume:
			c.values = &t.VolumeCM3
		case kindFlow:
			c.values = &t.FlowLMin
		case kindPressure:
			c.values = &t.PressurePa
		case kindChannel:
			both[c.air] = true
			c.channel = rd.channel(c)
		}
	}
	for i := range rd.cols {
		if c := &rd.cols[i]; c.kind == kindChannel {
			c.values = &t.Channels[c.channel-1].Ambient
			if c.air == record.Inside {
				c.values = &t.Channels[c.channel-1].Inside
			}
		}
	}
	rd.air = record.Both
	if !both[record.Inside] {
		rd.air = record.Ambient
	} else if !both[record.Ambient] {
		rd.air = record.Inside
	}
}

// channel is the 1-based index of the channel of c, made when it is new.
func (rd *reader) channel(c *column) int {
	t := rd.trace
	for i, ch := range t.Channels {
		if ch.Low == c.low && ch.High == c.high {
			return i + 1
		}
	}
	t.Channels = append(t.Channels, record.Channel{Low: c.low, High: c.high})
	return len(t.Channels)
}
