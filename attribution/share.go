package attribution

import (
	"math"

	"telltale/uncertainty"
)

// decided is the chance that a statement about the dominant path needs, under
// every named prior; where flows were not recorded it is decidedUnknown, as they
// may lie further off than is believed.
const (
	decided        = 0.9
	decidedUnknown = 0.95
)

// rung works the figures of one configuration from the draws.
func (s *solution) rung(l *Ladder, c int, separable bool, level float64) RungResult {
	d := s.draws
	g := RungResult{Name: l.Rungs[c].Name(), Wearings: len(l.Rungs[c].Wearings)}
	total, share := make([]float64, d.len()), d.share(c)
	for i := range total {
		total[i] = math.Exp(d.lnf[i]) + math.Exp(d.leak[c][i])
	}
	lo, mid, hi := tail(level)
	est := func(v []float64, assumption string) uncertainty.Estimate {
		q := order(v, nil)
		return uncertainty.New(q.at(mid), q.at(lo), q.at(hi), level, assumption)
	}
	g.Total = est(total, "filter and the rung's median leak together")
	g.Leak = uncertainty.NewAtMost(math.Exp(order(d.leak[c], nil).at(level)), level, "the rung's median leak; "+s.priors[0].Name+" prior")
	if separable {
		g.Leak = est(exp(d.leak[c]), "the rung's median leak; "+s.priors[0].Name+" prior")
	}
	g.SealShare = s.sealShare(c, share, separable, level)
	g.MostlySeal = s.chance(func(i int) bool { return d.leak[c][i] > d.lnf[i] })
	for k := range s.priors {
		if p := s.loose(k); p != nil {
			g.MostlySeal.Least, g.MostlySeal.Most = min(g.MostlySeal.Least, p[c]), max(g.MostlySeal.Most, min(p[c], 1))
		}
	}
	if u := s.unread; u != nil {
		p := u.chance(func(i int) bool { return u.draws.leak[c][i] > u.draws.lnf[i] }).Value
		g.MostlySeal.Least, g.MostlySeal.Most = min(g.MostlySeal.Least, p), max(g.MostlySeal.Most, p)
	}
	g.Path = path(g.MostlySeal, s.needs())
	for _, bf := range s.sealed {
		g.Sealed = append(g.Sealed, bf[c])
	}
	if c > 0 && l.Rungs[0].AsWorn() {
		fold := make([]float64, d.len())
		for i := range fold {
			f := math.Exp(d.lnf[i])
			fold[i] = (f + math.Exp(d.leak[0][i])) / (f + math.Exp(d.leak[c][i]))
		}
		e := est(fold, "what gets in as worn / with these repairs, both at their median leak")
		h := s.chance(func(i int) bool { return d.leak[c][i] < d.leak[0][i] })
		g.Fold, g.Helped = &e, &h
	}
	if c > 0 {
		h := s.chance(func(i int) bool { return d.leak[c][i] < d.leak[c-1][i] })
		g.HelpedMore = &h
	}
	return g
}

// needs is the chance that a statement about the path needs.
func (s *solution) needs() float64 {
	if s.unread != nil {
		return decidedUnknown
	}
	return decided
}

// path words the chance; between the bounds, or where the priors disagree, it is
// undecided.
func path(c Chance, needs float64) Path {
	switch {
	case c.Least > needs:
		return MostlySeal
	case c.Most < 1-needs:
		return MostlyFilter
	}
	return Undecided
}

// sealShare is an interval when seal and filter can be told apart. When they
// cannot, the filter's upper bound still gives the seal at least a share.
func (s *solution) sealShare(c int, share []float64, separable bool, level float64) uncertainty.Estimate {
	lo, mid, hi := tail(level)
	q := order(share, nil)
	var plain ordered // without the exercises
	if s.unread != nil {
		plain = order(s.unread.draws.share(c), nil)
	}
	if separable {
		low, high, views := q.at(lo), q.at(hi), ""
		if s.unread != nil {
			low, high, views = min(low, plain.at(lo)), max(high, plain.at(hi)), ", with and without the exercises"
		}
		if low < noShare {
			low = 0
		}
		return uncertainty.New(q.at(mid), low, high, level, "at the rung's median leak; "+s.priors[0].Name+" prior"+views)
	}
	least := 1.0
	for k := range s.priors {
		least = min(least, q.under(s.lnRel[k]).at(1-level))
	}
	if s.unread != nil {
		least = min(least, plain.at(1-level))
	}
	const assumption = "at the rung's median leak; the least of the named priors"
	if least < worthSaying {
		return uncertainty.NewUnknown(level, assumption, "seal and filter cannot be told apart here")
	}
	return uncertainty.NewAtLeast(least, level, assumption)
}

// noShare is the share below which the prior of the leak, and no count, is what
// keeps it from none.
const noShare = 0.01

// worthSaying is the least share that is printed as "at least".
const worthSaying = 0.05

// chance is the probability of an event over the draws under each prior.
func (s *solution) chance(event func(i int) bool) Chance {
	var c Chance
	for k, w := range s.lnRel {
		p := 0.0
		for i, v := range w {
			if event(i) {
				p += v
			}
		}
		p = min(p, 1)
		if k == 0 {
			c = Chance{p, p, p}
		}
		c.Least, c.Most = min(c.Least, p), max(c.Most, p)
	}
	return c
}

func exp(v []float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = math.Exp(x)
	}
	return out
}

// share is the seal's share of a rung at each draw.
func (d *draws) share(c int) []float64 {
	out := make([]float64, d.len())
	for i := range out {
		out[i] = 1 / (1 + math.Exp(d.lnf[i]-d.leak[c][i]))
	}
	return out
}
