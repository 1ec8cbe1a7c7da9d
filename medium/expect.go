package medium

import (
	"math"

	"telltale/reference"
	"telltale/uncertainty"
)

// Rule names the version of the rule by which a Band is made.
const Rule = "expect-1"

// Span is low, central and high of a sealed fit factor.
type Span struct {
	Low     float64 `json:"low"`
	Central float64 `json:"central"`
	High    float64 `json:"high"`
}

// Band is the sealed fit factor that a filter which just meets a class would show,
// and the two thresholds beyond which a sealed measurement says something.
type Band struct {
	Class            string      `json:"class"`
	Standard         string      `json:"standard"`
	LimitPenetration float64     `json:"limit_penetration"`
	TestFlow         float64     `json:"test_flow_l_min"`
	Ventilation      float64     `json:"ventilation_l_min"`
	VentilationKnown bool        `json:"ventilation_known"`
	Counter          CounterKind `json:"counter"`
	Sampling         Sampling    `json:"sampling"`
	FitFactor        Span        `json:"fit_factor"`
	// HardToReconcileBelow is the least fit factor of every assumption set tried at the
	// fastest breathing: a sealed result below it is hard to reconcile with the class.
	HardToReconcileBelow float64 `json:"hard_to_reconcile_below"`
	// BetterThanClassMinimumAbove is the most of every set at the slowest breathing: a
	// result above it shows a filter better than the class's minimum.
	BetterThanClassMinimumAbove float64 `json:"better_than_class_minimum_above"`
	// AnyBreathing are the two thresholds over 10-40 L/min, for a wearer whose
	// ventilation was not even calm for certain.
	AnyBreathing Thresholds `json:"any_breathing"`
	// Methods are the ends of the two methods over the same conditions.
	Methods     Methods          `json:"methods"`
	Assumptions []Assumption     `json:"assumptions"` // largest first
	Narrows     *Narrowing       `json:"narrows_most"`
	Source      reference.Source `json:"source"`
	Rule        string           `json:"rule"`
	Caveats     []string         `json:"caveats"`
}

// Thresholds are the lower and the upper one.
type Thresholds struct {
	HardToReconcileBelow        float64 `json:"hard_to_reconcile_below"`
	BetterThanClassMinimumAbove float64 `json:"better_than_class_minimum_above"`
}

// Methods holds what each method gives by itself.
type Methods struct {
	Empirical Span `json:"empirical"`
	Physical  Span `json:"physical"`
}

// Estimate is the band as an Estimate. It is a range over assumptions: its level is
// 0 because no share of cases is claimed for it.
func (b Band) Estimate() uncertainty.Estimate {
	return uncertainty.New(b.FitFactor.Central, b.FitFactor.Low, b.FitFactor.High, 0,
		"range over the listed assumptions for a sealed filter that just meets the class, not a confidence interval", b.Caveats...)
}

// Expect gives the band of a class under the conditions. It refuses a class without
// a filter limit by particles (see FromReference).
func Expect(class reference.Class, cond Conditions) (Band, error) {
	limit, err := FromReference(class)
	if err != nil {
		return Band{}, err
	}
	return ExpectLimit(limit, cond)
}

