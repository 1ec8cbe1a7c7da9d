package attribution

import (
	"math"
	"slices"
)

const (
	// coarse is the cell of the log scatters in the first look; the final look
	// takes it halved until its answers stand still.
	coarse = 0.69
	// dropped is the log weight, relative to the best point, of what is left out.
	dropped = -11.0
)

// scatterCells are the mid-points of the cells between the least and the most
// scatter, and their width.
func scatterCells(width float64) ([]float64, float64) {
	lo, hi := math.Log(leastScatter), math.Log(mostScatter)
	n := int(math.Round((hi - lo) / width))
	out := make([]float64, n)
	for i := range out {
		out[i] = lo + (hi-lo)*(float64(i)+0.5)/float64(n)
	}
	return out, (hi - lo) / float64(n)
}

// weights are the log posterior weights of the table's outer points under a
// prior; belief is the index of its leak belief among the model's.
func (m *model) weights(t *table, p Prior, belief int) []float64 {
	out := make([]float64, 0, len(t.cells))
	for f, lnf := range t.lnf {
		lf := p.lnFilter(lnf) + math.Log(t.cellf[f])
		if m.holder != nil {
			lf += m.holder(lnf)
		}
		for e := range t.second() {
			le := lf + math.Log(t.blocks[e/len(t.lne)].weight)
			if m.deep {
				le += p.lnScatter(t.exercise(e)) + math.Log(t.celle)
			}
			for d, lnd := range t.lnd {
				w := le + p.lnScatter(lnd) + math.Log(t.celld)
				for c := range t.rungs {
					w += t.lnM(f, e, d, c, belief, p.Loose)
				}
				out = append(out, w)
			}
		}
	}
	return out
}

// look is the first, coarse view of the posterior: where it lies.
type look struct {
	lnf, psi       []float64 // nodes and the log posterior density of ln f there
	lnd, lne       []float64
	weighd, weighe []float64 // log marginal weights of the scatters
}

// first looks at the whole range coarsely and refines ln f where the density
// moves fast. The refinement keeps to the scatters that had weight.
func (m *model) first(p Prior) look {
	var l look
	g := grid{cellf: []float64{1}, blocks: m.blocks(m.lookBlocks())}
	g.lnd, g.celld = scatterCells(coarse)
	g.lne, g.celle = []float64{0}, 1
	if m.deep {
		g.lne, g.celle = scatterCells(coarse)
	}
	var planes []plane
	add := func(at int, x float64) {
		g.lnf = []float64{x}
		w := m.weights(m.tabulate(g), p, 0)
		l.lnf = slices.Insert(l.lnf, at, x)
		l.psi = slices.Insert(l.psi, at, lnSum(w))
		planes = slices.Insert(planes, at, plane{g, w})
	}
	for x := math.Log(FilterMost) - 0.01; x > math.Log(1e-6); x-- {
		add(0, x)
	}
	l.marginals(planes)
	g.lnd, g.lne = near(l.lnd, l.weighd), near(l.lne, l.weighe)
	for len(l.lnf) < 60 {
		at := l.gap()
		if at == 0 {
			break
		}
		add(at, (l.lnf[at-1]+l.lnf[at])/2)
	}
	l.marginals(planes)
	return l
}

// plane is the weights of the scatters at one f.
type plane struct {
	g grid
	w []float64
}

// gap finds the widest step of the log density among the nodes that matter, and
// gives the place for a node in it; 0 when all is smooth.
func (l *look) gap() int {
	top := slices.Max(l.psi)
	at, worst := 0, 2.0
	for i := 1; i < len(l.psi); i++ {
		hi := max(l.psi[i-1], l.psi[i])
		if hi < top-6 || l.lnf[i]-l.lnf[i-1] < 0.004 {
			continue
		}
		if step := min(math.Abs(l.psi[i]-l.psi[i-1]), 20); step > worst {
			at, worst = i, step
		}
	}
	if at > 0 {
		return at
	}
	// a mode between two nodes shows as bending
	for i := 1; i+1 < len(l.psi); i++ {
		left, right := l.lnf[i]-l.lnf[i-1], l.lnf[i+1]-l.lnf[i]
		bend := (l.psi[i]-l.psi[i-1])/left - (l.psi[i+1]-l.psi[i])/right
		if l.psi[i] > top-6 && bend*max(left, right) > 1 && max(left, right) > 0.004 {
			if left >= right {
				return i
			}
			return i + 1
		}
	}
	return 0
}

