package attribution

import (
	"math"
)

// draws are equally spread points of the posterior under the base prior: the
// quantile points of the outer grid with a low-discrepancy sequence for the rest
// (quadrature), or the states of the chain. Everything joint is read from them.
type draws struct {
	lnf, lnd, lne []float64
	leak          [][]float64 // [rung] of the log median leak
	middle        []float64   // of ln f over specimens; nil when there is one filter
}

func (s *draws) len() int { return len(s.lnf) }

// points is how many draws the quadrature gives.
const points = 4096

// draw lays the points out. f follows its marginal exactly; the scatters are
// those of the outer point, the rungs' leaks follow their conditionals there.
func (q *posterior) draw(b belief) *draws {
	s := &draws{leak: make([][]float64, q.t.rungs)}
	lo := int(math.Floor((leakLow) / fine))
	hi := int(math.Ceil(leakHigh / fine))
	cum := make([][]float64, q.t.rungs)
	for c := range cum {
		cum[c] = make([]float64, hi-lo+1)
	}
	i, total := 0, 0.0
	for k, w := range q.w {
		total += w
		first := true
		for ; i < points && (float64(i)+0.5)/points < total; i++ {
			if first {
				first = false
				for c := range cum {
					onFine(&q.t.cells[k].leak[c], q.t.cells[k].step[c], b, lo, cum[c])
					for j := 1; j < len(cum[c]); j++ {
						cum[c][j] += cum[c][j-1]
					}
				}
			}
			s.lnf = append(s.lnf, q.f.quantile((float64(i)+0.5)/points))
			d, e := q.t.within(i + 1)
			s.lnd = append(s.lnd, q.t.lnd[k%len(q.t.lnd)]+d)
			s.lne = append(s.lne, q.t.exercise(k/len(q.t.lnd)%q.t.second())+e)
			for c := range cum {
				s.leak[c] = append(s.leak[c], lattice0(cum[c], lo, radical(i+1, primes[c%len(primes)])))
			}
		}
	}
	return s
}

// lattice0 inverts a distribution function given at lattice points as cells.
func lattice0(cum []float64, lo int, u float64) float64 {
	a, b := 0, len(cum)-1
	for a < b {
		mid := (a + b) / 2
		if cum[mid] < u {
			a = mid + 1
		} else {
			b = mid
		}
	}
	before := 0.0
	if a > 0 {
		before = cum[a-1]
	}
	part := 0.5
	if cum[a] > before {
		part = (u - before) / (cum[a] - before)
	}
	return (float64(lo+a) - 0.5 + part) * fine
}

var primes = []int{2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37}

// radical is the radical inverse of n in a base: van der Corput's sequence, of
// which Halton's takes one base a dimension (Halton, Numerische Mathematik 2,
// 1960; from memory).
func radical(n, base int) float64 {
	v, f := 0.0, 1.0
	for ; n > 0; n /= base {
		f /= float64(base)
		v += f * float64(n%base)
	}
	return v
}

// within spreads the i-th point over the cells of the two scatters.
func (g *grid) within(i int) (d, e float64) {
	d = g.celld * (radical(i, 43) - 0.5)
	if len(g.lne) > 1 {
		e = g.celle * (radical(i, 47) - 0.5)
	}
	return d, e
}
