package attribution

import (
	"math"

	"telltale/uncertainty"
)

// Options are the caller's wishes; the zero value gives the usual answer.
type Options struct {
	Level    float64 // of the intervals; 0 means 0.95
	Prior    *Prior  // of the main figures; nil means Base
	Variants []Prior // the other named priors; nil means Variants()
	Next     bool    // work out which wearing would tell most
}

// Solve says what the ladder tells. The error is a fault.List when the ladder
// itself is wrong; too little data is no error but a wide answer.
func Solve(l Ladder, o Options) (Result, error) {
	if err := l.Examine(); err != nil {
		return Result{}, err
	}
	if o.Level == 0 {
		o.Level = 0.95
	}
	if !(o.Level > 0.5 && o.Level < 1) {
		panic("attribution: level must lie between 0.5 and 1")
	}
	base, variants := Base(), o.Variants
	if o.Prior != nil {
		base = *o.Prior
	}
	if variants == nil {
		variants = Variants()
	}
	priors := append([]Prior{base}, variants...)
	s := ready(&l, priors).solve(priors)
	if plain, any := l.unread(); any && s.failed == "" {
		s.unread = ready(&plain, priors[:1]).solve(priors[:1])
		s.failed = s.unread.failed
	}
	return s.result(&l, o), nil
}

// tail gives the lower, middle and upper points of a two-sided interval.
func tail(level float64) (lo, mid, hi float64) { return (1 - level) / 2, 0.5, (1 + level) / 2 }

// filterUnder is the filter's penetration under one prior, two-sided.
func (s *solution) filterUnder(k int, level float64) uncertainty.Estimate {
	lo, mid, hi := tail(level)
	return uncertainty.New(math.Exp(s.filterAt(k, mid)), math.Exp(s.filterAt(k, lo)), math.Exp(s.filterAt(k, hi)), level, s.priors[k].String())
}

// filterAt is a quantile of ln f under a prior.
func (s *solution) filterAt(k int, p float64) float64 {
	if s.lnfs != nil {
		return s.lnfs[k].at(p)
	}
	return s.under[k].f.quantile(p)
}

func (s *solution) result(l *Ladder, o Options) Result {
	r := Result{Method: s.method()}
	for k, p := range s.priors {
		a := PriorAnswer{Prior: p, LnMarginal: math.NaN(), Filter: s.filterUnder(k, o.Level)}
		if s.walked == "" {
			a.LnMarginal = s.under[k].lnML
		}
		r.Priors = append(r.Priors, a)
	}
	if s.failed != "" {
		return s.withheld(l, r, o.Level)
	}
	if s.unread != nil {
		a := PriorAnswer{Prior: base(s.priors[0], unreadName), LnMarginal: math.NaN(), Filter: s.unread.filterUnder(0, o.Level)}
		r.Priors = append(r.Priors, a)
	}
	r.Separable, r.Reason = s.separable(l, r.Priors)
	r.Filter = s.filter(r.Separable, r.Priors, o.Level)
	for c := range l.Rungs {
		r.Rungs = append(r.Rungs, s.rung(l, c, r.Separable, o.Level))
	}
	lo, mid, hi := tail(o.Level)
	scatter := func(at func(p float64) float64) uncertainty.Estimate {
		return uncertainty.New(math.Exp(at(mid)), math.Exp(at(lo)), math.Exp(at(hi)), o.Level, "standard deviation of the log leak, the same on all rungs")
	}
	d, e := order(s.draws.lnd, nil).at, order(s.draws.lne, nil).at
	if s.walked == "" {
		d, e = s.under[0].d.quantile, s.under[0].e.quantile
	}
	r.WearingScatter = scatter(d)
	r.ExerciseScatter = uncertainty.NewUnknown(o.Level, "no wearing has exercises of its own")
	if s.m.deep {
		r.ExerciseScatter = scatter(e)
	}
	if o.Next {
		r.Next = s.next(l, r.Separable)
	}
	r.Zones = s.zoneShares(l, o.Level)
	r.Caveats = s.caveats(l, r.Priors)
	return r
}

// withheld is the result when the chains' diagnostics did not pass: no figure.
func (s *solution) withheld(l *Ladder, r Result, level float64) Result {
	r.Reason = "the chains did not settle (" + s.failed + "), so no figure is given; without shared donnings and specimens the ladder can be worked without them"
	none := uncertainty.NewUnknown(level, "the chains did not settle")
	r.Filter, r.WearingScatter, r.ExerciseScatter = none, none, none
	for k := range r.Priors {
		r.Priors[k].Filter = none
	}
	for _, g := range l.Rungs {
		r.Rungs = append(r.Rungs, RungResult{Name: g.Name(), Wearings: len(g.Wearings), Leak: none, Total: none, SealShare: none,
			MostlySeal: Chance{math.NaN(), math.NaN(), math.NaN()}, Path: Undecided})
	}
	return r
}

// base is the prior under another name.
func base(p Prior, name string) Prior {
	p.Name = name
	return p
}
