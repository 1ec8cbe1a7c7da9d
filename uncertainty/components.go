package uncertainty

import "math"

// Components are the two variances of a one-way random-effects layout: between
// groups (persons, or wearings) and within them.
type Components struct {
	Mean, MeanSE    float64
	Between, Within float64 // variances
	Clipped         bool    // the estimate between came out below zero and was set to zero
	Groups, Values  int
	// BetweenSD is the standard deviation between groups with Satterthwaite's
	// interval at 0.95 (from memory), which for a few groups spans an order of
	// magnitude; at most only where Between is zero.
	BetweenSD Estimate
}

const (
	assumeComponents = "one-way random effects: groups and values within them are normal and independent"
	componentsLevel  = 0.95
	clippedSaid      = "the variance between groups came out below zero and is set to zero: the groups differ no more than their values do"
)

// ComponentsByAnova solves the mean squares for the variances, with the mean group
// size n0 = (N - sum n_i^2/N)/(k-1) where groups differ in size (Searle, Casella &
// McCulloch, Variance Components, 3.6; from memory). A negative variance is set to
// zero and said.
func ComponentsByAnova(groups [][]float64) Components {
	l := layoutOf(groups)
	if l.k < 2 || l.n <= l.k {
		return Components{Mean: l.grand(0), MeanSE: math.NaN(), Between: math.NaN(), Within: math.NaN(),
			Groups: int(l.k), Values: int(l.n),
			BetweenSD: NewUnknown(componentsLevel, assumeComponents, "two or more groups and a repeat in one of them are needed")}
	}
	between := (l.anova.BetweenMS() - l.anova.WithinMS()) / l.n0
	within := l.anova.WithinMS()
	if between < 0 {
		within = (l.anova.BetweenSS + l.anova.WithinSS) / (l.n - 1)
	}
	return l.components(between, within)
}

// ComponentsByREML maximises the restricted likelihood, which for groups of one
// size and a positive variance between is the same as ComponentsByAnova. Within
// and the mean are profiled out; the ratio between/within is found as the root of
// the score (from memory).
func ComponentsByREML(groups [][]float64) Components {
	l := layoutOf(groups)
	if l.k < 2 || l.n <= l.k || !(l.anova.WithinSS > 0) {
		return ComponentsByAnova(groups)
	}
	ratio := l.remlRatio()
	within := l.residual(ratio) / (l.n - 1)
	if ratio == 0 {
		return l.components(-1, within)
	}
	return l.components(ratio*within, within)
}

// layout is what both estimators need of grouped values.
type layout struct {
	k, n, n0    float64
	size, means []float64
	origin      float64
	anova       Anova
}

func layoutOf(groups [][]float64) layout {
	l := layout{anova: AnovaOf(groups), origin: math.NaN()}
	var squares float64
	for _, g := range groups {
		if len(g) == 0 {
			continue
		}
		if l.k == 0 {
			l.origin = g[0]
		}
		_, shift := centred(g, l.origin)
		size := float64(len(g))
		l.size, l.means = append(l.size, size), append(l.means, shift)
		l.k, l.n, squares = l.k+1, l.n+size, squares+size*size
	}
	l.n0 = (l.n - squares/l.n) / (l.k - 1)
	return l
}

// weights n/(1+n ratio) of the group means and the mean under them.
func (l layout) weights(ratio float64) (w []float64, mean, sum float64) {
	w = make([]float64, len(l.size))
	var top float64
	for i, n := range l.size {
		w[i] = n / (1 + n*ratio)
		sum += w[i]
		top += w[i] * l.means[i]
	}
	return w, top / sum, sum
}

func (l layout) grand(ratio float64) float64 {
	_, mean, _ := l.weights(ratio)
	return l.origin + mean
}

// residual is the sum of squares that, over n-1, estimates the variance within.
func (l layout) residual(ratio float64) float64 {
	w, mean, _ := l.weights(ratio)
	ss := l.anova.WithinSS
	for i, m := range l.means {
		ss += w[i] * (m - mean) * (m - mean)
	}
	return ss
}

// score is the derivative of -2 ln(restricted likelihood) in the ratio.
func (l layout) score(ratio float64) float64 {
	w, mean, sum := l.weights(ratio)
	var pull, squares float64
	for i, m := range l.means {
		pull += w[i] * w[i] * (m - mean) * (m - mean)
		squares += w[i] * w[i]
	}
	return -(l.n-1)*pull/l.residual(ratio) + sum - squares/sum
}

