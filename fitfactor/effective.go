package fitfactor

import (
	"math"

	"telltale/uncertainty"
)

// Effective are counts that are worth what an exercise says: its penetration is
// Inside / Ambient / Exposure, and both are Poisson in effect. Overdispersion,
// room, pairing and background are folded in, so they need not be whole numbers.
type Effective struct{ Ambient, Inside, Exposure float64 }

// mostAmbient stands for an ambient level without any uncertainty.
const mostAmbient = 1e9

// Effective gives the exercise's effective counts; ok is false when its scatter is
// not known.
func (x Exercise) Effective() (e Effective, ok bool) { return x.effective, x.effective.Ambient > 0 }

// Effective gives the effective counts of the whole run: its counted exercises
// taken together, as the overall figure takes them.
func (r *Result) Effective() (e Effective, ok bool) { return r.effective, r.effective.Ambient > 0 }

// effectiveOf reads the counts off the quotient that an interval rests on: as many
// inside as give its value its variance; with none counted, the largest weight.
func effectiveOf(q uncertainty.Quotient) Effective {
	inflation := math.Max(1, q.Inflation)
	value := q.Value()
	var variance, largest float64
	for _, t := range q.Inside {
		variance += t.Count * t.Weight * t.Weight * inflation
		largest = math.Max(largest, t.Weight*inflation)
	}
	variance += q.Background.Count * q.Background.Weight * q.Background.Weight
	counts, weight := 0.0, largest
	if value > 0 && variance > 0 {
		counts, weight = value*value/variance, variance/value
	}
	if math.IsNaN(value) || !(weight > 0) {
		return Effective{}
	}
	ambient := math.Min(q.AmbientCounts, mostAmbient)
	return Effective{Ambient: ambient, Inside: counts, Exposure: 1 / (ambient * weight)}
}

// Capped reports whether readings of an air were at or beyond the counter's range
// in a counted exercise.
func (r *Result) Capped() (ambient, inside bool) {
	for _, x := range r.Exercises {
		if x.Counted {
			ambient = ambient || x.part.capped.ambient
			inside = inside || x.part.capped.inside
		}
	}
	return ambient, inside
}
