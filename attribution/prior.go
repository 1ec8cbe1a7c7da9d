package attribution

import (
	"fmt"
	"math"
)

// Prior is what is believed before the counts: medians and scatters on the log
// scale. It is part of the result, and the result is worked under several.
type Prior struct {
	Name         string
	FilterMedian float64 // of the filter's penetration f, log-normal, cut at FilterMost
	FilterSD     float64
	LeakMedian   float64 // of each rung's median leak L, log-normal, independent
	LeakSD       float64
	Scatter      float64 // scale of the half-normal of both scatters, cut to leastScatter ... mostScatter
	// Loose lets each repaired rung have, with even odds, half the scatters of
	// the others: tape may make a leak steady.
	Loose bool
}

const (
	// FilterMost is the largest filter penetration the model considers.
	FilterMost   = 0.5
	leastScatter = 0.02
	mostScatter  = 2.5
)

// Base is the prior that the main figures are worked under: a filter that lets
// through about 2 % within a factor of 4.5, leaks of about 2 % within a factor
// of 7.4, and scatters of a factor of up to about two.
func Base() Prior { return Prior{"base", 0.02, 1.5, 0.02, 2, 0.7, false} }

// Variants are the priors that the result is worked under beside Base. Each
// moves one belief. The hardly known filter keeps a very good one from being
// told apart by the slope of the other priors alone.
func Variants() []Prior {
	vary := func(name string, change func(*Prior)) Prior {
		p := Base()
		p.Name = name
		change(&p)
		return p
	}
	return []Prior{
		vary("filter about 5 %", func(p *Prior) { p.FilterMedian, p.FilterSD = 0.05, 1 }),
		vary("filter about 0.5 %", func(p *Prior) { p.FilterMedian, p.FilterSD = 0.005, 1 }),
		vary("filter hardly known", func(p *Prior) { p.FilterMedian, p.FilterSD = 0.001, 2.5 }),
		vary("leaks less varied", func(p *Prior) { p.LeakSD = 1 }),
		vary("leaks more varied", func(p *Prior) { p.LeakSD = 3 }),
		vary("leaks about 0.2 %", func(p *Prior) { p.LeakMedian = 0.002 }),
		vary("repaired leaks may be steadier", func(p *Prior) { p.Loose = true }),
		vary("scatter half as large", func(p *Prior) { p.Scatter = 0.35 }),
		vary("scatter twice as large", func(p *Prior) { p.Scatter = 1.4 }),
	}
}

// String words the prior.
func (p Prior) String() string {
	return fmt.Sprintf("%s: filter %.3g %% (log sd %.2g, at most %.0f %%), leak %.3g %% (log sd %.2g), scatter half-normal %.2g",
		p.Name, 100*p.FilterMedian, p.FilterSD, 100*FilterMost, 100*p.LeakMedian, p.LeakSD, p.Scatter)
}

// lnFilter is the log density of ln f.
func (p Prior) lnFilter(lnf float64) float64 {
	if lnf >= math.Log(FilterMost) {
		return math.Inf(-1)
	}
	mu := math.Log(p.FilterMedian)
	return lnNormal(lnf, mu, p.FilterSD) - math.Log(below((math.Log(FilterMost)-mu)/p.FilterSD))
}

// lnScatter is the log density of ln sigma for the half-normal cut to its range.
func (p Prior) lnScatter(lns float64) float64 {
	s := math.Exp(lns)
	kept := 2 * (below(mostScatter/p.Scatter) - below(leastScatter/p.Scatter))
	return math.Ln2 + lnNormal(s, 0, p.Scatter) + lns - math.Log(kept)
}

// lnNormal is the log density of the normal distribution.
func lnNormal(x, mu, sd float64) float64 {
	z := (x - mu) / sd
	return -0.5*z*z - math.Log(sd) - 0.5*math.Log(2*math.Pi)
}

// below is the standard normal distribution function.
func below(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }
