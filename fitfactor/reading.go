package fitfactor

import (
	"math"
	"sort"

	"telltale/record"
)

// reading is one row of one air, from which everything else is formed.
type reading struct {
	row     int
	t, dt   float64 // s
	conc    float64 // per cm3, corrected for dead time
	counts  float64 // counted in the row; NaN without a flow
	volume  float64 // cm3 sampled; without a flow the row's seconds, which weigh alike
	capped  bool    // at or beyond the counter's range: the air holds at least this
	dropped bool    // still holds the air before a switch
}

type series []reading

// steps gives each row's duration: to the next row, but over a gap (more than
// three median steps) and for the last row the median step.
func steps(times []float64) (durations []float64, median float64) {
	n := len(times)
	durations = make([]float64, n)
	if n == 1 {
		durations[0] = 1
		return durations, 1
	}
	for i := range n - 1 {
		durations[i] = times[i+1] - times[i]
	}
	sorted := append([]float64(nil), durations[:n-1]...)
	sort.Float64s(sorted)
	median = sorted[(n-1)/2]
	if m := len(sorted); m%2 == 0 {
		median = (sorted[m/2-1] + sorted[m/2]) / 2
	}
	if median == 0 { // several rows a clock tick: the mean step is the rate by index
		median = (times[n-1] - times[0]) / float64(n-1)
		for i := range durations {
			durations[i] = median
		}
		return durations, median
	}
	durations[n-1] = median
	for i, d := range durations {
		if d > 3*median {
			durations[i] = median
		}
	}
	return durations, median
}

// read turns the two air columns into readings: counts through the flow, dead
// time, and what lies beyond the counter's range.
func (r *Result) read(t *record.Trace, s Settings) (ambient, inside series) {
	durations, median := steps(t.TimeS)
	r.Signs.Counters = 2
	kind := "two columns at once"
	if t.Switched {
		r.Signs.Counters = 1
		kind = "one counter with a switched line"
	}
	r.step("read", "%d rows, %s, a row every %s s.", t.Rows(), kind, number(median))
	ambient = r.air(t, record.Ambient, t.Ambient, durations, s.Ambient)
	inside = r.air(t, record.Inside, t.Inside, durations, s.Inside)
	r.describeCounts(t, s)
	r.Signs.AmbientCapped, r.Signs.InsideCapped = ambient.capped(), inside.capped()
	if a, i := r.Signs.AmbientCapped, r.Signs.InsideCapped; a+i > 0 {
		r.step("range", "%d ambient and %d inside rows are at or beyond the top of the counter's range; they count as at least that much.", a, i)
	}
	return ambient, inside
}

// describeCounts names the steps that lead from readings to counts.
func (r *Result) describeCounts(t *record.Trace, s Settings) {
	switch {
	case t.Reading == record.RawCounts:
		r.step("counts", "Raw counts and sampled volumes as recorded.")
	case s.Inside.Flow > 0:
		r.step("counts", "Counts are concentration times the sample flow (%s cm3/s) times the row's seconds.", number(float64(s.Inside.Flow)))
	default:
		r.step("counts", "No sample flow is known, so counts are not; the intervals rest on the scatter of the readings alone.")
		r.caveat("The counter's sample flow is not known: the interval is empirical (scatter of the readings), not a counting interval.")
	}
	if s.Inside.DeadTime > 0 || s.Ambient.DeadTime > 0 {
		if t.Reading != record.RawCounts && s.Ambient.Flow == 0 {
			r.step("dead time", "Not corrected: that needs the sample flow.")
			r.caveat("The dead time was not corrected, because that needs the counter's sample flow.")
			return
		}
		r.step("dead time", "Each reading is corrected by true = indicated x exp(true x flow x dead time); refused beyond %.0f %% of the largest rate the counter can indicate.", 100*deadTimeReach)
	}
}

