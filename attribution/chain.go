package attribution

import (
	"math"
	"slices"
)

// A chain works the ladders that nested sums cannot: wearings of different rungs
// that share a donning, or specimens that were worn on several rungs. It walks on
// the same tables as the quadrature, with the exercises' lucks and the wearings'
// own lucks already summed out, so only the leaks, the donnings' lucks, the
// filters and the scatters are left to walk. The seed is fixed: the same ladder
// gives the same answer.
type chain struct {
	m       *model
	t       *table
	p       Prior
	spots   []spot // the wearings
	donning int    // shared donnings
	kinds   int    // specimens that have a filter of their own
	halves  int    // cells of the wearing scatter in half a factor of two
	walker
	state

	every, single             []int // wearings: all, those with a donning of their own
	onRung, inDonning, ofKind [][]int
	near                      []nodes // by specimen
}

// spot is one wearing's place in the tables.
type spot struct {
	rung, donning, kind int // donning -1 = its own
	h                   []lnCurve
}

// state is where a chain stands.
type state struct {
	lnf    []float64 // of each specimen
	middle float64   // of the specimens, when there are several
	apart  float64   // log of their scatter
	leak   []float64 // log median leak of each rung
	luck   []float64 // of each shared donning
	e, d   int       // exercise scatter, own wearing scatter
	share  int       // the donning's share of the wearing variance is 1 - 2^-share
}

// shares are the donning's shares of the wearing's variance that are considered,
// with even odds: 1/2, 3/4 and 7/8 (own rule). What is left is what a repair
// changes.
const shares = 3

// SpecimenScatter is the scale of the half-normal prior of the scatter of ln f
// between specimens of one model (own rule).
const SpecimenScatter = 0.3

// lnCurve is the log of a curve, for interpolation.
type lnCurve struct {
	lo   int
	step float64
	y    []float64
	rise float64 // per cell, left of the table; 0 where it is constant
}

// at interpolates; right of the table, and left of it unless it is constant
// there, it falls on.
func (c *lnCurve) at(u float64) float64 {
	x := u/c.step - float64(c.lo)
	n := len(c.y)
	if x <= 0 {
		return c.y[0] + c.rise*x
	}
	if i := int(x); i < n-1 {
		t := x - float64(i)
		a, d := c.y[max(i-1, 0)], c.y[min(i+2, n-1)]
		b, e := c.y[i], c.y[i+1]
		return b + t*(-a/3-b/2+e-d/6+t*((a+e)/2-b+t*((d-a)/6+(b-e)/2)))
	}
	slope := -1.0
	if n > 1 {
		slope = min(slope, c.y[n-1]-c.y[n-2])
	}
	return c.y[n-1] + slope*(x-float64(n-1))
}

func logCurve(c *curve, step float64) lnCurve {
	out := lnCurve{lo: c.lo, step: step, y: make([]float64, len(c.v))}
	for i, v := range c.v {
		out.y[i] = math.Log(max(v, 1e-300)) + c.ln
	}
	if c.left == 0 && len(out.y) > 1 {
		out.rise = max(out.y[1]-out.y[0], 1)
	}
	return out
}

// put is the outer index of a wearing's curve.
func (t *table) put(f, e, d int) int { return (f*t.second()+e)*len(t.lnd) + d }

// term is the log likelihood of a wearing where the chain stands.
func (c *chain) term(s *spot) float64 {
	d := c.d
	luck := 0.0
	if s.donning >= 0 {
		luck = c.luck[s.donning]
	} else if c.donning > 0 {
		d += c.share * c.halves
	}
	if d >= len(c.t.lnd) {
		return math.Inf(-1)
	}
	i, w := c.near[s.kind].of(c.t.lnf, c.lnf[s.kind])
	u := c.leak[s.rung] + luck
	ln, at, stride := 0.0, c.t.put(i, c.e, d), c.t.second()*len(c.t.lnd)
	for k := range w {
		if w[k] != 0 {
			ln += w[k] * s.h[at+k*stride].at(u)
		}
	}
	return ln
}

