package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// WeightedCount is one term of a weighted sum of Poisson counts: Count particles
// were counted, each worth Weight in the unit of the sum. A Weight stays known
// when Count is zero.
type WeightedCount struct{ Count, Weight float64 }

// Quotient is a weighted sum of inside counts over an ambient level: the mean
// penetration of one exercise or of several. All parts are taken as independent.
//
// Inside counts are Poisson with their variance raised by Inflation (at least 1)
// where the air inside varied more than counting explains. The ambient level
// enters as if it rested on AmbientCounts particles, which holds whatever else
// makes it uncertain: a relative standard uncertainty u is worth 1/u² counts.
// Background counts (zero check) are subtracted without clipping.
type Quotient struct {
	Inside        []WeightedCount
	Inflation     float64
	AmbientCounts float64       // +Inf when the ambient level is exact
	Background    WeightedCount // Weight 0 = no zero check
}

// Value is the point estimate; it may be negative after background.
func (q Quotient) Value() float64 {
	sum := -q.Background.Count * q.Background.Weight
	for _, t := range q.Inside {
		sum += t.Count * t.Weight
	}
	return sum
}

// Zero reports whether no particle was counted inside.
func (q Quotient) Zero() bool {
	for _, t := range q.Inside {
		if t.Count > 0 {
			return false
		}
	}
	return true
}

// MidP gives the two-sided interval whose confidence distribution lies half way
// between the two exact ones (mid-P): right on average, not in every corner.
// For one term without inflation and background it is the conditional mid-P
// interval of a ratio of two Poisson rates; for several it is the gamma interval
// of Fay and Feuer (Statistics in Medicine 16, 1997) in the mid-P form of Fay
// and Kim (Biometrical Journal 59, 2017), combined with a gamma ambient level.
// Low is NaN when the lower limit is not above zero.
func (q Quotient) MidP(level float64) (low, high float64) {
	a := (1 - level) / 2
	lower, upper := q.shapes()
	mix := func(p float64) float64 { return (q.cdf(lower, p) + q.cdf(upper, p)) / 2 }
	return q.solve(mix, a), q.solve(mix, 1-a)
}

// Exact gives the two-sided interval that covers at least at the level for
// Poisson counts (for one term: Clopper and Pearson 1934 on the share of the
// inside counts, given the total). Low is NaN when no particle was counted.
func (q Quotient) Exact(level float64) (low, high float64) {
	a := (1 - level) / 2
	lower, upper := q.shapes()
	return q.solve(func(p float64) float64 { return q.cdf(lower, p) }, a),
		q.solve(func(p float64) float64 { return q.cdf(upper, p) }, 1-a)
}

// Upper gives the one-sided exact upper limit at the level; with no particle
// counted it is 2.996 counts at 95 %.
func (q Quotient) Upper(level float64) float64 {
	_, upper := q.shapes()
	return q.solve(func(p float64) float64 { return q.cdf(upper, p) }, level)
}

// gammaSum is the distribution of a sum: a gamma variate of the given shape
// times scale. A shape of 0 is a point at zero.
type gammaSum struct {
	shape, scale float64
	background   float64   // added to the background's counts: 1 for the lower sum, 0 for the upper
	below        []float64 // points of equal probability of what the background takes off; nil = nothing
}

// backgroundPoints is how many points stand for the background's own uncertainty;
// 16 move a limit by less than a thousandth.
const backgroundPoints = 16

// below gives the points of a background.
func (q Quotient) below(extra float64) (out []float64) {
	shape := q.Background.Count + extra
	if q.Background.Weight == 0 || shape == 0 {
		return nil
	}
	for i := range backgroundPoints {
		b := mathext.GammaIncRegInv(shape, (float64(i)+0.5)/backgroundPoints)
		out = append(out, b*q.Background.Weight)
	}
	return out
}

// shapes gives the two gamma distributions that bracket the sum: without, and
// with, one further count of the largest weight (Fay and Feuer 1997).
func (q Quotient) shapes() (lower, upper gammaSum) {
	inflation := math.Max(1, q.Inflation)
	var mean, variance, largest float64
	for _, t := range q.Inside {
		w := t.Weight * inflation
		mean += t.Count * t.Weight
		variance += t.Count * t.Weight * w
		largest = math.Max(largest, w)
	}
	lower = gammaSum{background: 1, below: q.below(1)}
	if mean > 0 {
		lower.shape, lower.scale = mean*mean/variance, variance/mean
	}
	m, v := mean+largest, variance+largest*largest
	return lower, gammaSum{shape: m * m / v, scale: v / m, below: q.below(0)}
}

// cdf is the confidence that the quotient is at most p, for one bracketing sum.
func (q Quotient) cdf(g gammaSum, p float64) float64 {
	if len(g.below) == 0 {
		return q.cdfAbove(g, p, 0)
	}
	sum := 0.0
	for _, b := range g.below {
		sum += q.cdfAbove(g, p, b)
	}
	return sum / float64(len(g.below))
}

// cdfAbove is P(sum <= p x ambient + b), the ambient level being a gamma variate
// of mean 1. Without b the ratio of two gamma variates is a beta ratio, in closed
// form; with b the ambient level enters by its mean, since b is only large where
// counts, not the ambient level, govern.
func (q Quotient) cdfAbove(g gammaSum, p, b float64) float64 {
	if p+b <= 0 {
		return 0
	}
	if g.shape == 0 {
		return 1
	}
	x := q.AmbientCounts
	if math.IsInf(x, 1) || x > 1e9 {
		return mathext.GammaIncReg(g.shape, (p+b)/g.scale)
	}
	shape := x
	if g.background == 1 {
		shape++ // the exact conditional limits give the other side the extra count
	}
	ratio := (p + b) / (g.scale * x)
	return mathext.RegIncBeta(g.shape, shape, ratio/(1+ratio))
}

// solve finds p with cdf(p) = want by bisection on the log scale; NaN when even
// a vanishing p lies beyond it.
func (q Quotient) solve(cdf func(float64) float64, want float64) float64 {
	_, upper := q.shapes()
	high := upper.shape * upper.scale
	for i := 0; cdf(high) < want; i++ {
		if high *= 4; i > 200 {
			return math.NaN()
		}
	}
	low := high
	for i := 0; cdf(low) > want; i++ {
		if low /= 4; i > 60 {
			return math.NaN()
		}
	}
	lo, hi := math.Log(low), math.Log(high)
	for range 200 {
		mid := (lo + hi) / 2
		if cdf(math.Exp(mid)) < want {
			lo = mid
		} else {
			hi = mid
		}
		if hi-lo < 1e-13 {
			break
		}
	}
	return math.Exp((lo + hi) / 2)
}