// remlRatio is the ratio where the score leaves the negative, searched outward
// from zero so that a minimum behind a flat start is not missed.
func (l layout) remlRatio() float64 {
	last, best, bestFit := 0.0, 0.0, l.deviance(0)
	for r := 1e-6; r < 1e9; r *= 1.5 {
		if l.score(last) < 0 && l.score(r) >= 0 {
			at := root(l.score, last, r)
			if fit := l.deviance(at); fit < bestFit {
				best, bestFit = at, fit
			}
		}
		last = r
	}
	return best
}

// deviance is -2 ln(restricted likelihood) up to a constant.
func (l layout) deviance(ratio float64) float64 {
	_, _, sum := l.weights(ratio)
	d := (l.n-1)*math.Log(l.residual(ratio)) + math.Log(sum)
	for _, n := range l.size {
		d += math.Log1p(n * ratio)
	}
	return d
}

// components finishes both estimators.
func (l layout) components(between, within float64) Components {
	c := Components{Between: math.Max(0, between), Within: within, Clipped: between < 0, Groups: int(l.k), Values: int(l.n)}
	ratio := 0.0
	if within > 0 {
		ratio = c.Between / within
	}
	_, _, sum := l.weights(ratio)
	c.Mean, c.MeanSE = l.grand(ratio), math.Sqrt(within/sum)
	c.BetweenSD = l.spread(c)
	return c
}

// spread is Satterthwaite's chi-square interval of the standard deviation between:
// its degrees of freedom are those of a difference of mean squares.
func (l layout) spread(c Components) Estimate {
	msb, msw := l.anova.BetweenMS(), l.anova.WithinMS()
	tail := (1 - componentsLevel) / 2
	if c.Clipped || c.Between == 0 {
		// The whole mean square between groups, as if it held nothing from within.
		high := math.Sqrt(msb * l.anova.BetweenDF / chiSquareQuantile(1-componentsLevel, l.anova.BetweenDF, false) / l.n0)
		return NewAtMost(high, componentsLevel, assumeComponents, clippedSaid)
	}
	d := msb - msw
	dof := d * d / (msb*msb/l.anova.BetweenDF + msw*msw/l.anova.WithinDF)
	end := func(upper bool) float64 {
		return math.Sqrt(c.Between * dof / chiSquareQuantile(tail, dof, upper))
	}
	return New(math.Sqrt(c.Between), end(true), end(false), componentsLevel, assumeComponents)
}

// Nested are the three variances of values within wearings within persons.
type Nested struct {
	Outer, Middle, Inner float64 // variances: between groups, between subgroups, within
	Clipped              bool    // one or more came out below zero and was set to zero
}

// NestedByAnova solves the mean squares of a two-fold nested layout, with Searle's
// coefficients where sizes differ. For equal sizes and positive variances it is
// the restricted-likelihood answer. Without repeats at a level what rests on it is
// NaN.
func NestedByAnova(groups [][][]float64) Nested {
	var within, between Anova // of subgroups in each group
	var all [][]float64
	var a, b, n, sumIn, sumAll, sumGroups float64
	for _, g := range groups {
		var flat []float64
		var squares float64
		for _, sub := range g {
			if len(sub) == 0 {
				continue
			}
			b++
			flat = append(flat, sub...)
			squares += float64(len(sub) * len(sub))
		}
		if len(flat) == 0 {
			continue
		}
		size := float64(len(flat))
		a, n = a+1, n+size
		sumIn, sumAll, sumGroups = sumIn+squares/size, sumAll+squares, sumGroups+size*size
		one := AnovaOf(g)
		within.WithinSS += one.WithinSS
		between.BetweenSS += one.BetweenSS
		all = append(all, flat)
	}
	outer := AnovaOf(all)
	msIn, msMid, msOut := within.WithinSS/(n-b), between.BetweenSS/(b-a), outer.BetweenMS()
	k1, k2, k3 := (n-sumIn)/(b-a), (sumIn-sumAll/n)/(a-1), (n-sumGroups/n)/(a-1)
	r := Nested{Inner: msIn, Middle: (msMid - msIn) / k1}
	r.Clipped = r.Middle < 0
	r.Middle = atLeastZero(r.Middle)
	r.Outer = (msOut - r.Inner - k2*r.Middle) / k3
	r.Clipped = r.Clipped || r.Outer < 0
	r.Outer = atLeastZero(r.Outer)
	return r
}

// atLeastZero clips at zero and lets NaN through.
func atLeastZero(v float64) float64 {
	if v < 0 {
		return 0
	}
	return v
}
