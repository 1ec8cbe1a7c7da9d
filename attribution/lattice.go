package attribution

import "math"

// The log leaks that are considered: one of 1e-9 is none; the top leaves room for
// the lucks of a leak that is no seal at all.
const (
	leakLow  = -21.0
	leakHigh = 6.0
)

// lattice is the equally spaced log leaks i*step, i = low ... high.
type lattice struct {
	step      float64
	low, high int
	leaks     []float64
	density   map[belief][]float64 // of the rung's median leak, times the step
}

// belief is a prior of a rung's median leak.
type belief struct{ median, sd float64 }

func (p Prior) leak() belief { return belief{p.LeakMedian, p.LeakSD} }

func newLattice(step float64) *lattice {
	l := &lattice{step: step, low: int(math.Floor(leakLow / step)), high: int(math.Ceil(leakHigh / step)), density: map[belief][]float64{}}
	for i := l.low; i <= l.high; i++ {
		l.leaks = append(l.leaks, math.Exp(float64(i)*step))
	}
	return l
}

func (l *lattice) leak(i int) float64 { return l.leaks[i-l.low] }

// margin is how many sds beyond the lattice's ends a belief is tabulated.
const margin = 10.0

// believed integrates a curve over a rung's median leak.
func (l *lattice) believed(c *curve, b belief) float64 {
	lo := int(math.Floor((leakLow - margin) / l.step))
	d := l.density[b]
	if d == nil {
		for i := lo; float64(i)*l.step <= leakHigh+margin; i++ {
			d = append(d, math.Exp(lnNormal(float64(i)*l.step, math.Log(b.median), b.sd))*l.step)
		}
		l.density[b] = d
	}
	sum := 0.0
	for k, v := range c.v {
		if i := c.lo + k - lo; i >= 0 && i < len(d) {
			sum += v * d[i]
		}
	}
	if c.left != 0 {
		sum += c.left * below(((float64(c.lo)-0.5)*l.step-math.Log(b.median))/b.sd)
	}
	return sum
}

// over is the chance that the rung's median leak exceeds exp(from).
func (l *lattice) over(c *curve, b belief, from float64) float64 {
	whole := l.believed(c, b)
	if whole == 0 {
		return 0
	}
	d := l.density[b]
	lo := int(math.Floor((leakLow - margin) / l.step))
	sum, edge := 0.0, from/l.step
	for i := max(int(math.Floor(edge)), lo); i <= c.hi() && i-lo < len(d); i++ {
		share := min(max(float64(i)+0.5-edge, 0), 1)
		sum += c.at(i) * d[i-lo] * share
	}
	return min(sum/whole, 1)
}

// lattices makes each step's lattice once.
type lattices map[float64]*lattice

func (all lattices) of(step float64) *lattice {
	l := all[step]
	if l == nil {
		l = newLattice(step)
		all[step] = l
	}
	return l
}

// dyadic is the largest power of two that is at most v.
func dyadic(v float64) float64 { return math.Exp2(math.Floor(math.Log2(v))) }