// nodes are Lagrange's weights of the four table nodes around a ln f, kept until
// ln f moves.
type nodes struct {
	lnf   float64
	first int
	w     [4]float64
}

func (n *nodes) of(x []float64, lnf float64) (int, *[4]float64) {
	if n.lnf == lnf {
		return n.first, &n.w
	}
	n.lnf = lnf
	n.first = max(min(search(x, lnf)-1, len(x)-4), 0)
	for k := range n.w {
		n.w[k] = 1
		for j := range n.w {
			if j != k {
				n.w[k] *= (lnf - x[n.first+j]) / (x[n.first+k] - x[n.first+j])
			}
		}
	}
	return n.first, &n.w
}

// search is the index of the last node at or below x.
func search(nodes []float64, x float64) int {
	i, _ := slices.BinarySearch(nodes, x)
	if i < len(nodes) && nodes[i] == x {
		return i
	}
	return i - 1
}

// likelihood adds the terms of some wearings.
func (c *chain) likelihood(of []int) float64 {
	sum := 0.0
	for _, i := range of {
		sum += c.term(&c.spots[i])
	}
	return sum
}

// fromMiddle is the log density of a specimen's filter given the model's.
func (c *chain) fromMiddle(lnf float64) float64 { return lnNormal(lnf, c.middle, math.Exp(c.apart)) }

// filterPrior is the log prior of all filters under p.
func (c *chain) filterPrior(p Prior) float64 {
	if c.kinds == 1 {
		if c.lnf[0] < c.t.lnf[0] || c.lnf[0] > c.t.lnf[len(c.t.lnf)-1] {
			return math.Inf(-1)
		}
		ln := p.lnFilter(c.lnf[0])
		if c.m.holder != nil {
			ln += c.m.holder(c.lnf[0])
		}
		return ln
	}
	s := math.Exp(c.apart)
	ln := p.lnFilter(c.middle) + lnNormal(s, 0, SpecimenScatter) + c.apart
	for _, x := range c.lnf {
		ln += c.fromMiddle(x)
		if x < c.t.lnf[0] || x > c.t.lnf[len(c.t.lnf)-1] || c.apart < -5 || c.apart > 0.5 {
			return math.Inf(-1)
		}
	}
	if c.m.holder != nil { // the holder's runs speak of the model
		ln += c.m.holder(c.middle)
	}
	return ln
}

// total is the log of the whole wearing scatter.
func (c *chain) total() float64 {
	if c.donning == 0 {
		return c.t.lnd[c.d]
	}
	return c.t.lnd[c.d] + float64(c.share)*math.Ln2/2
}

// lucksPrior is the log density of the donnings' lucks.
func (c *chain) lucksPrior() float64 {
	sd := math.Exp(c.total()) * math.Sqrt(1-math.Exp2(-float64(c.share)))
	ln := 0.0
	for _, x := range c.luck {
		ln += lnNormal(x, 0, sd)
	}
	return ln
}

// hop makes Metropolis steps of a tabulated quantity within lo ... hi.
func (c *chain) hop(x *int, lo, hi int, prior func() float64) {
	now := prior() + c.likelihood(c.every)
	for _, by := range [3]int{1, 2, 1} {
		was := *x
		*x += by * (2*c.rng.IntN(2) - 1)
		if *x < lo || *x > hi {
			*x = was
			continue
		}
		then := prior() + c.likelihood(c.every)
		if math.Log(c.rng.Float64()) < then-now {
			now = then
		} else {
			*x = was
		}
	}
}

// jump makes a Metropolis step to a neighbouring block, n cells away.
func (c *chain) jump(n int) {
	weigh := func() float64 { return math.Log(c.t.blocks[c.e/n].weight) + c.likelihood(c.every) }
	was, now := c.e, weigh()
	c.e += n * (2*c.rng.IntN(2) - 1)
	if c.e < 0 || c.e >= c.t.second() || math.Log(c.rng.Float64()) >= weigh()-now {
		c.e = was
	}
}

