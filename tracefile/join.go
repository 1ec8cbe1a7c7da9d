package tracefile

import (
	"fmt"
	"math"
	"slices"
	"time"

	"telltale/fault"
	"telltale/record"
)

// Join makes one trace of two counters from two traces of one air each: room
// holds the ambient readings and gives the rows, mask the inside ones. A row of
// the room takes the nearest row of the mask that is at most half a step away
// (the longer of the two median steps); without one its inside is missing. Both
// are matched by the instants of their rows, or, where one of them has none, from
// their own starts, which a remark says.
//
// The exercises, notes of rows, flow and pressure are those of the mask's rows,
// or of the room's where the mask has none. Faults: E119 without a common time,
// E112 where the traces are not of one air each or not of one kind of reading.
func Join(room, mask *record.Trace) (*record.Trace, error) {
	if f := joinable(room, mask); f != nil {
		return nil, f
	}
	shift, remarks := 0.0, append(remarksOf(room), remarksOf(mask)...)
	if !room.Start.IsZero() && !mask.Start.IsZero() {
		shift = mask.Start.Sub(room.Start).Seconds()
		remarks = append(remarks, record.Remark{Code: remarkJoined, Text: fmt.Sprintf("joined by the instants of the rows: %s starts %s s after %s",
			mask.Name, plain(nil, shift), room.Name)})
	} else {
		remarks = append(remarks, record.Remark{Code: remarkJoined, Text: fmt.Sprintf("joined from the first rows of %s and %s, because not both state the time of day; check that they were started together",
			room.Name, mask.Name)})
	}
	half := max(stepOf(room), stepOf(mask)) / 2
	from, matched := match(room, mask, shift, half)
	if matched == 0 {
		return nil, &fault.Fault{Code: "E119", File: mask.Name, What: fmt.Sprintf("room trace %s, mask trace %s: no common time", spanOf(room, 0), spanOf(mask, shift)),
			Do: "Check that both belong to one test and that both clocks were set; correct the times in one of the files."}
	}
	if f := sameVolumes(room, mask, from); f != nil {
		return nil, f
	}
	if unused := mask.Rows() - matched; unused > 0 || matched < room.Rows() {
		remarks = append(remarks, record.Remark{Code: remarkJoined, Text: fmt.Sprintf("%d rows of %s stand beside one of %s; %d rows of the room have no partner, %d of the mask are not used",
			matched, mask.Name, room.Name, room.Rows()-matched, unused)})
	}
	return joined(room, mask, from, remarks), nil
}

// joinable refuses traces that are not one air each.
func joinable(room, mask *record.Trace) *fault.Fault {
	for _, one := range []struct {
		t   *record.Trace
		air record.Air
	}{{room, record.Ambient}, {mask, record.Inside}} {
		if one.t.Rows() == 0 || one.t.Switched || one.t.Sampling[0] != one.air {
			return &fault.Fault{Code: "E112", File: one.t.Name, What: "the trace to be joined does not hold the " + one.air.String() + " air alone",
				Do: "Give a trace with only " + one.air.String() + " columns, such as " + one.air.String() + "_per_cm3."}
		}
	}
	if room.Reading != mask.Reading {
		return &fault.Fault{Code: "E112", File: mask.Name, What: "one trace holds counts and the other concentrations",
			Do: "Give both as counts with volume_cm3, or both as concentrations."}
	}
	return nil
}

// sameVolumes refuses counts of which a row has two volumes, since a row of a
// trace holds one.
func sameVolumes(room, mask *record.Trace, from []int) *fault.Fault {
	for i, j := range from {
		if room.Reading == record.RawCounts && j >= 0 && room.VolumeCM3[i] != mask.VolumeCM3[j] {
			return &fault.Fault{Code: "E112", File: mask.Name, What: fmt.Sprintf("row %d counted in another volume than row %d of %s", j+1, i+1, room.Name),
				Do: "Give concentrations (count divided by volume_cm3), one column a counter."}
		}
	}
	return nil
}

// remarksOf repeats the remarks of a trace with its name.
func remarksOf(t *record.Trace) []record.Remark {
	var out []record.Remark
	for _, r := range t.Remarks {
		out = append(out, record.Remark{Code: r.Code, Line: r.Line, Text: t.Name + ": " + r.Text})
	}
	return out
}

// stepOf is the median step of t in seconds, 1 for a single row.
func stepOf(t *record.Trace) float64 {
	if t.Rows() < 2 {
		return 1
	}
	steps := make([]float64, t.Rows()-1)
	for i := range steps {
		steps[i] = t.TimeS[i+1] - t.TimeS[i]
	}
	if m := median(steps); m > 0 {
		return m
	}
	return (t.TimeS[t.Rows()-1] - t.TimeS[0]) / float64(t.Rows()-1)
}

