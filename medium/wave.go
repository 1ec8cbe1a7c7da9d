package medium

import (
	"math"
	"slices"
)

// waves are the flows at which penetration curves are computed so that the mean over
// any of some breathings is a weighted sum of them.
type waves struct {
	nodes []float64 // L/min
	exact bool      // the nodes are the breathings' own flows
	least float64   // slower flows are taken as this one; they carry next to no air
	seen  map[string][]float64
}

// mostNodes bounds the curves per medium. With 16 Chebyshev nodes in log flow the
// cycle mean of exp(-k flow^-m) is within 2e-5 for ln P of 3 to 8 and m of 0.35 to
// 0.55 over ventilations from 10 to 40 L/min.
const mostNodes = 16

// slowest is the fastest flow over the slowest that is told apart.
const slowest = 40

// newWaves covers some breathings.
func newWaves(breaths ...Breathing) waves {
	var flows []float64
	for _, b := range breaths {
		flows = append(flows, b.flow...)
	}
	slices.Sort(flows)
	flows = slices.Compact(flows)
	w := waves{nodes: flows, exact: true, seen: map[string][]float64{}}
	if len(flows) <= mostNodes {
		return w
	}
	w.exact, w.nodes = false, make([]float64, mostNodes)
	top := flows[len(flows)-1]
	w.least = max(flows[0], top/slowest)
	lo, hi := math.Log(w.least), math.Log(top)
	for k := range w.nodes {
		c := math.Cos(math.Pi * (float64(k) + 0.5) / mostNodes)
		w.nodes[k] = math.Exp((lo+hi)/2 + (hi-lo)/2*c)
	}
	return w
}

// weights of the nodes in the flow-weighted mean over a breath.
func (w waves) weights(b Breathing) []float64 {
	if have, ok := w.seen[b.Words]; ok {
		return have
	}
	out := make([]float64, len(w.nodes))
	for i, q := range b.flow {
		w.spread(out, q, b.share[i])
	}
	w.seen[b.Words] = out
	return out
}

// spread adds a share at one flow to the nodes: to the node itself, or by
// barycentric interpolation in log flow.
func (w waves) spread(out []float64, flow, share float64) {
	flow = max(flow, w.least)
	if k := slices.Index(w.nodes, flow); k >= 0 {
		out[k] += share
		return
	}
	if w.exact {
		panic("medium: a flow that no curve was computed for")
	}
	sum, terms := 0.0, [mostNodes]float64{}
	for k, node := range w.nodes {
		t := math.Sin(math.Pi*(float64(k)+0.5)/mostNodes) / math.Log(flow/node)
		if k%2 == 1 {
			t = -t
		}
		terms[k] = t
		sum += t
	}
	for k := range out {
		out[k] += share * terms[k] / sum
	}
}
