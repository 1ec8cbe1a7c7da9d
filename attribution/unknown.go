package attribution

import (
	"math"
	"strings"
)

// An exercise's breathing flow that was not recorded is not known, and a filter
// lets through more at a higher one. What is believed of it comes from the
// exercise's name: a typical mean inspiratory flow relative to quiet breathing
// and the factor within which it lies in two cases of three (log-normal). Own
// rule, after adult ventilations (ICRP 89: 9 L/min sitting, 25 in light exercise,
// read; 45 L/min reading aloud against 55 without speech at one work rate, but
// peaks 1.6 times as high, an ergometer study, read). Talking counts by its peaks.
var usualFlows = []struct {
	word         string // in the exercise's name
	flow, within float64
}{
	{"normal", 1, 1.15},
	{"deep", 2.1, 1.5},
	{"head", 1.2, 1.25},
	{"bend", 1.25, 1.35},
	{"talk", 1.7, 1.7},
	{"jog", 2.5, 1.5},
}

// unnamedFlow stands for an exercise whose name says nothing.
const unnamedFlow, unnamedWithin = 1.3, 1.8

// usualFlow is the believed flow of an exercise and its log sd.
func usualFlow(name string) (flow, sd float64) {
	name = strings.ToLower(name)
	for _, u := range usualFlows {
		if strings.Contains(name, u.word) {
			return u.flow, math.Log(u.within)
		}
	}
	return unnamedFlow, math.Log(unnamedWithin)
}

// flows gives each exercise's flow relative to the run's mean, and the log sd of
// what is not known of it: 0 where it was recorded. The believed flows are scaled
// so that their mean over the run is 1: f is the filter at the run's mean use. A
// run known only as a whole is its own mean.
func (w *Wearing) flows() (flow, sd []float64) {
	n := len(w.Exercises)
	flow, sd = make([]float64, n), make([]float64, n)
	sum := 0.0
	for i, e := range w.Exercises {
		flow[i], sd[i] = usualFlow(e.Name)
		sum += flow[i]
	}
	for i, e := range w.Exercises {
		flow[i] *= float64(n) / sum
		if e.FlowFactor > 0 {
			flow[i], sd[i] = e.FlowFactor, 0
		} else if n == 1 {
			sd[i] = 0
		}
	}
	return flow, sd
}

// haze is what an unknown flow does to a filter's penetration q. With
// -ln q = -ln f flow^-m, y = ln(-ln q) is normal when the log flow is, and its sd
// does not depend on f. The exponent's own uncertainty (even over its band) is
// folded in.
func haze(flow, sd float64) float64 {
	if sd == 0 {
		return 0
	}
	const band = (mostExponent - leastExponent) / middleExponent
	mu := math.Log(flow)
	return middleExponent * math.Sqrt(sd*sd+band*band/12*(mu*mu+sd*sd))
}

// Gauss and Hermite's points and weights for a standard normal, by their number.
var gauss = map[int][][2]float64{
	1: {{0, 1}},
	3: {{-1.7320508075688772, 1. / 6}, {0, 2. / 3}, {1.7320508075688772, 1. / 6}},
	7: {{-3.7504397177257425, 0.0005482688559722}, {-2.3667594107345416, 0.0307571239675865}, {-1.1544053947399682, 0.2401231786050127},
		{0, 0.4571428571428572}, {1.1544053947399682, 0.2401231786050127}, {2.3667594107345416, 0.0307571239675865}, {3.7504397177257425, 0.0005482688559722}},
}

// mist is the likelihood of a unit with an unknown flow beside one filter: its
// mean over q. Where the counts are vaguer than the flow leaves q, the points lie
// on q; where they are sharper, on the penetration that they see.
type mist struct {
	u     *unit
	b     block
	y, sy float64
	q, w  []float64 // points of q and weights; nil when the points are the unit's
}

