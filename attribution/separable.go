package attribution

import (
	"fmt"
	"math"

	"telltale/uncertainty"
)

// tellsApart is the largest ratio of upper to lower bound, over all named
// priors, that still counts as telling seal and filter apart; with the filter
// measured alone the lower bound is a measurement and not a prior, and a wider
// interval is still one.
const (
	tellsApart       = 3.0
	tellsApartHolder = 6.0
)

// separable says whether the filter's penetration has two bounds. The rule: the
// intervals under all named priors together span less than a factor tellsApart.
func (s *solution) separable(l *Ladder, priors []PriorAnswer) (bool, string) {
	lo, hi := span(priors)
	if len(l.Holders) > 0 && hi/lo <= tellsApartHolder {
		return true, "the filter was measured alone in a holder"
	}
	kinds := s.m.evidence()
	if hi/lo <= tellsApart && kinds != "" {
		return true, kinds
	}
	why := fmt.Sprintf("seal and filter cannot be told apart: under the named priors the filter may let through from %s to %s", percent(lo), percent(hi))
	switch {
	case len(l.Holders) > 0:
		return false, why + ", although the filter was measured alone"
	case kinds == "":
		return false, why + "; totals alone bound the filter only from above"
	}
	return false, why + "; the exercises of the best rung do not narrow it enough"
}

// evidence words what beside totals could tell seal and filter apart; empty for
// totals alone, which bound the filter only from above, however they agree.
func (m *model) evidence() string {
	flow, coarse := m.resolves()
	switch {
	case coarse > 1:
		return "the sizes tell them apart: a filter sorts particles by size, a leak hardly does"
	case flow > 1:
		return "the flows tell them apart: a filter lets through more at a higher flow, a leak does not"
	case m.deep:
		return "the exercises tell them apart: a leak moves with the head, a filter does not"
	}
	return ""
}

// span is the lowest and the highest bound under any prior.
func span(priors []PriorAnswer) (lo, hi float64) {
	lo, hi = math.Inf(1), 0
	for _, p := range priors {
		lo, hi = min(lo, p.Filter.Low), max(hi, p.Filter.High)
	}
	return lo, hi
}

// filter is the published figure: the widest interval over the named priors, or
// the largest upper bound over them.
func (s *solution) filter(separable bool, priors []PriorAnswer, level float64) uncertainty.Estimate {
	if separable {
		e := s.filterUnder(0, level)
		e.Low, e.High = span(priors)
		e.Assumption = fmt.Sprintf("value under %s; bounds: the widest over the %d named priors", s.priors[0], len(priors))
		return e
	}
	most := 0.0
	for k := range s.priors {
		most = max(most, math.Exp(s.filterAt(k, level)))
	}
	if s.unread != nil {
		most = max(most, math.Exp(s.unread.filterAt(0, level)))
	}
	return uncertainty.NewAtMost(most, level, fmt.Sprintf("the largest bound over the %d named priors", len(priors)),
		fmt.Sprintf("under the %s prior alone the bound is %s", s.priors[0].Name, percent(math.Exp(s.filterAt(0, level)))),
		"the filter may be much better: nothing bounds it from below")
}

func (s *solution) method() string {
	if s.walked != "" {
		return s.walked
	}
	return fmt.Sprintf("nested quadrature, %d x %d x %d outer points", len(s.under[0].t.lnf), len(s.under[0].t.lnd), len(s.under[0].t.lne))
}

// caveats are what a reader must know beside the figures.
func (s *solution) caveats(l *Ladder, priors []PriorAnswer) []string {
	out := []string{
		"particles lost in the airways are lost for filter and leak alike: that factor cannot be seen here",
		"the filter is taken to be the same on all rungs",
	}
	if len(l.Rungs) == 1 {
		out = append(out, "one rung only: there is nothing to compare it with")
	}
	if !l.Rungs[0].AsWorn() {
		out = append(out, "the respirator was not tested as worn, so no repair can be said to have helped")
	}
	if s.m.deep {
		out = append(out, "a leak that does not move with the head would look like filter")
	}
	if s.unread != nil {
		out = append(out, "the exercises' breathing flows were not recorded: what is believed of them by the exercises' names was taken, and nothing is said that the runs as wholes speak against")
	}
	if s.walked != "" {
		out = append(out, "worked by chains ("+s.m.needsChain()+"): no Bayes factors, and steadier repaired leaks were not tried")
	}
	return append(out, holderCaveats(l)...)
}

// holderCaveats say how the holder's runs were carried to breathing.
func holderCaveats(l *Ladder) []string {
	if len(l.Holders) == 0 {
		return nil
	}
	at := fmt.Sprintf("%s L/min", short(l.Breathing.LitresPerMinute()))
	if l.Breathing == 0 {
		at = "a breathing flow that is not known (20, 28 and 40 L/min with even odds)"
	}
	out := []string{fmt.Sprintf("the filter alone was carried to %s: -ln P goes as velocity^-m, m from %g to %g", at, leastExponent, mostExponent)}
	if l.Area == 0 {
		out = append(out, "the respirator's filter area is not known: the clamped area is taken for it")
	}
	return out
}
