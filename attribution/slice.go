package attribution

import (
	"math"
	"math/rand/v2"
)

// walker makes the moves of a chain from its own seeded source.
type walker struct{ rng *rand.Rand }

// newWalker is the i-th of the walkers; the same each time.
func newWalker(i int) walker { return walker{rand.New(rand.NewPCG(20130501, uint64(i+1)))} }

// slice makes one slice-sampling step of a quantity (Neal, Annals of Statistics
// 31, 2003: stepping out and shrinking; from memory). density is of the quantity
// up to a constant, given by setting it.
func (w *walker) slice(x *float64, width float64, density func() float64) {
	at := *x
	level := density() + math.Log(w.rng.Float64())
	lo := at - width*w.rng.Float64()
	hi := lo + width
	seek := func(edge *float64, by float64) {
		for range 12 {
			if *x = *edge; density() < level {
				return
			}
			*edge += by
		}
	}
	seek(&lo, -width)
	seek(&hi, width)
	for range 60 {
		*x = lo + (hi-lo)*w.rng.Float64()
		if density() >= level {
			return
		}
		if *x < at {
			lo = *x
		} else {
			hi = *x
		}
	}
	*x = at
}
