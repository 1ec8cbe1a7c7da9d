package uncertainty

import (
	"fmt"
	"math"
)

// Counted is a number of counts and what was looked through to get them.
type Counted struct {
	// Count is the number of events. It may be fractional: counts divided by the
	// excess of their variance ("effective counts") are such.
	Count float64
	// Exposure is live time (s) or sampled volume (cm3): the same unit on both
	// sides of a ratio.
	Exposure float64
}

func (c Counted) sound() bool {
	return c.Count >= 0 && c.Exposure > 0 && !math.IsInf(c.Count, 0) && !math.IsInf(c.Exposure, 0)
}

// Prior is the shape added to each count by a gamma prior on a rate.
type Prior float64

// The two priors in use.
const (
	Jeffreys Prior = 0.5
	Flat     Prior = 1
)

const (
	assumeExact = "counts are Poisson; exact conditional interval of the ratio of two rates"
	assumeMidP  = "counts are Poisson; mid-p conditional interval of the ratio of two rates"
	noOutside   = "no counts outside: nothing can be said of the ratio"
	noInside    = "no counts inside: only a lower bound exists"
	badCounts   = "counts must not be negative and the exposure must be above zero"
)

// RatioExact is the ratio of the rate of x to the rate of y with its exact
// conditional interval. Given x+y, the count x is binomial; the limits are
// Clopper and Pearson's for its share, turned into odds (Przyborowski &
// Wilenski 1940; Clopper & Pearson 1934; from memory). Two-sided limits alone
// cover at least the level, whatever the rates.
//
// With no counts in y only the one-sided lower bound at the level exists; with
// none in x nothing can be said. Going over from two sides to one when no count
// comes costs at most half of 1-level, where some three counts are expected in y:
// 0.948 at (1000, 3.1) for 0.95.
func RatioExact(x, y Counted, level float64) Estimate {
	if e, done := ratioAtTheEdge(x, y, level, assumeExact); done {
		return e
	}
	tail, scale := (1-level)/2, y.Exposure/x.Exposure
	low := betaOdds(x.Count, y.Count+1, tail, false) * scale
	high := betaOdds(x.Count+1, y.Count, tail, true) * scale
	return New(x.Count/y.Count*scale, low, high, level, assumeExact)
}

// ratioAtTheEdge answers where a count is zero or unsound.
func ratioAtTheEdge(x, y Counted, level float64, assumption string) (e Estimate, done bool) {
	switch {
	case !x.sound() || !y.sound():
		return NewUnknown(level, assumption, badCounts), true
	case x.Count == 0:
		return NewUnknown(level, assumption, noOutside), true
	case y.Count == 0:
		low := oddsAllOnOneSide(x.Count, 1-level) * y.Exposure / x.Exposure
		return NewAtLeast(low, level, assumption, noInside), true
	}
	return Estimate{}, false
}

// oddsAllOnOneSide solves p^x = alpha and gives p/(1-p): the lower bound when all
// x counts fell on one side.
func oddsAllOnOneSide(x, alpha float64) float64 {
	t := math.Log(alpha) / x
	return math.Exp(t) / -math.Expm1(t)
}

// RatioMidP is as RatioExact, with half of the probability of what was seen left
// out of each tail (Lancaster 1961; from memory). It is narrower and near its
// level on average, but below it for some rates: 0.946 at 0.95 with five counts
// expected inside, 0.90 with two and a half, where its bound for no counts counts
// double. RatioExact is the one to print below some ten counts.
func RatioMidP(x, y Counted, level float64) Estimate {
	if x.sound() && y.sound() && y.Count == 0 && x.Count > 0 {
		low := oddsAllOnOneSide(x.Count, 2*(1-level)) * y.Exposure / x.Exposure
		return NewAtLeast(low, level, assumeMidP, noInside)
	}
	if e, done := ratioAtTheEdge(x, y, level, assumeMidP); done {
		return e
	}
	tail, scale := (1-level)/2, y.Exposure/x.Exposure
	return New(x.Count/y.Count*scale, midOdds(x.Count, y.Count, tail, false)*scale,
		midOdds(x.Count, y.Count, tail, true)*scale, level, assumeMidP)
}

// midOdds solves mid-p = tail for the odds, on the low or the high side. The two
// exact tails bracket it.
func midOdds(x, y, tail float64, high bool) float64 {
	a := math.Log(betaOdds(x, y+1, tail, false))
	b := math.Log(x / y)
	if high {
		a, b = b, math.Log(betaOdds(x+1, y, tail, true))
	}
	f := func(theta float64) float64 {
		greater, less := midTails(x, y, math.Exp(theta))
		if high {
			return math.Log(tail) - math.Log(less)
		}
		return math.Log(tail) - math.Log(greater)
	}
	return math.Exp(root(f, a, b))
}

// midTails gives the mid-p probabilities of at least, and of at most, x of x+y
// counts when the odds are as given.
func midTails(x, y, odds float64) (greater, less float64) {
	ge, lt := exactTails(x, y, odds)
	le, gt := exactTails(y, x, 1/odds)
	return (ge + gt) / 2, (lt + le) / 2
}

// exactTails gives P(X >= x) and P(X < x) for X binomial of x+y at the odds.
func exactTails(x, y, odds float64) (atLeast, below float64) {
	if x == 0 {
		return 1, 0
	}
	atLeast, below, _ = betaTails(x, y+1, odds/(1+odds), 1/(1+odds))
	return atLeast, below
}

