package attribution

import (
	"math"
	"slices"
)

// marginal is a one-dimensional posterior as log densities at nodes, on an axis
// where it is smooth, with the way back to the quantity's log.
type marginal struct {
	x, cum []float64
}

// newMarginal makes it from weights of equal cells around nodes: the nodes are
// cell centres at equal distance on the axis t, and lnx(t) is the log quantity.
func newMarginal(t, weight []float64) marginal {
	cell := 1.0
	if len(t) > 1 {
		cell = t[1] - t[0]
	}
	ln := make([]float64, len(t)+2)
	x := make([]float64, len(t)+2)
	for i, w := range weight {
		x[i+1], ln[i+1] = t[i], math.Log(w)
	}
	x[0], x[len(x)-1] = t[0]-cell/2, t[len(t)-1]+cell/2
	inner := newSpline(x[1:len(x)-1], ln[1:len(ln)-1])
	ln[0], ln[len(ln)-1] = inner.at(x[0]), inner.at(x[len(x)-1])
	s := newSpline(x, ln)
	m := marginal{}
	m.x, m.cum = s.cumulative(40 * len(t))
	return m
}

func (m marginal) quantile(p float64) float64 { return inverse(m.x, m.cum, p) }

// posterior is the table weighed under one prior.
type posterior struct {
	t    *table
	w    []float64 // of the outer points, sum 1
	lnML float64
	fw   []float64 // marginal weight by f node
	f    marginal  // of ln f
	d, e marginal  // of ln scatter
}

func (m *model) posterior(t *table, p Prior, belief int) *posterior {
	ln := m.weights(t, p, belief)
	q := &posterior{t: t, w: make([]float64, len(ln)), lnML: lnSum(ln)}
	q.fw = make([]float64, len(t.lnf))
	dw, ew := make([]float64, len(t.lnd)), make([]float64, len(t.lne))
	for i, v := range ln {
		w := math.Exp(v - q.lnML)
		q.w[i] = w
		q.fw[i/(len(t.lnd)*t.second())] += w
		ew[i/len(t.lnd)%len(t.lne)] += w
		dw[i%len(t.lnd)] += w
	}
	q.f = q.filter()
	q.d = newMarginal(t.lnd, dw)
	q.e = newMarginal(t.lne, ew)
	return q
}

// filter is the marginal of ln f: the weights live on a stretched axis, where
// node i stands at i; the axis is interpolated too.
func (q *posterior) filter() marginal {
	axis := make([]float64, len(q.fw))
	for i := range axis {
		axis[i] = float64(i)
	}
	m := newMarginal(axis, q.fw)
	way := newSpline(axis, q.t.lnf)
	for i, x := range m.x {
		m.x[i] = way.at(x)
	}
	return m
}

// fine is the step of the lattice on which the rungs' leaks are added up.
const fine = 1.0 / 16

// onFine brings the posterior's shape of one outer point and rung to the fine
// lattice, normalised, with the left tail that no count sees laid out by the
// belief.
func onFine(c *curve, step float64, b belief, lo int, out []float64) {
	clear(out)
	r := fine / step
	for i := range out {
		out[i] = c.between(float64(lo+i) * r)
	}
	sum := 0.0
	for i := range out {
		z := (float64(lo+i)*fine - math.Log(b.median)) / b.sd
		out[i] *= math.Exp(-0.5 * z * z)
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
}

// cubic is Lagrange's interpolation between the middle two of four equidistant
// values, kept from falling below zero.
func cubic(a, b, c, d, t float64) float64 {
	if t == 0 {
		return b
	}
	v := b + t*(-a/3-b/2+c-d/6+t*((a+c)/2-b+t*((d-a)/6+(b-c)/2)))
	return max(v, 0)
}

// settled is how far a printed quantile may move when the grid is halved.
const settled = 0.005

// steady reports whether the quantiles of f are those that every second node
// gives, so that halving the step would change nothing that is printed.
func (q *posterior) steady() bool {
	if len(q.fw) < 7 {
		return false
	}
	var half []float64
	var lnf []float64
	for i := 0; i < len(q.fw); i += 2 {
		half, lnf = append(half, q.fw[i]), append(lnf, q.t.lnf[i])
	}
	h := (&posterior{t: &table{grid: grid{lnf: lnf}}, fw: half}).filter()
	for _, p := range []float64{0.025, 0.05, 0.5, 0.95, 0.975} {
		// the error falls much faster than the step: a tenth is left after halving
		if d := h.quantile(p) - q.f.quantile(p); d > 10*settled || d < -10*settled {
			return false
		}
	}
	return true
}

// normalise turns log weights into weights that sum to one.
func normalise(ln []float64) {
	top := lnSum(ln)
	for i := range ln {
		ln[i] = math.Exp(ln[i] - top)
	}
}

// factors works, under each prior, the Bayes factor of "this rung has no leak at
// all" against "it has one": the posterior mean of the ratio of the likelihoods.
func (s *solution) factors() {
	for k, q := range s.under {
		b := slices.Index(s.m.beliefs, s.priors[k].leak())
		bf := make([]float64, q.t.rungs)
		q.t.each(func(i, f, e, d int) {
			if q.w[i] == 0 {
				return
			}
			for c := range bf {
				bf[c] += q.w[i] * math.Exp(q.t.sealed[(f*len(q.t.blocks)+e/len(q.t.lne))*q.t.rungs+c]-q.t.lnM(f, e, d, c, b, s.priors[k].Loose))
			}
		})
		s.sealed = append(s.sealed, bf)
	}
}

// each visits the outer points in their order.
func (t *table) each(visit func(i, f, e, d int)) {
	i := 0
	for f := range t.lnf {
		for e := range t.second() {
			for d := range t.lnd {
				visit(i, f, e, d)
				i++
			}
		}
	}
}

// loose works, for priors whose repaired rungs may be steadier, the chance that
// each rung leaks more than the filter lets through; nil for the others.
func (s *solution) loose(k int) []float64 {
	if !s.priors[k].Loose || s.walked != "" {
		return nil
	}
	q := s.under[k]
	out := make([]float64, q.t.rungs)
	q.t.each(func(i, f, e, d int) {
		if q.w[i] == 0 {
			return
		}
		full, half := q.t.at(f, e, d), q.t.half(f, e, d)
		for c := range out {
			p := full.over[c]
			if c > 0 {
				odds := math.Exp(half.lnM[c] - full.lnM[c])
				if math.IsInf(odds, 1) {
					p = half.over[c]
				} else {
					p = (p + odds*half.over[c]) / (1 + odds)
				}
			}
			out[c] += q.w[i] * p
		}
	})
	return out
}
