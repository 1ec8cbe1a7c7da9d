package attribution

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// mostCounts caps the inside counts that one exercise is trusted with: no pair
// of readings is believed to better than 2 % (one part in the square root of
// 2500), whatever their number.
const mostCounts = 2500

// unit is one pair of counts with the penetration it speaks of.
type unit struct {
	x, y   float64 // ambient and inside
	e      float64 // exposure, inside / ambient
	flow   float64 // flow relative to the mean
	bound  Bound
	second *unit   // the coarse channel, sharing the leak
	peak   float64 // the largest log likelihood over the penetration
}

func newUnit(x, y, e, flow float64, bound Bound) unit {
	if y > mostCounts {
		x, y = x*mostCounts/y, mostCounts
	}
	u := unit{x: x, y: y, e: oneIfZero(e), flow: oneIfZero(flow), bound: bound}
	if bound == Measured {
		u.peak = u.lnLikelihood(y / (x * u.e))
	}
	return u
}

func oneIfZero(v float64) float64 {
	if v == 0 {
		return 1
	}
	return v
}

// lnLikelihood is the log likelihood of the penetration p: inside counts are
// binomial given the total of both counters, with odds p*e (two Poisson rates
// compared given their sum: Przyborowski and Wilenski, Biometrika 31, 1940; from
// memory). A capped counter gives the tail instead of the point.
func (u *unit) lnLikelihood(p float64) float64 {
	odds := p * u.e
	switch u.bound {
	case PenetrationAtMost:
		return math.Log(math.Max(mathext.RegIncBeta(u.x, u.y+1, 1/(1+odds)), 1e-300))
	case PenetrationAtLeast:
		return math.Log(math.Max(mathext.RegIncBeta(u.y, u.x+1, odds/(1+odds)), 1e-300))
	}
	if u.y == 0 {
		return -u.x * math.Log1p(odds)
	}
	return u.y*math.Log(odds) - (u.x+u.y)*math.Log1p(odds)
}

// constant is the log of the binomial coefficient, so that marginal likelihoods
// of whole counts are probabilities.
func (u *unit) constant() float64 {
	if u.bound != Measured {
		return 0
	}
	return lnGamma(u.x+u.y+1) - lnGamma(u.x+1) - lnGamma(u.y+1)
}

func lnGamma(v float64) float64 {
	g, _ := math.Lgamma(v)
	return g
}

// lnRatio is the log likelihood relative to its peak.
func (u *unit) lnRatio(p float64) float64 { return u.lnLikelihood(p) - u.peak }

// width is roughly the standard deviation of the log leak that the counts see
// beside a filter f: at most half when the filter explains them alone.
func (u *unit) width(f float64) float64 {
	p := u.y / (u.x * u.e)
	s := math.Sqrt(math.Max(u.y, 1)) / (u.x * u.e)
	return s / math.Max(p-f, 2*s)
}

const (
	faint   = -38.0 // log of what is left out at the edges of a table
	silence = 3e-4  // relative change of the likelihood by a leak that is left out
)

// curve tabulates the likelihood against the log leak on a lattice, beside the
// filter f. leaks[i-low] holds exp(i*step).
func (u *unit) curve(f float64, lat *lattice, buf []float64) curve {
	f = throughAt(f, u.flow)
	left := u.lnRatio(f)
	from := u.quiet(f)
	if left < faint {
		from = u.edge(f, from, true)
		left = math.Inf(-1)
	}
	to := u.edge(f, from, false)
	lo, hi := int(math.Floor(from/lat.step)), int(math.Ceil(to/lat.step))
	lo, hi = max(lo, lat.low), min(hi, lat.high)
	out := curve{lo: lo, v: buf[:0], left: math.Exp(left), ln: u.peak}
	for i := lo; i <= hi; i++ {
		out.v = append(out.v, math.Exp(u.lnRatio(f+lat.leak(i))))
	}
	return out
}

// quiet is the log leak below which the leak changes nothing.
func (u *unit) quiet(f float64) float64 {
	slope := math.Abs(u.y/f-(u.x+u.y)*u.e/(1+f*u.e)) + math.Sqrt(u.y+1)/f*0.02
	return math.Log(silence / slope)
}

// edge finds the log leak where the likelihood has become faint: on the near
// side of the peak (rising) or on the far side.
func (u *unit) edge(f, from float64, rising bool) float64 {
	at := math.Log(math.Max(u.y/(u.x*u.e)-f, 1e-12)) // the peak, if the leak has one
	a, b := at, leakHigh
	if rising {
		a, b = from, at
	}
	if u.bound == PenetrationAtLeast {
		if !rising {
			return leakHigh
		}
		a, b = from, leakHigh
	} else if !rising && a < from {
		a = from
	}
	for range 24 {
		mid := (a + b) / 2
		if (u.lnRatio(f+math.Exp(mid)) < faint) == rising {
			a = mid
		} else {
			b = mid
		}
	}
	return (a + b) / 2
}
