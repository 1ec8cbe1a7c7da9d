package fitfactor

import (
	"math"
	"sort"

	"telltale/record"
)

// signs gathers what the gates of a session look at.
func (r *Result) signs(t *record.Trace, ambient, inside series, back backgrounds) {
	s := &r.Signs
	s.Coverage = 1
	for _, x := range r.Exercises {
		if !x.Counted {
			continue
		}
		s.Coverage = math.Min(s.Coverage, x.Coverage)
		s.LargestDrift = math.Max(s.LargestDrift, math.Abs(x.Drift))
		if x.Inside > x.Ambient {
			s.InsideAboveAmbient = true
		}
	}
	used := ambient.used()
	s.AmbientMean = used.mean() - back.ambient.conc
	s.DriftPerHour = driftPerHour(used)
	for _, c := range []struct {
		air  record.Air
		rows series
	}{{record.Ambient, ambient}, {record.Inside, inside}} {
		if d := stuck(c.rows); d > s.StuckS {
			s.StuckS, s.StuckAir = d, c.air
		}
	}
	if s.InsideAboveAmbient {
		r.caveat("An exercise reads more inside than outside: the two lines may be swapped, or something inside gives off particles.")
	}
}

// driftPerHour is the slope of ln(room) by least squares.
func driftPerHour(rows series) float64 {
	var n, st, sy, stt, sty float64
	for _, x := range rows {
		if x.conc <= 0 {
			continue
		}
		y := math.Log(x.conc)
		n, st, sy, stt, sty = n+1, st+x.t, sy+y, stt+x.t*x.t, sty+x.t*y
	}
	den := n*stt - st*st
	if n < 3 || den <= 0 {
		return 0
	}
	return 3600 * (n*sty - st*sy) / den
}

// stuck is the longest time for which an air's reading did not move although
// counting noise is larger than the readings' resolution. Zeros may stay: clean
// air reads zero for long.
func stuck(rows series) float64 {
	quantum := resolution(rows)
	longest := 0.0
	for i := 0; i < len(rows); {
		j := i + 1
		for j < len(rows) && rows[j].conc == rows[i].conc {
			j++
		}
		x := rows[i]
		noise := math.Sqrt(x.conc*x.volume) / x.volume
		if x.conc > 0 && j-i >= 5 && !math.IsNaN(x.counts) && noise > quantum {
			longest = math.Max(longest, rows[j-1].t+rows[j-1].dt-x.t)
		}
		i = j
	}
	return longest
}

// resolution is the smallest step between two different readings; zero when all
// are equal.
func resolution(rows series) float64 {
	values := make([]float64, len(rows))
	for i, x := range rows {
		values[i] = x.conc
	}
	sort.Float64s(values)
	least := math.Inf(1)
	for i := 1; i < len(values); i++ {
		if d := values[i] - values[i-1]; d > 1e-9*values[i] {
			least = math.Min(least, d)
		}
	}
	return finiteOr(least, 0)
}
