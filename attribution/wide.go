package attribution

import (
	"math"
	"slices"
)

// apart looks at the wearings of each specimen by themselves; empty when there
// is one specimen.
func (m *model) apart(p Prior) []look {
	specimens := map[string]int{}
	for _, r := range m.rungs {
		for _, w := range r.wearings {
			index(specimens, w.specimen)
		}
	}
	if len(specimens) == 1 {
		return nil
	}
	var out []look
	for k := range len(specimens) {
		one := &model{deep: m.deep, beliefs: m.beliefs[:1], lat: m.lat}
		for _, r := range m.rungs {
			var some rung
			for _, w := range r.wearings {
				if specimens[w.specimen] == k {
					some.wearings = append(some.wearings, w)
				}
			}
			if len(some.wearings) > 0 {
				one.rungs = append(one.rungs, some)
			}
		}
		out = append(out, one.first(p))
	}
	return out
}

// widen makes a grid fit for a chain: ln f over the range of every specimen, and
// the wearing scatter down to the own part that a shared donning leaves.
func (g *grid) widen(seen look, apart []look, step float64) {
	own := int(math.Ceil(shares * math.Ln2 / 2 / g.celld))
	for range own {
		if x := g.lnd[0] - g.celld; x > math.Log(leastScatter)-shares*math.Ln2/2 {
			g.lnd = slices.Insert(slices.Clone(g.lnd), 0, x)
		}
	}
	if len(apart) == 0 {
		return
	}
	g.lnd = further(g.lnd, g.celld, apart, func(l *look) ([]float64, []float64) { return l.lnd, l.weighd })
	if len(g.lne) > 1 {
		g.lne = further(g.lne, g.celle, apart, func(l *look) ([]float64, []float64) { return l.lne, l.weighe })
	}
	all := []grid{*g}
	for _, l := range apart {
		all = append(all, l.final(step, 1.5, 0, g.blocks))
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, o := range all {
		lo, hi = min(lo, o.lnf[0]), max(hi, o.lnf[len(o.lnf)-1])
	}
	g.lnf, g.cellf = nil, nil
	for x := hi; x > lo-0.5; {
		cell := 0.5 // no cell is much wider than its neighbour, for Lagrange's sake
		for _, o := range all {
			for k, c := range o.cellf {
				cell = min(cell, c+0.25*math.Abs(o.lnf[k]-x))
			}
		}
		g.lnf, g.cellf = append(g.lnf, x), append(g.cellf, cell)
		x -= cell
	}
	slices.Reverse(g.lnf)
	slices.Reverse(g.cellf)
}

// further widens the cells of a scatter to all that every specimen by itself
// allows: with one filter for all, the scatter has to explain their difference.
func further(nodes []float64, cell float64, apart []look, of func(*look) (nodes, weigh []float64)) []float64 {
	allowed := func(x float64) bool {
		if x < math.Log(leastScatter) || x > math.Log(mostScatter) {
			return false
		}
		for i := range apart {
			at, w := of(&apart[i])
			if newSpline(at, w).at(x) < slices.Max(w)+dropped {
				return false
			}
		}
		return true
	}
	for allowed(nodes[0] - cell) {
		nodes = slices.Insert(slices.Clone(nodes), 0, nodes[0]-cell)
	}
	for allowed(nodes[len(nodes)-1] + cell) {
		nodes = append(slices.Clone(nodes), nodes[len(nodes)-1]+cell)
	}
	return nodes
}
