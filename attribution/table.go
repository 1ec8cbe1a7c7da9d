package attribution

import "math"

// model is a ladder made ready for arithmetic.
type model struct {
	rungs   []rung
	deep    bool // some wearing has exercises of its own
	keep    bool // the table keeps each wearing's own curve, for a chain
	beliefs []belief
	lat     lattices
	holder  func(lnf float64) float64 // log likelihood of the holder's runs, nil without
}

type rung struct{ wearings []wearing }

type wearing struct {
	units             []unit
	donning, specimen string
}

// recorded reports whether its exercises' flows were.
func (w *wearing) recorded() bool { return !w.units[0].whole }

// blurred reports whether the unit is an exercise whose flow is not known.
func (w *wearing) blurred(j int) bool { return !w.recorded() && j > 0 }

// grid is the outer points: the log of the filter's penetration and of the two
// scatters, each with the width of its cell, and the blocks. The second index
// runs over the blocks and, within each, over the exercise scatters.
type grid struct {
	lnf, cellf []float64
	lnd, lne   []float64 // wearing and exercise scatter
	celld      float64
	celle      float64
	blocks     []block

	halfd, halfe int // how many cells make a factor of two
}

// table holds, for each outer point and rung, the marginal likelihood under each
// belief about the rung's leak, and the posterior's shape over that leak.
type table struct {
	grid
	cells  []cell    // [f][e][d]
	sealed []float64 // [f][block][rung] log likelihood of the rung without any leak
	rungs  int
}

// second is the length of the second index.
func (g *grid) second() int { return len(g.blocks) * len(g.lne) }

// exercise gives the exercise scatter of the second index.
func (g *grid) exercise(e int) float64 { return g.lne[e%len(g.lne)] }

// cell is one outer point.
type cell struct {
	lnM   []float64 // [belief][rung]
	leak  []curve   // [rung], likelihood of the rung's median leak
	step  []float64 // [rung], of the lattice of leak
	each  []curve   // [wearing over all rungs], when kept
	eachs []float64 // the steps of their lattices
	over  []float64 // [rung], chance that the leak exceeds the filter, under the first belief
}

func (t *table) at(f, e, d int) *cell {
	return &t.cells[(f*t.second()+e)*len(t.lnd)+d]
}

// lnM is the log marginal likelihood of a rung. With loose scatters a repaired
// rung has, with even odds, the common scatters or half of them.
func (t *table) lnM(f, e, d, c, belief int, loose bool) float64 {
	full := t.at(f, e, d).lnM[belief*t.rungs+c]
	if !loose || c == 0 {
		return full
	}
	return lnAdd(full, t.half(f, e, d).lnM[belief*t.rungs+c]) - math.Ln2
}

// half is the outer point with half the scatters, or the nearest there is.
func (t *table) half(f, e, d int) *cell {
	first := e - e%len(t.lne) // of the block
	return t.at(f, max(e-t.halfe, first), max(d-t.halfd, 0))
}

// tabulate works the table of a grid. Given the outer point the rungs are
// independent, and within a rung so are the wearings given the rung's leak, and
// the exercises given the wearing's; so each level is one sum over a lattice.
func (m *model) tabulate(g grid) *table {
	t := &table{grid: g, rungs: len(m.rungs), cells: make([]cell, len(g.lnf)*g.second()*len(g.lnd))}
	for i := range t.cells {
		t.cells[i] = cell{lnM: make([]float64, len(m.beliefs)*t.rungs), leak: make([]curve, t.rungs), step: make([]float64, t.rungs), over: make([]float64, t.rungs)}
	}
	t.sealed = make([]float64, len(g.lnf)*len(g.blocks)*t.rungs)
	for c := range m.rungs {
		w := worker{m: m, t: t, c: c}
		for f, lnf := range g.lnf {
			for b := range g.blocks {
				w.climb(f, b, math.Exp(lnf))
			}
		}
	}
	return t
}

// worker works one rung, reusing its buffers.
type worker struct {
	m     *model
	t     *table
	c     int
	units [][]curve   // likelihoods of the units, by wearing
	bufs  [][]float64 // their values
	luck  []curve     // by wearing, at one exercise scatter
	lucks [][]float64
	tmp   []float64
	tmp2  []float64
	lnf   float64

	vague      *lattice // of exercises whose flow is not known
	vagueWidth float64
	mist       []float64
}

// climb works the rung for one filter penetration and block.
func (w *worker) climb(f, b int, value float64) {
	r := &w.m.rungs[w.c]
	w.lnf = w.t.lnf[f]
	width, vague, most, unknown := 0.5, 0.5, 1, false
	for i := range r.wearings {
		x := &r.wearings[i]
		for j := range x.units {
			to := &width
			if x.blurred(j) {
				to = &vague
			}
			*to = min(*to, x.units[j].width(value, w.t.blocks[b]))
		}
		most = max(most, len(x.units))
		unknown = unknown || !x.recorded()
	}
	step := func(width float64) *lattice { return w.m.lat.of(max(dyadic(0.9*width), 1.0/64)) }
	lat := step(width)
	w.vague, w.vagueWidth = step(vague), vague
	w.likelihoods(value, w.t.blocks[b], lat, &w.t.sealed[(f*len(w.t.blocks)+b)*w.t.rungs+w.c])
	for e, lne := range w.t.lne {
		step, narrow := lat.step, width
		if w.m.deep {
			sigma := math.Exp(lne)
			narrow = math.Hypot(sigma, width) / math.Sqrt(float64(most))
			if unknown { // a run as a whole is as sharp as it was
				narrow = width
			}
			stride := max(1, int(dyadic(0.8*narrow/step)))
			if unknown {
				stride = 1
			}
			w.wearingLuck(sigma, lat.step, stride)
			step *= float64(stride)
		} else {
			w.single()
		}
		for d, lnd := range w.t.lnd {
			w.rungLuck(w.t.at(f, b*len(w.t.lne)+e, d), math.Exp(lnd), step, narrow)
		}
	}
}