// match gives the row of the mask for each row of the room, -1 for none. A row
// of the mask is used once; times of both go forward, so one walk is enough.
func match(room, mask *record.Trace, shift, half float64) (from []int, matched int) {
	from = make([]int, room.Rows())
	j := 0
	for i, at := range room.TimeS {
		from[i] = -1
		for j < mask.Rows() && mask.TimeS[j]+shift < at-half {
			j++
		}
		best := -1
		for k := j; k < mask.Rows() && mask.TimeS[k]+shift <= at+half; k++ {
			if best < 0 || math.Abs(mask.TimeS[k]+shift-at) < math.Abs(mask.TimeS[best]+shift-at) {
				best = k
			} else {
				break
			}
		}
		if best >= 0 {
			from[i], j = best, best+1
			matched++
		}
	}
	return from, matched
}

// spanOf words when a trace was recorded.
func spanOf(t *record.Trace, shift float64) string {
	last := t.TimeS[t.Rows()-1]
	if t.Start.IsZero() {
		return fmt.Sprintf("%s s to %s s", plain(nil, shift), plain(nil, shift+last))
	}
	end := t.Start.Add(time.Duration(last * 1e9))
	return t.Start.Format("2006-01-02 15:04:05Z07:00") + " to " + end.Format("15:04:05Z07:00")
}

// joined puts the rows of the mask beside those of the room.
func joined(room, mask *record.Trace, from []int, remarks []record.Remark) *record.Trace {
	n := room.Rows()
	t := &record.Trace{Name: room.Name + " + " + mask.Name, Start: room.Start, Reading: room.Reading, Remarks: remarks,
		Notes: append(slices.Clone(room.Notes), mask.Notes...), TimeS: slices.Clone(room.TimeS), Ambient: slices.Clone(room.Ambient),
		Inside: pick(mask.Inside, from), VolumeCM3: slices.Clone(room.VolumeCM3), Sampling: slices.Repeat([]record.Air{record.Both}, n)}
	t.Channels = slices.Clone(room.Channels)
	number := make([]int, len(mask.Channels)) // of the mask's channels in t
	for i, c := range mask.Channels {
		at := slices.IndexFunc(t.Channels, func(o record.Channel) bool { return o.Low == c.Low && o.High == c.High })
		if at < 0 {
			at = len(t.Channels)
			t.Channels = append(t.Channels, record.Channel{Low: c.Low, High: c.High})
		}
		t.Channels[at].Inside = pick(c.Inside, from)
		number[i] = at + 1
	}
	rowOf := make(map[int]int, n)
	for i, j := range from {
		if j >= 0 {
			rowOf[j] = i
		}
	}
	t.Overload = slices.Clone(room.Overload)
	for _, o := range mask.Overload {
		if row, ok := rowOf[o.Row]; ok {
			o.Row = row
			if o.Channel > 0 {
				o.Channel = number[o.Channel-1]
			}
			t.Overload = append(t.Overload, o)
		}
	}
	sortOverloads(t.Overload)
	beside(t, room, mask, from, rowOf)
	return t
}

// beside fills in exercises, flow, pressure and notes of rows.
func beside(t, room, mask *record.Trace, from []int, rowOf map[int]int) {
	t.FlowLMin, t.PressurePa = pick(mask.FlowLMin, from), pick(mask.PressurePa, from)
	if mask.FlowLMin == nil {
		t.FlowLMin = slices.Clone(room.FlowLMin)
	}
	if mask.PressurePa == nil {
		t.PressurePa = slices.Clone(room.PressurePa)
	}
	t.Labels, t.Exercise = slices.Clone(room.Labels), slices.Clone(room.Exercise)
	if mask.Exercise != nil {
		t.Labels, t.Exercise = nil, make([]int32, len(from))
		number := map[int32]int32{}
		for i, j := range from {
			t.Exercise[i] = -1
			if j < 0 || mask.Exercise[j] < 0 {
				continue
			}
			k, known := number[mask.Exercise[j]]
			if !known {
				k = int32(len(t.Labels))
				number[mask.Exercise[j]] = k
				t.Labels = append(t.Labels, mask.Labels[mask.Exercise[j]])
			}
			t.Exercise[i] = k
		}
	}
	texts := map[int]string{}
	for _, n := range room.RowNotes {
		texts[n.Row] = n.Text
	}
	for _, n := range mask.RowNotes {
		if row, ok := rowOf[n.Row]; ok {
			if texts[row] != "" && texts[row] != n.Text {
				n.Text = texts[row] + "; " + n.Text
			}
			texts[row] = n.Text
		}
	}
	for row := range from {
		if texts[row] != "" {
			t.RowNotes = append(t.RowNotes, record.RowNote{Row: row, Text: texts[row]})
		}
	}
}

// pick takes the rows from out of a column; NaN where from is -1, nil for nil.
func pick(values []float64, from []int) []float64 {
	if values == nil {
		return nil
	}
	out := make([]float64, len(from))
	for i, j := range from {
		out[i] = math.NaN()
		if j >= 0 {
			out[i] = values[j]
		}
	}
	return out
}
