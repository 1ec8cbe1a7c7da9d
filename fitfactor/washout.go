package fitfactor

import (
	"math"
	"sort"

	"telltale/record"
)

// settleTimes is how many time constants of the line's mixing volume must pass
// after a switch: ln(10 000) = 9.2 leaves a residue of one ten-thousandth, a tenth
// of what a fit factor of 1000 lets in (exponential washout, any textbook).
const settleTimes = 9.2

// stretch is a run of rows on one air.
type stretch struct {
	air      record.Air
	from, to int     // rows
	switched float64 // s, when the line left the air before
	before   int     // index of the stretch on the other air before it, -1 = none
}

// stretches cuts a switched trace into its runs of ambient and inside rows.
func stretches(t *record.Trace) []stretch {
	var out []stretch
	last := -1
	switchedAt := math.Inf(-1)
	for row := 0; row < t.Rows(); {
		air, from := t.Sampling[row], row
		for row < t.Rows() && t.Sampling[row] == air {
			row++
		}
		if last >= 0 && out[last].to == from {
			switchedAt = t.TimeS[from]
		}
		if air != record.Ambient && air != record.Inside {
			continue
		}
		s := stretch{air: air, from: from, to: row, switched: switchedAt, before: -1}
		if last >= 0 && out[last].air != air {
			s.before = last
		}
		out = append(out, s)
		last = len(out) - 1
	}
	return out
}

// trim marks the readings that still hold the air before. With a known transit
// and washout time that is time after the switch; else the readings themselves
// must show it (see settling).
func (r *Result) trim(t *record.Trace, s Settings, ambient, inside series) {
	if !t.Switched {
		r.trimDelay(t, s, inside)
		return
	}
	all := stretches(t)
	dropped, switches, purge := 0, 0, 0
	for _, a := range t.Sampling {
		if a == record.Purge {
			purge++
		}
	}
	of := map[record.Air]series{record.Ambient: ambient, record.Inside: inside}
	wait := float64(s.Inside.Transit) + settleTimes*float64(s.Inside.Washout)
	for _, st := range all {
		if st.before < 0 {
			continue
		}
		switches++
		rows := of[st.air].between(st.from, st.to)
		was := all[st.before]
		n := settling(rows, of[was.air].between(was.from, was.to))
		if n > 0 && n >= (len(rows)+1)/2 {
			r.caveat("After a switch the line had not settled within half of its stretch; the first half was dropped.")
		}
		for i := range rows {
			if i < n || rows[i].t < st.switched+wait-1e-9 {
				rows[i].dropped = true
				dropped++
			}
		}
	}
	if purge > 0 {
		r.step("purge", "%d rows of purge are never used.", purge)
	}
	rule := "rows after a switch are dropped while they fall from the air before towards the settled level, and half as many again"
	if wait > 0 {
		rule = "rows are dropped for " + number(wait) + " s after a switch (transit and 9.2 washout times), and longer where the readings still fall"
	}
	r.step("trim", "%d of %d readings dropped after %d switches: %s.", dropped, len(ambient)+len(inside), switches, rule)
}

// trimDelay drops, with two counters, the inside rows at the start of each
// exercise that still hold the exercise before, when the line's delay is known.
func (r *Result) trimDelay(t *record.Trace, s Settings, inside series) {
	wait := float64(s.Inside.Transit) + settleTimes*float64(s.Inside.Washout)
	if wait == 0 {
		r.step("trim", "Two columns at once: nothing to trim (no delay of the line was stated).")
		return
	}
	dropped, label, since := 0, int32(-2), 0.0
	for i := range inside {
		x := &inside[i]
		if t.Exercise != nil && t.Exercise[x.row] != label || i == 0 {
			since = x.t
			if t.Exercise != nil {
				label = t.Exercise[x.row]
			}
		}
		if x.t < since+wait-1e-9 {
			x.dropped = true
			dropped++
		}
	}
	r.step("trim", "%d inside rows dropped: the first %s s of each exercise (transit and 9.2 washout times of the line).", dropped, number(wait))
}

// trimmed gives the stretches of dropped readings in order of time; neighbours are
// one.
func trimmed(ambient, inside series) (out []Span) {
	all := append(append(series{}, ambient...), inside...)
	sort.SliceStable(all, func(i, j int) bool { return all[i].row < all[j].row })
	for _, x := range all {
		if !x.dropped {
			continue
		}
		if n := len(out); n > 0 && x.t <= out[n-1].EndS+1e-9 {
			out[n-1].EndS = math.Max(out[n-1].EndS, x.t+x.dt)
			continue
		}
		out = append(out, Span{x.t, x.t + x.dt})
	}
	return out
}

// settling counts the rows at the start of a stretch that still hold the air
// before: the first must lie at least a twentieth of the step between the two
// airs off the settled level (median of the stretch's second half), the next
// ones must keep falling towards it and lie more than five robust deviations off;
// then half as many again, and at most half of the stretch. Own rule.
func settling(rows, was series) int {
	if len(rows) < 6 || len(was) == 0 {
		return 0
	}
	level, noise := settled(rows)
	old, _ := settled(was)
	size := math.Abs(old - level)
	towards := math.Copysign(1, old-level)
	off := func(i int) float64 { return towards * (rows[i].conc - level) }
	if size == 0 || off(0) < 0.05*size {
		return 0
	}
	n, most := 1, len(rows)/2
	for n < most && off(n) > 5*noise && off(n) <= 1.1*off(n-1)+noise {
		n++
	}
	return min(most, n+(n+1)/2)
}

// settled gives the median and a robust deviation of the second half of rows,
// which is never below what counting alone gives.
func settled(rows series) (level, noise float64) {
	half := rows[len(rows)/2:]
	values := make([]float64, len(half))
	for i, x := range half {
		values[i] = x.conc
	}
	level = median(values)
	for i, v := range values {
		values[i] = math.Abs(v - level)
	}
	noise = 1.4826 * median(values)
	if v := half[0].volume; v > 0 && !math.IsNaN(half[0].counts) {
		noise = math.Max(noise, math.Sqrt(math.Max(level*v, 1))/v)
	}
	return level, noise
}

func median(values []float64) float64 {
	s := append([]float64(nil), values...)
	sort.Float64s(s)
	if n := len(s); n%2 == 0 {
		return (s[n/2-1] + s[n/2]) / 2
	}
	return s[len(s)/2]
}
