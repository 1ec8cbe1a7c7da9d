package medium

import (
	"fmt"
	"math"

	"telltale/aerosol"
	"telltale/fault"
	"telltale/quantity"
	"telltale/reference"
)

// generic is a plausible filter medium: fibre, packing and the pressure drop of the
// whole respirator at 85 L/min. The four span meltblown media of published studies
// (fibre 1-10 um, packing 0.05-0.12, from memory; pressure drop 29-88 Pa at 85 L/min
// in study prototypes, Kim et al. 2015, read).
type generic struct {
	fibre    quantity.Diameter
	packing  float64
	pressure quantity.Pressure
}

var generics = []generic{{2, 0.06, 60}, {3, 0.08, 80}, {5, 0.08, 60}, {7, 0.06, 40}}

// Area of a half-mask filter: 160 cm2, between 150 and 200 (from memory; a paper
// equates 10 cm/s with about 105 L/min, which is 175 cm2, read).
const (
	usualArea quantity.Area = 160
	leastArea quantity.Area = 150
	mostArea  quantity.Area = 200
)

// allMedia names the generic media.
var allMedia = []int{0, 1, 2, 3}

// ratedFlow is the flow at which a generic medium's pressure drop is stated, L/min.
const ratedFlow = 85

// bench is the air and the sizes on which all media are computed.
type bench struct {
	air  Air
	grid aerosol.Grid
	area quantity.Area
}

func newBench(sizes int, area quantity.Area) bench {
	return bench{Air{aerosol.RoomAir(), aerosol.SaltDensity}, aerosol.NewGrid(0.00501187, 5.01187, sizes), area}
}

// benchSizes is the number of sizes; against 400 the fit factors move by less than
// 0.5 %.
const benchSizes = 80

// challenge is a test aerosol as its detector weighs it on the grid.
type challenge []float64

// weigh turns number shares into what a detector adds up: mass as d^3, a
// photometer as d^6 / (1 + (d/0.25 um)^4), which turns from volume squared to
// surface (own rule for forward light scattering), number as it is.
func weigh(grid aerosol.Grid, l aerosol.Lognormal, by reference.Weighting) challenge {
	w, _ := grid.Weights(l, nil)
	sum := 0.0
	for i, d := range grid.Sizes() {
		x := float64(d)
		switch by {
		case reference.ByMass:
			w[i] *= x * x * x
		case reference.ByPhotometer:
			w[i] *= math.Pow(x, 6) / (1 + math.Pow(x/0.25, 4))
		}
		sum += w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return w
}

// passing is the share of a challenge that passes.
func (c challenge) passing(p []float64) float64 {
	sum := 0.0
	for i, w := range c {
		sum += w * p[i]
	}
	return sum
}

// member is a medium that just meets a class.
type member struct {
	medium    Medium
	charge    float64
	kernel    *kernel
	weighting reference.Weighting
	reading   int
	generic   int
	same      int // 1 + the index of the member it repeats; 0 = itself
}

// condition makes the generic medium just meet the limit: the charge is found at
// which the worst of the challenges passes exactly the limit's share at the test
// flow. A medium that is better than the class without charge is made thinner
// instead; one that cannot reach the class with any charge has no member.
func (b bench) condition(g generic, limit ClassLimit, challenges []challenge) (member, bool) {
	rated := quantity.Velocity(face(ratedFlow, b.area) * 100)
	m := Medium{Fibre: g.fibre, Packing: g.packing}.OfPressureDrop(b.air.Gas, g.pressure, rated)
	k := newKernel(m, b.air, b.grid.Sizes())
	p, u := make([]float64, len(b.grid.Sizes())), face(limit.TestFlow, b.area)
	excess := func(charge float64) float64 { // ln of worst penetration over the limit
		k.penetration(p, u, charge)
		worst := 0.0
		for _, c := range challenges {
			worst = max(worst, c.passing(p))
		}
		return math.Log(worst / limit.LimitPenetration)
	}
	if excess(0) <= 0 {
		m.Thickness *= root(func(x float64) float64 {
			k.depth = m.depth() * x
			return excess(0)
		}, 1e-6, 1)
		return member{medium: m, kernel: newKernel(m, b.air, b.grid.Sizes())}, true
	}
	const most = 3000 // uC/m2
	if excess(most) > 0 {
		return member{}, false
	}
	charge := math.Exp(root(func(x float64) float64 { return excess(math.Exp(x)) }, math.Log(0.01), math.Log(most)))
	m.Charge = charge
	return member{medium: m, charge: charge, kernel: k}, true
}

// root finds where a falling function crosses zero between lo and hi, by false
// position with the Illinois halving, to 1e-5 in the function.
func root(f func(float64) float64, lo, hi float64) float64 {
	flo, fhi := f(lo), f(hi)
	if flo <= 0 {
		return lo
	}
	x, side := lo, 0
	for range 80 {
		x = (lo*fhi - hi*flo) / (fhi - flo)
		fx := f(x)
		switch {
		case math.Abs(fx) < 1e-5:
			return x
		case fx > 0:
			if lo, flo = x, fx; side == 1 {
				fhi /= 2
			}
			side = 1
		default:
			if hi, fhi = x, fx; side == -1 {
				flo /= 2
			}
			side = -1
		}
	}
	return x
}

// own stands for each agent's own weighting, as its standard has it.
const own reference.Weighting = "own"

// family conditions the generic media on a class under one weighting and reading.
func (b bench) family(limit ClassLimit, by reference.Weighting, reading int, media []int) []member {
	var challenges []challenge
	for _, a := range limit.Agents {
		w := by
		if w == own {
			w = a.Weighting
		}
		challenges = append(challenges, weigh(b.grid, a.Readings[reading%len(a.Readings)].Size, w))
	}
	var out []member
	for _, i := range media {
		if m, ok := b.condition(generics[i], limit, challenges); ok {
			m.weighting, m.reading, m.generic = by, reading, i
			out = append(out, m)
		}
	}
	return out
}

// breathed is the penetration by size averaged over a breath.
func (b bench) breathed(m member, breath Breathing) []float64 {
	out, p := make([]float64, len(b.grid.Sizes())), make([]float64, len(b.grid.Sizes()))
	for i, q := range breath.flow {
		m.kernel.penetration(p, max(face(q, b.area), 1e-4), m.charge)
		for j := range out {
			out[j] += breath.share[i] * p[j]
		}
	}
	return out
}

// noMember is the fault of a class that no generic medium can meet.
func noMember(limit ClassLimit) error {
	return &fault.Fault{Code: "E728", What: fmt.Sprintf("none of the %d generic media can be made to meet class %s", len(generics), limit.Name),
		Do: "Check the limit and the test flow of the class."}
}
