package fitfactor

import (
	"fmt"
	"math"
	"strings"

	"telltale/uncertainty"
)

// caution says how the variance that counting does not explain is taken: its
// estimate, drawn towards what leaks usually do where the counts are too few to
// show it, plus a share of its own standard deviation, times scale. The limits of
// an estimated scatter are right on average at best: leaks scatter skewly, and a
// run of luck lowers the mean and the scatter at once. Own rules, set by
// simulation (docs/science/coverage.md): printed keeps the interval's promise on
// average, guarded keeps a wrong pass at the limit below 2.5 %.
type caution struct{ scale, deviations float64 }

var (
	printed = caution{1, 0.35}
	guarded = caution{1.8, 1.4}
)

// What is expected of a leak before looking: its relative variance times its
// correlation time, in seconds, with a standard deviation. Calm breathing gives
// about 0.3 s, talking about 7 s (log-normal leaks of GSD 1.3 over 2 s, and of GSD
// 2 over 6 s).
const usualS, usualDeviationS = 3.0, 10.0

// excess is the variance to be used for an estimate, its variance, the mean and
// the seconds it rests on, and the variance left to it.
func (c caution) excess(estimate, spread, mean, seconds float64) (value, left float64) {
	prior, deviation := usualS/seconds*mean*mean, usualDeviationS/seconds*mean*mean
	v := deviation * deviation
	drawn := math.Max(0, (estimate*v+prior*spread)/(v+spread))
	left = v * spread / (v + spread)
	return c.scale * (drawn + c.deviations*math.Sqrt(left)), left
}

// quotient gathers exercises (counted once each) into one quotient: the mean of
// their penetrations over an ambient level that bears everything uncertain about
// room and pairing.
func quotient(xs []*Exercise, m room, pair Pairing, level float64, c caution) uncertainty.Quotient {
	k := float64(len(xs))
	q := uncertainty.Quotient{Inflation: inflation(xs, level, c)}
	mean := 0.0
	for _, x := range xs {
		mean += x.part.penetration / k
	}
	relative := pairVariance(pair, level) + roomVariance(xs, m, mean*k)
	for _, x := range xs {
		p := x.part
		in := p.inside
		if math.IsNaN(in.Count) {
			in = empirical(p, level, c)
		}
		in.Weight /= k
		q.Inside = append(q.Inside, in)
		if p.back.Weight > 0 { // one zero check serves all exercises
			q.Background.Count = p.back.Count
			q.Background.Weight += p.back.Weight / k
		}
		if p.counted > 0 && mean > 0 {
			share := p.penetration / (mean * k)
			relative += q.Inflation * share * share / p.counted
		} else if p.counted > 0 {
			relative += 1 / p.counted / k / k
		}
	}
	q.AmbientCounts = math.Inf(1)
	if relative > 0 {
		q.AmbientCounts = 1 / relative
	}
	return q
}

// empirical is a count that is worth what the scatter of the readings says.
func empirical(p part, level float64, c caution) uncertainty.WeightedCount {
	variance, left := c.excess(p.wander.Excess, p.wander.Spread, p.penetration, p.rows.seconds())
	variance *= widening(2+2*variance*variance/left, level)
	if variance <= 0 || p.penetration <= 0 {
		return uncertainty.WeightedCount{Count: math.NaN()}
	}
	n := p.penetration * p.penetration / variance
	return uncertainty.WeightedCount{Count: n, Weight: p.penetration / n}
}

// inflation is how much larger the variance of the mean is than counting alone
// gives, widened for the few degrees of freedom behind it. Counts are never taken
// as calmer than Poisson.
func inflation(xs []*Exercise, level float64, c caution) float64 {
	var excess, poisson, spread, mean, seconds float64
	for _, x := range xs {
		p := x.part
		if math.IsNaN(p.poisson) {
			return 1 // the scatter itself is the interval
		}
		excess += p.wander.Excess
		poisson += p.poisson
		spread += p.wander.Spread
		mean += p.penetration
		seconds += p.rows.seconds()
	}
	if poisson == 0 || spread == 0 || mean <= 0 {
		return 1
	}
	value, left := c.excess(excess, spread, mean, seconds)
	long := poisson + value // counting's part is known, only the excess is estimated
	return long / poisson * widening(2+2*long*long/left, level)
}

// widening is the square of t over z at the level: what few degrees of freedom
// cost.
func widening(dof, level float64) float64 {
	if math.IsNaN(dof) || dof > 1e6 {
		return 1
	}
	t, z := uncertainty.CoverageFactor(level, math.Max(1, dof)), uncertainty.CoverageFactor(level, math.Inf(1))
	return t * t / (z * z)
}

func pairVariance(p Pairing, level float64) float64 { return p.U * p.U * widening(p.Dof, level) }

// roomVariance is the relative variance of the ambient level of a switched line:
// each visit's own, and the room's unknown course between two visits, a
// rectangle of half the change on either side (GUM 4.3.7; exercises between the
// same two visits share it).
func roomVariance(xs []*Exercise, m room, total float64) float64 {
	if m.continuous || total <= 0 {
		return 0
	}
	visits := map[int]float64{}
	between := map[[2]int]float64{}
	for _, x := range xs {
		share := x.part.penetration / total
		for _, p := range x.part.ambient {
			visits[p.visit] += share * p.share
		}
		for _, b := range x.part.brackets {
			between[[2]int{b.before, b.after}] += share * b.share * m.mean(b) / x.Ambient
		}
	}
	sum := 0.0
	for i, s := range m.samples { // in order, so that sums are the same each time
		sum += visits[i] * visits[i] * s.relative
		for j := i; j < len(m.samples); j++ {
			w := between[[2]int{i, j}] * m.drift(bracket{before: i, after: j})
			sum += w * w / 12
		}
	}
	return sum
}

