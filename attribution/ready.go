package attribution

import "slices"

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
			for _, e := range w.Exercises {
				x.units = append(x.units, newUnit(e.Ambient, e.Inside, e.Exposure, e.FlowFactor, w.Bound))
			}
			m.deep = m.deep || len(x.units) > 1
			out.wearings = append(out.wearings, x)
		}
		m.rungs = append(m.rungs, out)
	}
	return m
}

// solution is the posterior under all named priors.
type solution struct {
	m      *model
	priors []Prior // the first is the main one
	under  []*posterior
	draws  *draws
	lnRel  [][]float64 // [prior] weights of the draws, summing to 1
	sealed [][]float64 // [prior][rung] Bayes factor of no leak against a leak
}

// solve works the model by quadrature: a first look, then grids that are halved
// until the printed quantiles stand still.
func (m *model) solve(priors []Prior) *solution {
	s := &solution{m: m, priors: priors}
	seen := m.first(priors[0])
	var t *table
	for step := 0.7; ; step /= 2 {
		t = m.tabulate(seen.final(step, 1.5, m.deep))
		if step < 0.2 || m.posterior(t, priors[0], 0).steady() {
			break
		}
	}
	for _, p := range priors {
		s.under = append(s.under, m.posterior(t, p, slices.Index(m.beliefs, p.leak())))
	}
	s.draws = s.under[0].draw(priors[0].leak())
	s.weigh()
	s.factors()
	return s
}

// weigh carries the draws to the other priors by the ratio of the densities.
func (s *solution) weigh() {
	base := s.priors[0]
	for _, p := range s.priors {
		w := make([]float64, s.draws.len())
		for i := range w {
			w[i] = p.lnAt(s.draws, i, s.m.deep) - base.lnAt(s.draws, i, s.m.deep)
		}
		normalise(w)
		s.lnRel = append(s.lnRel, w)
	}
}