// air makes the readings of one column.
func (r *Result) air(t *record.Trace, air record.Air, values, durations []float64, c Counter) series {
	over := map[int]bool{}
	for _, o := range t.Overload {
		if o.Air == air && o.Channel == 0 {
			over[o.Row] = true
		}
	}
	top := math.Inf(1)
	if c.Top > 0 {
		top = float64(c.Top)
	}
	plateau, hasPlateau := record.Plateau(values)
	var out series
	for row, v := range values {
		if math.IsNaN(v) && !over[row] || !hasVolume(t, row) {
			continue
		}
		x := reading{row: row, t: t.TimeS[row], dt: durations[row]}
		if over[row] {
			v, x.capped = math.Max(highestFinite(values), finiteOr(top, 0)), true
		}
		x.fill(v, t, c)
		if x.conc >= top || hasPlateau && v >= plateau {
			x.capped = true
		}
		if math.IsNaN(x.conc) { // beyond the reach of the dead-time correction
			r.caveat("Some %s readings are too close to the limit of the dead-time correction; they count as at least what was indicated.", air)
			x.conc, x.capped = x.indicated(v, t), true
		}
		out = append(out, x)
	}
	return out
}

// fill computes counts, volume and the corrected concentration of value v.
func (x *reading) fill(v float64, t *record.Trace, c Counter) {
	x.counts, x.volume = math.NaN(), x.dt
	switch {
	case t.Reading == record.RawCounts:
		x.counts, x.volume = v, t.VolumeCM3[x.row]
	case c.Flow > 0:
		x.volume = float64(c.Flow) * x.dt
		x.counts = v * x.volume
	}
	x.conc = x.indicated(v, t)
	if c.DeadTime > 0 && !math.IsNaN(x.counts) && x.dt > 0 {
		if rate, ok := trueRate(x.counts/x.dt, float64(c.DeadTime)); ok {
			x.conc = rate * x.dt / x.volume
		} else {
			x.conc = math.NaN()
		}
	}
}

// hasVolume reports whether a row's counts have their volume; without it they say
// nothing.
func hasVolume(t *record.Trace, row int) bool {
	return t.Reading != record.RawCounts || t.VolumeCM3[row] > 0
}

// indicated is the concentration as the counter showed it.
func (x *reading) indicated(v float64, t *record.Trace) float64 {
	if t.Reading == record.RawCounts {
		return v / x.volume
	}
	return v
}

func highestFinite(values []float64) float64 {
	high := 0.0
	for _, v := range values {
		if !math.IsNaN(v) {
			high = math.Max(high, v)
		}
	}
	return high
}

func finiteOr(v, other float64) float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return other
	}
	return v
}

func (s series) capped() int {
	n := 0
	for _, x := range s {
		if x.capped {
			n++
		}
	}
	return n
}

// used leaves out the readings that still hold the air before a switch.
func (s series) used() series {
	var out series
	for _, x := range s {
		if !x.dropped {
			out = append(out, x)
		}
	}
	return out
}

// sums of a series: volume-weighted mean, counts, volume, seconds.
func (s series) volume() float64 {
	v := 0.0
	for _, x := range s {
		v += x.volume
	}
	return v
}

func (s series) mean() float64 {
	sum := 0.0
	for _, x := range s {
		sum += x.conc * x.volume
	}
	return sum / s.volume()
}

func (s series) counts() float64 {
	sum := 0.0
	for _, x := range s {
		sum += x.counts
	}
	return sum
}

func (s series) seconds() float64 {
	sum := 0.0
	for _, x := range s {
		sum += x.dt
	}
	return sum
}

// between gives the readings of rows with from <= row < to.
func (s series) between(from, to int) series {
	i := sort.Search(len(s), func(i int) bool { return s[i].row >= from })
	j := sort.Search(len(s), func(i int) bool { return s[i].row >= to })
	return s[i:j]
}

// flow is the mean size of the breathing flow over the rows; 0 without any.
func (s series) flow(perRow []float64) float64 {
	sum, n := 0.0, 0
	for _, x := range s {
		if x.row < len(perRow) && !math.IsNaN(perRow[x.row]) {
			sum += math.Abs(perRow[x.row])
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}