// ExpectLimit gives the band of a filter limit under the conditions.
//
// The rule (expect-1). Two methods are run. The empirical one scales the limit by a
// size ratio r and a flow exponent m; the physical one takes four generic media,
// charges each until it just meets the class with the class's own aerosol, and lets
// them breathe room air.
//   - Central is the empirical method at r 0.85, m 0.35 and the usual breathing,
//     shifted by what the physical method says of the room if the room is known.
//   - High moves r, m, ventilation and room one at a time from there and adds the
//     upward moves in quadrature on the log scale.
//   - Low does the same downward and then goes half of the way (on the log scale) to
//     the least value of the physical method with mass or photometer weighting at the
//     fastest breathing. Half, because that method guards the low side but came out
//     pessimistic against published ratios of penetration.
//   - The thresholds are the least and the most over all corners: r 0.7-1, m 0.2-0.5,
//     all media, airs and readings of the test aerosol; the upper one also with the
//     class test weighed by number.
//
// The published size ratio is that of a counter of all particles. For an optical
// counter it is multiplied by what the physical method finds between the two
// counters: the mean of ln P behind the optical one over ln P behind a condensation
// counter of 0.02 um. Its low end and lower threshold stay at or under 1000, where the
// wearer's own particles begin to be what it counts.
func ExpectLimit(limit ClassLimit, cond Conditions) (Band, error) {
	if err := limit.check(); err != nil {
		return Band{}, err
	}
	s, err := cond.prepare()
	if err != nil {
		return Band{}, err
	}
	p, err := newPhysical(limit, s)
	if err != nil {
		return Band{}, err
	}
	all := everything(s)
	band := Band{
		Class: limit.Name, Standard: limit.Standard, LimitPenetration: limit.LimitPenetration, TestFlow: limit.TestFlow,
		Ventilation: s.ventilation, VentilationKnown: s.known, Counter: s.kind, Sampling: s.sampling,
		FitFactor: p.span(all), Methods: p.methods(all), Source: limit.Source, Rule: Rule,
	}
	t := p.thresholds(all)
	band.HardToReconcileBelow, band.BetterThanClassMinimumAbove = t.HardToReconcileBelow, t.BetterThanClassMinimumAbove
	outer := all
	outer.slow, outer.fast = s.calmest, s.hardest
	band.AnyBreathing = p.thresholds(outer)
	band.Assumptions = p.assumptions()
	band.Narrows = p.narrowing(band.FitFactor)
	band.Caveats = caveats(limit, s, band)
	return band, nil
}

// view is which of the unknown inputs are left open.
type view struct {
	slow, usual, fast Breathing
	rooms             []int
}

// everything leaves all unknown inputs open.
func everything(s setting) view {
	v := view{slow: s.slow, usual: s.usual, fast: s.fast}
	for i := range s.rooms {
		v.rooms = append(v.rooms, i)
	}
	return v
}

// span applies the rule to a view.
func (p *physical) span(v view) Span {
	mid := p.empirical(central, v.usual, v)
	up, down := 0.0, 0.0
	move := func(low, high float64) {
		down += math.Pow(math.Log(mid/min(low, mid)), 2)
		up += math.Pow(math.Log(max(high, mid)/mid), 2)
	}
	move(p.empirical(Empirical{lowR, central.M}, v.usual, v), p.empirical(Empirical{highR, central.M}, v.usual, v))
	a, b := p.empirical(Empirical{central.R, lowM}, v.usual, v), p.empirical(Empirical{central.R, highM}, v.usual, v)
	move(min(a, b), max(a, b))
	move(p.empirical(central, v.fast, v), p.empirical(central, v.slow, v))
	low, high := p.roomMoves(v)
	move(mid*low, mid*high)
	ends := p.thresholds(v)
	bottom := max(mid*math.Exp(-math.Sqrt(down)), ends.HardToReconcileBelow)
	low = min(bottom, math.Sqrt(bottom*p.least(v.fast, v.rooms)), mid)
	if p.set.kind == Optical {
		low = min(low, ownParticles)
	}
	return Span{Low: max(low, ends.HardToReconcileBelow), Central: mid, High: min(mid*math.Exp(math.Sqrt(up)), ends.BetterThanClassMinimumAbove)}
}

// empirical is the empirical method with the room's shift and the lungs' bias.
func (p *physical) empirical(e Empirical, b Breathing, v view) float64 {
	return p.channel(e).FitFactor(p.limit, b) * p.roomShift(v) * p.inflation(v)
}

// inflation is the mean factor of the lungs over the rooms of the view.
func (p *physical) inflation(v view) float64 {
	sum := 0.0
	for _, r := range v.rooms {
		sum += math.Log(p.lungs[r])
	}
	return math.Exp(sum / float64(len(v.rooms)))
}
