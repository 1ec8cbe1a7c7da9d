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
	flow   float64 // flow relative to the mean, as recorded or believed
	whole  bool    // the run as a whole, which has no exercise luck
	bound  Bound
	coarse *unit   // the coarser size channel, sharing the leak
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
		if u.y == 0 { // at least nothing
			return 0
		}
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
func (u *unit) width(f float64, b block) float64 {
	p := u.y / (u.x * u.e)
	s := math.Sqrt(math.Max(u.y, 1)) / (u.x * u.e)
	w := s / math.Max(p-throughAt(f, u.flow, b.exponent), 2*s)
	if u.coarse != nil {
		w = min(w, u.coarse.width(math.Pow(f, b.steepness), b))
	}
	return w
}

const (
	faint   = -38.0 // log of what is left out at the edges of a table
	silence = 3e-4  // relative change of the likelihood by a leak that is left out
)

// best is the largest log likelihood ratio that any leak can reach beside f.
func (u *unit) best(f float64) float64 {
	if u.bound == PenetrationAtLeast || f < u.y/(u.x*u.e) {
		return 0
	}
	return u.lnRatio(f)
}

// curve tabulates the likelihood against the log leak on a lattice, beside the
// filter f, relative to the best that a leak can do there.
func (u *unit) curve(f float64, b block, lat *lattice, buf []float64) curve {
	leak := math.Pow(u.flow, leakExponent)
	fine := throughAt(f, u.flow, b.exponent)
	top := u.best(fine)
	from, left := u.quiet(fine), u.lnRatio(fine)-top
	out := curve{v: buf[:0], ln: u.peak + u.constant() + top}
	var g, topCoarse float64
	if c := u.coarse; c != nil {
		g = throughAt(math.Pow(f, b.steepness), u.flow, b.exponent)
		topCoarse = c.best(g)
		from = min(from, c.quiet(g))
		left += c.lnRatio(g) - topCoarse
		out.ln += c.peak + c.constant() + topCoarse
	}
	if left < faint {
		left = math.Inf(-1)
		if u.coarse == nil {
			from = u.edge(fine, from, true)
		}
	}
	shift := math.Log(leak)
	out.lo, out.left = max(int(math.Floor((from-shift)/lat.step)), lat.low), math.Exp(left)
	hi := min(int(math.Ceil((u.edge(fine, from, false)-shift)/lat.step)), lat.high)
	for i := out.lo; i <= hi; i++ {
		ln := u.lnRatio(fine+leak*lat.leak(i)) - top
		if u.coarse != nil && ln > faint {
			ln += u.coarse.lnRatio(g+leak*lat.leak(i)) - topCoarse
		}
		out.v = append(out.v, math.Exp(ln))
	}
	return out
}

// alone is the log likelihood of the filter without any leak.
func (u *unit) alone(f float64, b block) float64 {
	ln := u.lnLikelihood(throughAt(f, u.flow, b.exponent)) + u.constant()
	if u.coarse != nil {
		ln += u.coarse.alone(math.Pow(f, b.steepness), b)
	}
	return ln
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
	top := u.best(f)
	for range 13 { // to about a hundredth
		mid := (a + b) / 2
		if (u.lnRatio(f+math.Exp(mid)) < faint+top) == rising {
			a = mid
		} else {
			b = mid
		}
	}
	return (a + b) / 2
}
