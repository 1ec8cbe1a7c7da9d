package medium

import "math"

// Empirical is the scaling of a class limit to breathing by two published regularities:
// ln P in room air is R times ln P in the class test, and ln P falls with flow as
// flow^-M.
type Empirical struct {
	R float64 // size ratio, ln P(number, most penetrating) / ln P(class weighting)
	M float64 // flow exponent
}

// The band of the two numbers. R: measured most-penetrating against photometric
// penetrations give 0.68-0.83 (Rengasamy, Eimer and Shaffer 2009, abstract; a
// size-resolved study of one FFP2, PMC10474009 table 1; both read); averaged over a
// room's sizes it rises toward 1 (assumption). M: fitted media 0.3-0.56 (computed),
// measured cyclic flow 0-0.11 (Cho et al. 2013, read); 0.2-0.5 is taken (own rule).
var (
	central = Empirical{0.85, 0.35}
	lowR    = 0.70
	highR   = 1.00
	lowM    = 0.20
	highM   = 0.50
)

// Penetration of a filter that just meets the limit, at a constant flow in L/min.
func (e Empirical) Penetration(limit ClassLimit, flow float64) float64 {
	return math.Exp(e.R * math.Log(limit.LimitPenetration) * math.Pow(limit.TestFlow/flow, e.M))
}

// FitFactor over a breath: one over the flow-weighted mean penetration.
func (e Empirical) FitFactor(limit ClassLimit, b Breathing) float64 {
	return 1 / b.Mean(func(q float64) float64 { return e.Penetration(limit, q) })
}

// channel is the empirical method for the counter at hand: its size ratio times what
// the channel adds to it.
func (p *physical) channel(e Empirical) Empirical { return Empirical{e.R * p.kappa, e.M} }

// empiricalEnds are the least and largest fit factor over the corners of R and M.
func (p *physical) empiricalEnds(b Breathing) (low, high float64) {
	low, high = math.Inf(1), 0
	for _, e := range []Empirical{{lowR, lowM}, {lowR, highM}, {highR, lowM}, {highR, highM}} {
		ff := p.channel(e).FitFactor(p.limit, b)
		low, high = min(low, ff), max(high, ff)
	}
	return low, high
}

// FlowExponent is the m of ln P ~ flow^-m that two penetrations at two flows give.
func FlowExponent(p1, flow1, p2, flow2 float64) float64 {
	return math.Log(math.Log(p1)/math.Log(p2)) / math.Log(flow2/flow1)
}