// mist makes it ready for the filter's penetration at the unit's believed flow.
func (u *unit) mist(fine float64, b block) mist {
	m := mist{u: u, b: b, y: math.Log(-math.Log(fine)), sy: u.haze}
	upper := math.Exp(-math.Exp(m.y - 1.5*m.sy))
	wide := upper * -math.Log(upper) * m.sy / u.seen()
	n := 7
	switch {
	case wide < 0.03:
		n = 1
	case wide < 0.3:
		n = 3
	case wide > 1 && u.points != nil:
		return m
	}
	for _, g := range gauss[n] {
		m.q, m.w = append(m.q, math.Exp(-math.Exp(m.y-g[0]*m.sy))), append(m.w, g[1])
	}
	return m
}

// seen is roughly the sd of the penetration that the counts see.
func (u *unit) seen() float64 {
	y := math.Max(u.y, 1)
	return y / (u.x * u.e) * math.Sqrt(1/y+1/u.x)
}

// point is a penetration with the log likelihood ratio there and the width of its cell.
type point struct{ p, ratio, cell float64 }

// leastCounts is how many inside counts it takes to lay points on what they see.
const leastCounts = 4

// lay lays the points, equidistant on the log scale.
func (u *unit) lay() {
	if u.haze == 0 || u.y < leastCounts || u.bound != Measured {
		return
	}
	const reach, step = 4, 1.25
	p, s := u.y/(u.x*u.e), step*math.Sqrt(1/u.y+1/u.x)
	for k := -reach; k <= reach; k++ {
		at := p * math.Exp(float64(k)*s)
		u.points = append(u.points, point{at, math.Exp(u.lnRatio(at)), at * s})
	}
}

// mean is the likelihood beside a leak, relative to the peaks.
func (m *mist) mean(leak float64) float64 {
	sum := 0.0
	if m.q != nil {
		for i, q := range m.q {
			sum += m.w[i] * math.Exp(m.u.lnRatio(q+leak)) * m.coarse(q, leak)
		}
		return sum
	}
	for _, p := range m.u.points {
		q := p.p - leak
		if q <= 0 || q >= 1 {
			continue
		}
		depth := -math.Log(q)
		z := (math.Log(depth) - m.y) / m.sy
		if z*z < 60 {
			sum += p.cell * p.ratio * math.Exp(-0.5*z*z) / (q * depth) * m.coarse(q, leak)
		}
	}
	return sum / (m.sy * math.Sqrt(2*math.Pi))
}

// coarse is the coarser channel's likelihood, which shares the flow.
func (m *mist) coarse(q, leak float64) float64 {
	if m.u.coarse == nil {
		return 1
	}
	return math.Exp(m.u.coarse.lnRatio(math.Pow(q, m.b.steepness) + leak))
}

// misty tabulates the likelihood against the log leak where the flow is unknown.
func (u *unit) misty(f float64, b block, lat *lattice, buf []float64) curve {
	fine := throughAt(f, u.flow, b.exponent)
	m := u.mist(fine, b)
	shift := leakExponent * math.Log(u.flow)
	from := u.quiet(fine)
	out := curve{v: buf[:0], ln: u.peak + u.constant(), left: m.mean(0)}
	if c := u.coarse; c != nil {
		from = min(from, c.quiet(math.Pow(fine, b.steepness)))
		out.ln += c.peak + c.constant()
	}
	const none = 3e-17 // exp(faint)
	if out.left < none {
		out.left = 0
		from = m.rise(from, none)
	}
	out.lo = max(int(math.Floor((from-shift)/lat.step)), lat.low)
	hi := min(int(math.Ceil((u.edge(1e-12, from, false)-shift)/lat.step)), lat.high)
	leak := math.Exp(shift)
	for i := out.lo; i <= hi || len(out.v) == 0; i++ {
		out.v = append(out.v, m.mean(leak*lat.leak(i)))
	}
	out.scale()
	return out
}

// rise finds the log leak below which nothing is likely.
func (m *mist) rise(from, none float64) float64 {
	top := m.u.y / (m.u.x * m.u.e)
	a, b := from, math.Log(max(top-math.Exp(-math.Exp(m.y)), top*1e-3))
	if a >= b || m.mean(math.Exp(b)) < none {
		return a
	}
	for range 7 {
		mid := (a + b) / 2
		if m.mean(math.Exp(mid)) < none {
			a = mid
		} else {
			b = mid
		}
	}
	return a
}