// estimates makes the printed fit factor (mid-P) and the guarded one (exact
// limits, for decisions).
func (r *Result) estimates(xs []*Exercise, m room, pair Pairing) (shown, guard uncertainty.Estimate) {
	shown, guard = r.limits(xs, m, pair)
	return orUnknown(shown), orUnknown(guard)
}

// orUnknown turns a bound that no number can hold (readings next to nothing) into
// what it is.
func orUnknown(e uncertainty.Estimate) uncertainty.Estimate {
	missing := func(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) }
	if e.Kind == uncertainty.AtLeast && missing(e.Low) || e.Kind == uncertainty.AtMost && missing(e.High) ||
		e.Kind == uncertainty.Interval && (missing(e.Value) || missing(e.Low) || missing(e.High)) {
		return uncertainty.NewUnknown(e.Level, e.Assumption, "The limits are beyond what can be computed.")
	}
	return e
}

func (r *Result) limits(xs []*Exercise, m room, pair Pairing) (shown, guard uncertainty.Estimate) {
	var ambientCapped, insideCapped bool
	for _, x := range xs {
		if math.IsNaN(x.part.penetration) {
			u := uncertainty.NewUnknown(r.Level, "an exercise without usable readings")
			return u, u
		}
		ambientCapped = ambientCapped || x.part.capped.ambient
		insideCapped = insideCapped || x.part.capped.inside
	}
	q, strict := quotient(xs, m, pair, r.Level, printed), quotient(xs, m, pair, r.Level, guarded)
	basis := r.assumption(q, xs)
	for _, t := range q.Inside {
		if math.IsNaN(t.Count) {
			u := uncertainty.NewUnknown(r.Level, basis, "Without a sample flow the interval rests on the scatter of the readings, and these do not vary (or are all zero): nothing can be said.")
			if v := q.Value(); v > 0 {
				u.Value = 1 / v
			}
			return u, u
		}
	}
	switch {
	case ambientCapped && insideCapped:
		u := uncertainty.NewUnknown(r.Level, basis, "Readings of both airs are at the top of the counter's range.")
		return u, u
	case ambientCapped:
		e := uncertainty.NewAtLeast(1/q.Upper(r.Level), r.Level, basis, "The room is at or beyond the top of the counter's range: the fit factor is at least this.")
		g := e
		_, high := strict.Exact(r.Level)
		g.Low = 1 / high
		return e, g
	case insideCapped:
		low, _ := q.Exact(2*r.Level - 1)
		e := uncertainty.NewAtMost(1/low, r.Level, basis, "The air inside is at or beyond the top of the counter's range: the fit factor is at most this.")
		g := e
		low, _ = strict.Exact(r.Level)
		g.High = 1 / low
		return e, g
	}
	return r.open(q, strict, basis)
}

// open makes the estimates where no reading was capped.
func (r *Result) open(q, strict uncertainty.Quotient, basis string) (shown, guard uncertainty.Estimate) {
	low, high := q.MidP(r.Level)
	exactLow, exactHigh := strict.Exact(r.Level)
	value := q.Value()
	if q.Zero() || value <= 0 || math.IsNaN(low) {
		why := "No particle was counted inside, so no upper value can be given: exact one-sided bound."
		switch {
		case q.Zero():
		case q.Background.Weight > 0:
			why = "The counts inside cannot be told from the zero check: one-sided bound."
		default:
			why = "At this level the readings inside cannot be told from none: one-sided bound."
		}
		upper := q.Upper(r.Level)
		if q.Background.Weight > 0 && (math.IsNaN(upper) || math.IsNaN(exactHigh)) {
			// even the upper limit of the difference is below zero: the zero check
			// does not fit this run, and the gross counts bound from above
			why = "Fewer particles were counted inside than the zero check shows: nothing was subtracted, one-sided bound."
			q.Background, strict.Background = uncertainty.WeightedCount{}, uncertainty.WeightedCount{}
			upper = q.Upper(r.Level)
			_, exactHigh = strict.Exact(r.Level)
		}
		e := uncertainty.NewAtLeast(1/upper, r.Level, basis, why)
		g := e
		g.Low = 1 / exactHigh
		return e, g
	}
	e := uncertainty.New(1/value, 1/high, 1/low, r.Level, basis)
	g := uncertainty.New(1/value, 1/exactHigh, 1/exactLow, r.Level, "exact limits: "+basis)
	if math.IsNaN(exactLow) { // no lower limit of the penetration is above zero
		g = uncertainty.NewAtLeast(1/exactHigh, r.Level, g.Assumption)
	}
	return e, g
}

// assumption words what an interval rests on.
func (r *Result) assumption(q uncertainty.Quotient, xs []*Exercise) string {
	parts := []string{"Poisson counts, mid-P"}
	if math.IsNaN(xs[0].part.inside.Count) {
		parts = []string{"empirical: scatter of the readings in time"}
	}
	if q.Inflation > 1 {
		parts = append(parts, fmt.Sprintf("variance raised %s times for breathing, talking and wander", number(q.Inflation)))
	}
	if q.Background.Weight > 0 {
		parts = append(parts, "background subtracted")
	}
	if !math.IsInf(q.AmbientCounts, 1) {
		parts = append(parts, fmt.Sprintf("room and pairing known to %s %%", number(100/math.Sqrt(q.AmbientCounts))))
	}
	return strings.Join(parts, "; ")
}
