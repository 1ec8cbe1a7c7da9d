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

// effectiveOf reads the counts off the quotient that the interval rests on.
func effectiveOf(q uncertainty.Quotient) Effective {
	in := q.Inside[0]
	inflation := math.Max(1, q.Inflation)
	counts, weight := in.Count/inflation, in.Weight*inflation
	if b := q.Background; b.Weight > 0 {
		value := q.Value()
		variance := in.Count*in.Weight*weight + b.Count*b.Weight*b.Weight
		if value <= 0 || variance <= 0 {
			counts = 0 // nothing above the background: a bound of the gross weight
		} else {
			counts, weight = value*value/variance, variance/value
		}
	}
	if math.IsNaN(counts) || weight <= 0 {
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
