package simulate

import (
	"math"
	"slices"

	"telltale/record"
)

// Faults is what went wrong with the recording. Times are seconds of the run.
type Faults struct {
	Gaps      []Span    // rows that are not there
	Missing   []Span    // rows whose cells are empty
	Stuck     []Span    // readings that stay at the first one's value
	Saturated []Span    // readings at the top of the range, as the counter writes that
	Repeated  []Span    // a stretch of readings that the logger wrote again over the next one
	Twice     []float64 // times of rows that are written twice
	Restarts  []Restart
}

// Span is a stretch of time, its end left out. Air limits a fault to one column;
// NoAir takes both.
type Span struct {
	FromS, ToS float64
	Air        record.Air
}

// Restart is a counter that went off and came back.
type Restart struct {
	AtS       float64
	BlankS    float64 // seconds of empty cells
	WarmS     float64 // seconds after that in which it reads nothing
	ClockBack bool    // its clock starts again at 0, so that time goes back
	Air       record.Air
}

// apply spoils a trace. Faults of cells come first, then those of rows, so that
// all times are those of the run.
func (f Faults) apply(t *record.Trace, ambient, inside Counter) {
	if t.Switched {
		inside = ambient
	}
	for _, s := range f.Stuck {
		f.each(t, s, func(c cells, first, row int) { c.set(row, c.values[first]) })
	}
	for _, s := range f.Saturated {
		f.each(t, s, func(c cells, _, row int) { c.saturate(row, ambient, inside) })
	}
	for _, s := range f.Repeated {
		n := len(rows(t, s.FromS, s.ToS))
		length := s.ToS - s.FromS
		f.each(t, Span{s.FromS + length, s.ToS + length, s.Air}, func(c cells, _, row int) { c.set(row, c.values[row-n]) })
	}
	for _, s := range f.Missing {
		f.each(t, s, func(c cells, _, row int) { c.set(row, math.NaN()) })
	}
	for _, r := range f.Restarts {
		f.each(t, Span{r.AtS, r.AtS + r.BlankS, r.Air}, func(c cells, _, row int) { c.set(row, math.NaN()) })
		f.each(t, Span{r.AtS + r.BlankS, r.AtS + r.BlankS + r.WarmS, r.Air}, func(c cells, _, row int) { c.set(row, 0) })
	}
	f.rows(t)
}

// cells is one column with the overloads that belong to it.
type cells struct {
	t      *record.Trace
	air    record.Air
	values []float64
	sized  bool
}

// set writes a reading into a cell that the line was on.
func (c cells) set(row int, v float64) {
	if over := c.overload(row); over >= 0 {
		c.t.Overload = slices.Delete(c.t.Overload, over, over+1)
	} else if math.IsNaN(c.values[row]) {
		return // the line was elsewhere
	}
	c.values[row] = v
}

func (c cells) overload(row int) int {
	if c.sized {
		return -1
	}
	return slices.IndexFunc(c.t.Overload, func(o record.Overload) bool { return o.Row == row && o.Air == c.air })
}

func (c cells) saturate(row int, ambient, inside Counter) {
	counter := ambient
	if c.air == record.Inside {
		counter = inside
	}
	if counter.Top == 0 || math.IsNaN(c.values[row]) || c.sized {
		return
	}
	if counter.Beyond != Says {
		c.values[row] = float64(counter.Top)
		return
	}
	c.values[row] = math.NaN()
	c.t.Overload = append(c.t.Overload, record.Overload{Row: row, Air: c.air, Word: "OVER"})
	slices.SortStableFunc(c.t.Overload, func(a, b record.Overload) int { return a.Row - b.Row })
}

// each calls do for every cell of the span, column by column.
func (f Faults) each(t *record.Trace, s Span, do func(c cells, first, row int)) {
	in := rows(t, s.FromS, s.ToS)
	for _, air := range []record.Air{record.Ambient, record.Inside} {
		if s.Air != record.NoAir && s.Air != record.Both && s.Air != air {
			continue
		}
		columns := []cells{{t, air, column(t, air), false}}
		for i := range t.Channels {
			if v := *channel(&t.Channels[i], air); v != nil {
				columns = append(columns, cells{t, air, v, true})
			}
		}
		for _, c := range columns {
			for _, row := range in {
				do(c, in[0], row)
			}
		}
	}
}

// rows lists the rows that start within a stretch of time.
func rows(t *record.Trace, from, to float64) []int {
	var out []int
	for i, v := range t.TimeS {
		if v >= from && v < to {
			out = append(out, i)
		}
	}
	return out
}

// rows drops, doubles and turns back rows.
func (f Faults) rows(t *record.Trace) {
	for _, r := range f.Restarts {
		if !r.ClockBack {
			continue
		}
		for _, i := range rows(t, r.AtS+r.BlankS, math.Inf(1)) {
			t.TimeS[i] = math.Round((t.TimeS[i]-r.AtS-r.BlankS)*1000) / 1000
		}
		break // after the first, times are no longer those of the run
	}
	if len(f.Gaps) == 0 && len(f.Twice) == 0 {
		return
	}
	var keep []int
	for i, v := range t.TimeS {
		if slices.ContainsFunc(f.Gaps, func(s Span) bool { return v >= s.FromS && v < s.ToS }) {
			continue
		}
		keep = append(keep, i)
		next := math.Inf(1)
		if i+1 < len(t.TimeS) {
			next = t.TimeS[i+1]
		}
		if slices.ContainsFunc(f.Twice, func(at float64) bool { return at >= v && at < next }) {
			keep = append(keep, i)
		}
	}
	pick(t, keep)
}

// pick rebuilds a trace from the listed rows, in their order.
func pick(t *record.Trace, keep []int) {
	t.TimeS = picked(t.TimeS, keep)
	t.Sampling = picked(t.Sampling, keep)
	t.Ambient, t.Inside = picked(t.Ambient, keep), picked(t.Inside, keep)
	t.VolumeCM3 = picked(t.VolumeCM3, keep)
	t.Exercise = picked(t.Exercise, keep)
	for i := range t.Channels {
		c := &t.Channels[i]
		c.Ambient, c.Inside = picked(c.Ambient, keep), picked(c.Inside, keep)
	}
	var over []record.Overload
	for row, from := range keep {
		for _, o := range t.Overload {
			if o.Row == from {
				over = append(over, record.Overload{Row: row, Air: o.Air, Word: o.Word})
			}
		}
	}
	t.Overload = over
}

func picked[T any](all []T, keep []int) []T {
	if all == nil {
		return nil
	}
	out := make([]T, len(keep))
	for i, k := range keep {
		out[i] = all[k]
	}
	return out
}