// RatioGamma is the ratio of rates when each rate has a gamma posterior: shape
// count + prior. Its value is the posterior median; the ratio is a scaled F
// variable. With no counts in y the bound depends on the prior by half, so
// RatioExact is the one to print there.
func RatioGamma(x, y Counted, prior Prior, level float64) Estimate {
	assumption := fmt.Sprintf("counts are Poisson; gamma posterior of each rate, prior shape %g", float64(prior))
	if !x.sound() || !y.sound() || prior <= 0 {
		return NewUnknown(level, assumption, badCounts)
	}
	if x.Count == 0 {
		return NewUnknown(level, assumption, noOutside)
	}
	a, b, scale := x.Count+float64(prior), y.Count+float64(prior), y.Exposure/x.Exposure
	if y.Count == 0 {
		return NewAtLeast(betaOdds(a, b, 1-level, false)*scale, level, assumption, noInside,
			"with no counts inside the bound rests on the prior")
	}
	tail := (1 - level) / 2
	return New(betaOdds(a, b, 0.5, false)*scale, betaOdds(a, b, tail, false)*scale,
		betaOdds(a, b, tail, true)*scale, level, assumption)
}

// RatioGammaAbove is the posterior probability that the ratio of rates is at
// least the given ratio.
func RatioGammaAbove(x, y Counted, prior Prior, ratio float64) float64 {
	odds := ratio * x.Exposure / y.Exposure
	_, above, _ := betaTails(x.Count+float64(prior), y.Count+float64(prior), odds/(1+odds), 1/(1+odds))
	return above
}

// RatioTest holds the probabilities of data at least as extreme as those seen if
// the true ratio of rates were the one tested.
type RatioTest struct {
	TwoSided       float64 // all outcomes no likelier than the one seen
	Greater, Less  float64 // exact, one-sided
	MidPGreater    float64 // one-sided, half of the outcome seen left out
	MidPLess       float64
	DoubledSmaller float64 // twice the smaller exact tail, at most 1
}

// TestRatio tests the hypothesis that the rate of x is ratio times the rate of y.
// For counts that are not whole numbers TwoSided is DoubledSmaller, since
// outcomes cannot then be listed.
func TestRatio(x, y Counted, ratio float64) RatioTest {
	if !x.sound() || !y.sound() || x.Count+y.Count == 0 || !(ratio > 0) {
		return RatioTest{1, 1, 1, 1, 1, 1}
	}
	odds := ratio * x.Exposure / y.Exposure
	var t RatioTest
	t.Greater, _ = exactTails(x.Count, y.Count, odds)
	t.Less, _ = exactTails(y.Count, x.Count, 1/odds)
	t.MidPGreater, t.MidPLess = midTails(x.Count, y.Count, odds)
	t.DoubledSmaller = math.Min(1, 2*math.Min(t.Greater, t.Less))
	t.TwoSided = t.DoubledSmaller
	if x.Count == math.Floor(x.Count) && y.Count == math.Floor(y.Count) {
		t.TwoSided = leastLikely(x.Count, y.Count, odds)
	}
	return t
}

// leastLikely sums the probability of all outcomes no likelier than x of x+y.
// The mass falls away from its mode, so the far side is found by halving.
func leastLikely(x, y, odds float64) float64 {
	n := x + y
	if x < n*odds/(1+odds) {
		x, y, odds = y, x, 1/odds
	}
	p, q := odds/(1+odds), 1/(1+odds)
	seen := binomialMass(x, y, p, q) * (1 + 1e-7)
	mode := math.Floor((n + 1) * p)
	if x <= mode {
		return 1
	}
	near, _ := exactTails(x, y, odds)
	if binomialMass(0, n, p, q) > seen {
		return near
	}
	lo, hi := 0.0, mode
	for hi-lo > 1 {
		if mid := math.Floor((lo + hi) / 2); binomialMass(mid, n-mid, p, q) <= seen {
			lo = mid
		} else {
			hi = mid
		}
	}
	far, _ := exactTails(n-lo, lo, 1/odds)
	return math.Min(1, near+far)
}

// Rate is the rate of events per unit of exposure with Garwood's exact interval
// (1936; from memory): chi-square limits of the Poisson mean. With no counts the
// low end is zero.
func Rate(count, exposure, level float64) Estimate {
	const assumption = "counts are Poisson; exact interval of one rate"
	if !(Counted{count, exposure}).sound() {
		return NewUnknown(level, assumption, badCounts)
	}
	tail := (1 - level) / 2
	low := 0.0
	if count > 0 {
		low = gammaQuantile(count, tail, false)
	}
	return New(count/exposure, low/exposure, gammaQuantile(count+1, tail, true)/exposure, level, assumption)
}

// RateAtMost is the one-sided exact upper bound of a rate. Three counts per
// exposure at 0.95 when none was seen.
func RateAtMost(count, exposure, level float64) Estimate {
	const assumption = "counts are Poisson; exact one-sided bound of one rate"
	if !(Counted{count, exposure}).sound() {
		return NewUnknown(level, assumption, badCounts)
	}
	return NewAtMost(gammaQuantile(count+1, 1-level, true)/exposure, level, assumption)
}