// marginals adds the planes up over f, each with its share of the ln f axis.
func (l *look) marginals(planes []plane) {
	all := planes[0].g // the first planes have every scatter
	for _, p := range planes {
		if len(p.g.lnd)*len(p.g.lne) > len(all.lnd)*len(all.lne) {
			all = p.g
		}
	}
	l.lnd, l.lne = all.lnd, all.lne
	l.weighd, l.weighe = floor(len(l.lnd)), floor(len(l.lne))
	for i, p := range planes {
		lo, hi := l.lnf[max(i-1, 0)], l.lnf[min(i+1, len(l.lnf)-1)]
		share := math.Log((hi - lo) / 2)
		e0, d0 := slices.Index(l.lne, p.g.lne[0]), slices.Index(l.lnd, p.g.lnd[0])
		for be := range p.g.second() {
			e := be % len(p.g.lne)
			for d := range p.g.lnd {
				v := p.w[be*len(p.g.lnd)+d] + share
				l.weighd[d0+d] = lnAdd(l.weighd[d0+d], v)
				l.weighe[e0+e] = lnAdd(l.weighe[e0+e], v)
			}
		}
	}
}

// near keeps the nodes from the first to the last that had weight, and one more
// on each side.
func near(nodes, weigh []float64) []float64 {
	top := slices.Max(weigh)
	lo, hi := len(nodes), 0
	for i, w := range weigh {
		if w > top+dropped {
			lo, hi = min(lo, i), max(hi, i)
		}
	}
	return nodes[max(lo-1, 0):min(hi+2, len(nodes))]
}

func floor(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Inf(-1)
	}
	return out
}

// final makes the grid of the closer look: ln f on a stretched axis that fits
// the density's two flanks, and the scatters where they have weight; finee 0 means
// that there is no exercise scatter.
func (l *look) final(stepf, fineness, finee float64, blocks []block) grid {
	g := grid{blocks: blocks}
	s := newSpline(l.lnf, l.psi)
	x, cum := s.cumulative(4000)
	at := func(p float64) float64 { return inverse(x, cum, p) }
	right := math.Max((at(0.999)-at(0.84))/2.1, 0.002)
	left := math.Max((at(0.16)-at(0.001))/2.1, 0.002)
	top := slices.Max(l.psi)
	const farLeft, farRight = -14.0, 14.0
	for t := farLeft; t <= farRight; t += stepf {
		x := at(0.5) + right*t - (left-right)*math.Log1p(math.Exp(-t))
		if x >= math.Log(FilterMost) || x < l.lnf[0] || s.at(x) < top+dropped {
			continue
		}
		g.lnf = append(g.lnf, x)
		g.cellf = append(g.cellf, stepf*(right+(left-right)/(1+math.Exp(t))))
	}
	g.lnd, g.celld = kept(l.lnd, l.weighd, fineness)
	g.lne, g.celle = []float64{0}, 1
	if finee > 0 {
		g.lne, g.celle = kept(l.lne, l.weighe, finee)
	}
	g.halved()
	return g
}

// halved sets how many cells of each scatter make a factor of two, and adds
// that many below the kept ones.
func (g *grid) halved() {
	lower := func(nodes []float64, cell float64) ([]float64, int) {
		n := int(math.Round(math.Ln2 / cell))
		out := nodes
		for range n {
			if out[0]-cell < math.Log(leastScatter) {
				break
			}
			out = slices.Insert(slices.Clone(out), 0, out[0]-cell)
		}
		return out, n
	}
	g.lnd, g.halfd = lower(g.lnd, g.celld)
	if len(g.lne) > 1 {
		g.lne, g.halfe = lower(g.lne, g.celle)
	}
}

// kept gives the scatter cells near those that had weight: cells of at most
// fineness standard deviations, a power of two below the coarse ones.
func kept(nodes, weigh []float64, fineness float64) ([]float64, float64) {
	top := slices.Max(weigh)
	s := newSpline(nodes, weigh)
	x, cum := s.cumulative(500)
	sd := (inverse(x, cum, 0.84) - inverse(x, cum, 0.16)) / 2
	width := coarse / 2
	for width > fineness*sd && width > coarse/64 {
		width /= 2
	}
	all, cell := scatterCells(width)
	var out []float64
	for _, x := range all {
		if s.at(x) > top+dropped {
			out = append(out, x)
		}
	}
	return out, cell
}
