package aerosol

import (
	"math"

	"telltale/quantity"
)

// Grid is a set of sizes, evenly spaced in the logarithm, that stands for the
// range over which sums are taken.
type Grid struct {
	mid  []quantity.Diameter
	edge []quantity.Diameter
}

// NewGrid makes n sizes whose first and last mid-points are lo and hi.
func NewGrid(lo, hi quantity.Diameter, n int) Grid {
	if !(lo > 0) || !(hi > lo) || n < 2 {
		panic("aerosol: a grid needs 0 < lo < hi and two sizes")
	}
	g := Grid{make([]quantity.Diameter, n), make([]quantity.Diameter, n+1)}
	step := math.Log(float64(hi/lo)) / float64(n-1)
	for i := range g.mid {
		g.mid[i] = lo * quantity.Diameter(math.Exp(float64(i)*step))
	}
	for i := range g.edge {
		g.edge[i] = lo * quantity.Diameter(math.Exp((float64(i)-0.5)*step))
	}
	return g
}

// Sizes are the mid-points.
func (g Grid) Sizes() []quantity.Diameter { return g.mid }

// subcells is the number of parts of a cell in which a counter's efficiency is taken,
// so that the edge of an optical channel may be sharper than the grid.
const subcells = 4

// Weights are the shares of the spectrum's particles in the cells of the grid that
// the counter sees, scaled to sum to 1. A nil counter sees everything. The second
// result is the share of all particles that is seen on the grid; when it is 0 the
// weights are all 0.
func (g Grid) Weights(s Spectrum, c Counter) ([]float64, float64) {
	w := make([]float64, len(g.mid))
	sum, below := 0.0, s.Below(g.edge[0])
	for i := range w {
		lo, ratio := g.edge[i], math.Pow(float64(g.edge[i+1]/g.edge[i]), 1.0/subcells)
		for range subcells {
			hi := lo * quantity.Diameter(ratio)
			next := s.Below(hi)
			part := next - below
			if c != nil {
				part *= c.Seen(lo, hi)
			}
			w[i] += part
			lo, below = hi, next
		}
		sum += w[i]
	}
	scale(w, sum)
	return w, sum
}

// scale divides by the sum, if there is one.
func scale(w []float64, sum float64) {
	if !(sum > 0) {
		return
	}
	for i := range w {
		w[i] /= sum
	}
}