// likelihoods tabulates every unit of the rung against its log leak.
func (w *worker) likelihoods(value float64, b block, lat *lattice, sealed *float64) {
	r := &w.m.rungs[w.c]
	w.units = w.units[:0]
	k := 0
	*sealed = 0
	for i := range r.wearings {
		var cs []curve
		for j := range r.wearings[i].units {
			u := &r.wearings[i].units[j]
			if k == len(w.bufs) {
				w.bufs = append(w.bufs, nil)
			}
			on := lat
			if r.wearings[i].blurred(j) {
				on = w.vague
			}
			c := u.averaged(value, b, on, w.bufs[k])
			w.bufs[k] = c.v
			*sealed += u.bare(value, b)
			cs = append(cs, c)
			k++
		}
		w.units = append(w.units, cs)
	}
	for len(w.lucks) < len(w.units) {
		w.lucks = append(w.lucks, nil)
	}
}

// single takes wearings of one exercise as they are.
func (w *worker) single() {
	w.luck = w.luck[:0]
	for _, cs := range w.units {
		w.luck = append(w.luck, cs[0])
	}
}

// wearingLuck integrates the exercises' luck out: each wearing's likelihood
// against its own median leak.
func (w *worker) wearingLuck(sigma, step float64, stride int) {
	lucky, none := newKernel(sigma, step), newKernel(0, step)
	w.luck = w.luck[:0]
	for i, cs := range w.units {
		var out curve
		switch {
		case !w.m.rungs[w.c].wearings[i].recorded():
			out = w.throughMist(cs, sigma, step, w.lucks[i])
		case len(cs) == 1: // a run known only as a whole is its own median
			out = spread(&cs[0], &none, stride, w.lucks[i])
		default:
			out = w.product(cs, &lucky, stride, w.lucks[i])
		}
		out.scale()
		w.lucks[i] = out.v
		w.luck = append(w.luck, out)
	}
}

// product multiplies curves of exercises, each spread by its luck.
func (w *worker) product(cs []curve, k *kernel, stride int, buf []float64) curve {
	out := spread(&cs[0], k, stride, buf)
	for j := range cs[1:] {
		c := spread(&cs[j+1], k, stride, w.tmp)
		w.tmp = c.v
		out.times(&c)
	}
	return out
}

// throughMist is the likelihood of a run without recorded flows: its mean, on the
// lattice of step, times what its exercises say, which is smooth and lives on a
// lattice of its own.
func (w *worker) throughMist(cs []curve, sigma, step float64, buf []float64) curve {
	own := w.vague.step
	k := newKernel(sigma, own)
	stride := max(1, int(dyadic(0.6*math.Hypot(sigma, w.vagueWidth)/math.Sqrt(float64(len(cs)))/own)))
	say := w.product(cs[1:], &k, stride, w.mist)
	w.mist = say.v
	r := step / (own * float64(stride))
	whole := &cs[0]
	out := curve{lo: whole.lo, v: buf[:0], left: whole.left * say.left, ln: whole.ln + say.ln}
	if whole.left != 0 {
		out.lo = min(out.lo, int(math.Floor(float64(say.lo)/r)))
	}
	for i := out.lo; i <= whole.hi(); i++ {
		out.v = append(out.v, whole.at(i)*say.between(float64(i)*r))
	}
	return out
}

// rungLuck integrates the wearings' luck out and weighs the rung's leak.
func (w *worker) rungLuck(to *cell, sigma, step, narrow float64) {
	k := newKernel(sigma, step)
	stride := max(1, int(dyadic(0.8*math.Hypot(sigma, narrow)/math.Sqrt(float64(len(w.luck)))/step)))
	var out curve
	for i := range w.luck {
		if i == 0 {
			out = spread(&w.luck[i], &k, stride, w.tmp2)
			w.tmp2 = out.v
			w.keep(to, &out, step*float64(stride))
			continue
		}
		c := spread(&w.luck[i], &k, stride, w.tmp)
		w.tmp = c.v
		w.keep(to, &c, step*float64(stride))
		out.times(&c)
	}
	out.scale()
	lat := w.m.lat.of(step * float64(stride))
	for b, belief := range w.m.beliefs {
		to.lnM[b*w.t.rungs+w.c] = out.ln + math.Log(lat.believed(&out, belief))
	}
	to.over[w.c] = lat.over(&out, w.m.beliefs[0], w.lnf)
	w.tmp2 = out.v[:0]
	out.v = append([]float64(nil), out.v...)
	to.leak[w.c], to.step[w.c] = out, lat.step
}

// keep copies a wearing's own curve for a chain.
func (w *worker) keep(to *cell, c *curve, step float64) {
	if !w.m.keep {
		return
	}
	own := *c
	own.v = append([]float64(nil), c.v...)
	own.scale()
	to.each, to.eachs = append(to.each, own), append(to.eachs, step)
}
