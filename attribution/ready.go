package attribution

import (
	"math"
	"slices"
)

// ready turns a ladder that was examined into a model, for the priors given (the
// first is the one of the main figures).
func ready(l *Ladder, priors []Prior) *model {
	m := &model{lat: lattices{}}
	for _, p := range priors {
		if !slices.Contains(m.beliefs, p.leak()) {
			m.beliefs = append(m.beliefs, p.leak())
		}
	}
	for _, r := range l.Rungs {
		var out rung
		for _, w := range r.Wearings {
			x := wearing{donning: w.Donning, specimen: w.Specimen}
			if w.Bound != Measured {
				w.Exercises = []Exercise{w.whole()}
			}
			if w.unknown() {
				x.units = w.unknownUnits()
				w.Exercises = nil
			}
			for _, e := range w.Exercises {
				u := newUnit(e.Ambient, e.Inside, e.Exposure, e.FlowFactor, w.Bound)
				if e.Coarse != nil {
					c := newUnit(e.Coarse.Ambient, e.Coarse.Inside, e.Coarse.Exposure, e.FlowFactor, Measured)
					u.coarse = &c
				}
				x.units = append(x.units, u)
			}
			m.deep = m.deep || len(x.units) > 1
			out.wearings = append(out.wearings, x)
		}
		m.rungs = append(m.rungs, out)
	}
	m.keep = m.needsChain() != ""
	m.holder = holderLikelihood(l)
	return m
}

// fineness is the width of the cells of the exercise scatter in its own standard
// deviations; 0 without exercises. Where flows are not known it moves what it moves
// only softly, and wider cells do.
func (m *model) fineness() float64 {
	switch {
	case m.unknown():
		return 3
	case m.deep:
		return 1.5
	}
	return 0
}

// step is the first step along the stretched axis of ln f. Unknown flows leave a
// flank that seldom stands still at the wider one.
func (m *model) step() float64 {
	if m.unknown() {
		return 0.5
	}
	return 0.7
}

// unknown reports whether some run's flows are not known.
func (m *model) unknown() bool {
	for _, r := range m.rungs {
		for _, w := range r.wearings {
			if !w.recorded() {
				return true
			}
		}
	}
	return false
}

// whole adds the exercises of a wearing up. A capped counter bounds the run as a
// whole: the tightest of many bounds would be so by luck.
func (w *Wearing) whole() Exercise {
	var out Exercise
	volume := 0.0
	for _, e := range w.Exercises {
		out.Ambient += e.Ambient
		out.Inside += e.Inside
		volume += e.Ambient * oneIfZero(e.Exposure)
	}
	out.Exposure = volume / out.Ambient
	return out
}

// solution is the posterior under all named priors.
type solution struct {
	m      *model
	priors []Prior // the first is the main one
	under  []*posterior
	draws  *draws
	lnRel  [][]float64 // [prior] weights of the draws, summing to 1
	sealed [][]float64 // [prior][rung] Bayes factor of no leak against a leak
	walked string      // how the chains went; empty when the quadrature did it
	failed string      // the diagnostic that did not pass
	lnfs   []ordered   // [prior] of the chains' ln f
	unread *solution   // under the first prior, if exercises without recorded flows said nothing; nil when there are none
}

// solve works the model by quadrature: a first look, then grids that are halved
// until the printed quantiles stand still.
func (m *model) solve(priors []Prior) *solution {
	s := &solution{m: m, priors: priors}
	seen := m.first(priors[0])
	var apart []look
	if m.keep {
		apart = m.apart(priors[0])
	}
	var t *table
	for step := m.step(); ; step /= 2 {
		g := seen.final(step, 1.5, m.fineness(), m.blocks(mostBlocks))
		if m.keep {
			g.widen(seen, apart, step)
		}
		t = m.tabulate(g)
		if step < 0.2 || m.posterior(t, priors[0], 0).steady() {
			break
		}
	}
	for _, p := range priors {
		s.under = append(s.under, m.posterior(t, p, slices.Index(m.beliefs, p.leak())))
	}
	s.draws = s.under[0].draw(priors[0].leak())
	s.factors()
	if m.keep {
		s.failed = s.walk()
		s.sealed = nil // they are the quadrature's, which knows of no sharing
	}
	s.weigh()
	if s.walked != "" {
		for k := range priors {
			s.lnfs = append(s.lnfs, order(s.draws.lnf, s.lnRel[k]))
		}
	}
	return s
}

// weigh carries the draws to the other priors by the ratio of the densities.
func (s *solution) weigh() {
	base := s.priors[0]
	for _, p := range s.priors {
		w := make([]float64, s.draws.len())
		for i := range w {
			w[i] = s.draws.lnShift(i, base, p, s.m.deep)
		}
		normalise(w)
		s.lnRel = append(s.lnRel, w)
	}
}

// lnShift is the log ratio of the density under q to that under p at a draw, up
// to a constant: only the normal's squares differ.
func (d *draws) lnShift(i int, p, q Prior, deep bool) float64 {
	lnf := d.lnf[i]
	if d.middle != nil {
		lnf = d.middle[i]
	}
	square := func(x, median, sd float64) float64 {
		z := (x - math.Log(median)) / sd
		return -0.5 * z * z
	}
	ln := 0.0
	if p.FilterMedian != q.FilterMedian || p.FilterSD != q.FilterSD {
		ln += square(lnf, q.FilterMedian, q.FilterSD) - square(lnf, p.FilterMedian, p.FilterSD)
	}
	if p.leak() != q.leak() {
		for _, l := range d.leak {
			ln += square(l[i], q.LeakMedian, q.LeakSD) - square(l[i], p.LeakMedian, p.LeakSD)
		}
	}
	if p.Scatter != q.Scatter {
		v := math.Exp(2 * d.lnd[i])
		if deep {
			v += math.Exp(2 * d.lne[i])
		}
		ln += 0.5 * v * (1/(p.Scatter*p.Scatter) - 1/(q.Scatter*q.Scatter))
	}
	return ln
}