// sweep moves everything once.
func (c *chain) sweep() {
	for r := range c.leak {
		c.slice(&c.leak[r], 2, func() float64 {
			if c.leak[r] < leakLow || c.leak[r] > leakHigh {
				return math.Inf(-1)
			}
			return lnNormal(c.leak[r], math.Log(c.p.LeakMedian), c.p.LeakSD) + c.likelihood(c.onRung[r])
		})
	}
	for j := range c.luck {
		c.slice(&c.luck[j], 0.5, func() float64 {
			return c.lucksPrior() + c.likelihood(c.inDonning[j])
		})
	}
	c.sweepFilter()
	c.exchange(c.rng.IntN(len(c.leak)))
	if c.t.second() > 1 {
		c.hop(&c.e, 0, c.t.second()-1, func() float64 {
			ln := math.Log(c.t.blocks[c.e/len(c.t.lne)].weight)
			if c.m.deep {
				ln += c.p.lnScatter(c.t.exercise(c.e))
			}
			return ln
		})
		if n := len(c.t.lne); len(c.t.blocks) > 1 && n > 1 {
			c.jump(n)
		}
	}
	scatter := func() float64 { return c.p.lnScatter(c.total()) + c.lucksPrior() }
	c.hop(&c.d, 0, len(c.t.lnd)-1, scatter)
	if c.donning > 0 {
		c.hop(&c.share, 1, shares, scatter)
		c.slide()
	}
}

// exchange moves penetration between the filter and a rung's leak while their
// sum stays: along the logit of the share, where the Jacobian is one.
func (c *chain) exchange(r int) {
	lnf, leak := slices.Clone(c.lnf), c.leak[r]
	whole := lnAdd(c.middle, leak)
	middle := c.middle
	share := leak - c.middle
	set := func() {
		c.leak[r] = whole - math.Log1p(math.Exp(-share))
		shift := whole - math.Log1p(math.Exp(share)) - middle
		c.middle = middle + shift
		for k := range lnf {
			c.lnf[k] = lnf[k] + shift
		}
	}
	c.slice(&share, 2, func() float64 {
		set()
		ln := c.filterPrior(c.p)
		if math.IsInf(ln, -1) || c.leak[r] < leakLow {
			return math.Inf(-1)
		}
		return ln + lnNormal(c.leak[r], math.Log(c.p.LeakMedian), c.p.LeakSD) + c.likelihood(c.every)
	})
	set()
}

// sweepFilter moves the filters: each specimen's, their middle, their scatter,
// and all of them together.
func (c *chain) sweepFilter() {
	for k := range c.lnf {
		c.slice(&c.lnf[k], 0.5, func() float64 {
			ln := c.filterPrior(c.p)
			if math.IsInf(ln, -1) {
				return ln
			}
			return ln + c.likelihood(c.ofKind[k])
		})
	}
	if c.kinds == 1 {
		c.middle = c.lnf[0]
		return
	}
	c.slice(&c.middle, 0.3, func() float64 { return c.filterPrior(c.p) })
	c.slice(&c.apart, 0.5, func() float64 { return c.filterPrior(c.p) })
	from, shift := slices.Clone(c.lnf), 0.0
	middle := c.middle
	c.slice(&shift, 0.3, func() float64 {
		for k := range c.lnf {
			c.lnf[k] = from[k] + shift
		}
		c.middle = middle + shift
		ln := c.filterPrior(c.p)
		if math.IsInf(ln, -1) {
			return ln
		}
		return ln + c.likelihood(c.every)
	})
	for k := range c.lnf {
		c.lnf[k] = from[k] + shift
	}
	c.middle = middle + shift
}

// slide moves all lucks one way and all leaks the other.
func (c *chain) slide() {
	leak, luck, by := slices.Clone(c.leak), slices.Clone(c.luck), 0.0
	set := func() {
		for r := range leak {
			c.leak[r] = leak[r] + by
		}
		for j := range luck {
			c.luck[j] = luck[j] - by
		}
	}
	c.slice(&by, 0.3, func() float64 {
		set()
		ln := c.lucksPrior() + c.likelihood(c.single)
		for _, l := range c.leak {
			ln += lnNormal(l, math.Log(c.p.LeakMedian), c.p.LeakSD)
		}
		return ln
	})
	set()
}
