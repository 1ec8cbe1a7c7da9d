package attribution

import "math"

// The exponent m of the filter's response to flow: -ln P goes as velocity^-m.
// Single fibre theory gives 2/3 for diffusion and 1/3 to 1 for polarisation,
// electret media fitted to it 0.31 to 0.56, cyclic measurements on a face less:
// 0.2 to 0.5 with 0.35 in the middle is the band worked with (own rule).
const (
	leastExponent  = 0.2
	mostExponent   = 0.5
	middleExponent = (leastExponent + mostExponent) / 2
)

// throughAt is the penetration at a flow that is ratio times the one that f
// belongs to.
func throughAt(f, ratio, exponent float64) float64 {
	if ratio == 1 {
		return f
	}
	return math.Exp(math.Log(f) * math.Pow(ratio, -exponent))
}

// leakExponent is by how much ln L changes with the log of the flow: a leak takes
// flow^(n-1) of the share, n from 1/2 for an orifice to 1 for a long slit (own
// rule: the middle).
const leakExponent = -0.25

// block is what is believed of the filter beside its penetration: the flow
// exponent, and how much steeper its log penetration is for the coarser size
// channel (ln P of the coarse = steepness * ln P). parts are points within the
// block, over which each exercise is averaged.
type block struct {
	exponent, steepness float64
	weight              float64
	parts               []block
}

// Charged media let coarser particles through far less (steepness above 1); an
// uncharged or discharged one may let them through more. A leak passes both
// nearly alike. The steepness is log-normal about steepMedian (own rule).
const (
	steepMedian = 1.5
	steepSD     = 0.35
)

// steepnessAt is a quantile of the believed steepness, exponentAt of the flow
// exponent.
func steepnessAt(u float64) float64 { return steepMedian * math.Exp(steepSD*normalAt(u)) }
func exponentAt(u float64) float64  { return leastExponent + (mostExponent-leastExponent)*u }

// normalAt is the standard normal quantile.
func normalAt(u float64) float64 { return math.Sqrt2 * math.Erfinv(2*u-1) }

// mostBlocks is how finely the two beliefs are cut at most, together.
const mostBlocks = 12

// blocks cuts the beliefs that the ladder's counts can tell apart into equally
// likely parts, as many as the counts resolve; one where no flow and no coarse
// channel was given.
func (m *model) blocks(most int) []block {
	flow, coarse := m.resolves()
	flow, coarse = min(flow, most), min(coarse, most)
	for flow*coarse > most {
		if flow > coarse {
			flow--
		} else {
			coarse--
		}
	}
	var out []block
	for i := range flow {
		for j := range coarse {
			b := block{middleExponent, 1, 1 / float64(flow*coarse), nil}
			at := func(u, v float64) (out block) {
				out = b
				if flow > 1 {
					out.exponent = exponentAt((float64(i) + u) / float64(flow))
				}
				if coarse > 1 {
					out.steepness = steepnessAt((float64(j) + v) / float64(coarse))
				}
				return out
			}
			if flow > 1 || coarse > 1 {
				b.parts = []block{at(0.05, 0.95), at(0.5, 0.5), at(0.95, 0.05)}
				b.exponent, b.steepness = b.parts[1].exponent, b.parts[1].steepness
			}
			out = append(out, b)
		}
	}
	return out
}

// lookBlocks is how finely the first look cuts. A size channel pulls at f through
// its steepness, so that a coarse cut would look in the wrong place.
func (m *model) lookBlocks() int {
	if _, coarse := m.resolves(); coarse > 1 {
		return mostBlocks
	}
	return 4
}

// resolves gives the number of parts into which the counts could tell each
// belief: its range over the standard deviation they leave, for a filter of 2 %.
func (m *model) resolves() (flow, coarse int) {
	lnf := -math.Log(Base().FilterMedian)
	var inFlow, inCoarse float64
	for _, r := range m.rungs {
		for _, w := range r.wearings {
			for _, u := range w.units {
				if !w.recorded() {
					u.flow = 1
				}
				slope := lnf * math.Log(u.flow)
				inFlow += u.y * slope * slope
				if u.coarse != nil {
					inCoarse += (u.coarse.y + 1) * lnf * lnf
				}
			}
		}
	}
	parts := func(width, information float64) int {
		if information == 0 {
			return 1
		}
		return max(3, min(int(width*math.Sqrt(information)), mostBlocks))
	}
	return parts(mostExponent-leastExponent, inFlow), parts(4*steepSD*steepMedian, inCoarse)
}

// touched reports whether a block's parts differ for the unit.
func (u *unit) touched() bool { return u.flow != 1 || u.coarse != nil }

// averaged tabulates the likelihood averaged over a block's parts.
func (u *unit) averaged(f float64, b block, lat *lattice, buf []float64) curve {
	if len(b.parts) == 0 || !u.touched() {
		return u.curve(f, b, lat, buf)
	}
	var parts []curve
	lo, hi, top := math.MaxInt, math.MinInt, math.Inf(-1)
	for _, p := range b.parts {
		c := u.curve(f, p, lat, nil)
		parts = append(parts, c)
		lo, hi, top = min(lo, c.lo), max(hi, c.hi()), max(top, c.ln)
	}
	out := curve{lo: lo, v: buf[:0], ln: top}
	weigh := func(value func(c *curve) float64) float64 {
		sum := 0.0
		for i := range parts {
			sum += math.Exp(parts[i].ln-top) * value(&parts[i]) / float64(len(parts))
		}
		return sum
	}
	out.left = weigh(func(c *curve) float64 { return c.left })
	for i := lo; i <= hi; i++ {
		out.v = append(out.v, weigh(func(c *curve) float64 { return c.at(i) }))
	}
	return out
}

// bare is the log likelihood of the filter without any leak, averaged over a
// block's parts.
func (u *unit) bare(f float64, b block) float64 {
	if len(b.parts) == 0 || !u.touched() {
		return u.alone(f, b)
	}
	var ln []float64
	for _, p := range b.parts {
		ln = append(ln, u.alone(f, p))
	}
	return lnSum(ln) - math.Log(float64(len(ln)))
}
