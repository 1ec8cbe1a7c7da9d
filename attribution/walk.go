package attribution

import (
	"fmt"
	"math"
)

const (
	chains    = 4
	warmUp    = 300  // sweeps of each chain that are left out
	firstWalk = 1200 // sweeps of each chain, doubled while the diagnostics fail
	longest   = 19200
	// A chain's figures are used only when every quantity's potential scale
	// reduction is below mostApart and its effective sample above leastSample
	// (Gelman and Rubin, Statistical Science 7, 1992; from memory).
	mostApart   = 1.03
	leastSample = 400
)

// needsChain says why nested sums do not do for this ladder; empty when they do.
func (m *model) needsChain() string {
	donnings, specimens := map[string]int{}, map[string]bool{}
	for _, r := range m.rungs {
		for _, w := range r.wearings {
			if w.donning != "" {
				donnings[w.donning]++
			}
			specimens[w.specimen] = true
		}
	}
	why := ""
	for _, n := range donnings {
		if n > 1 {
			why = "wearings share a donning"
		}
	}
	if len(specimens) > 1 {
		if why != "" {
			why += " and "
		}
		why += "several specimens were worn"
	}
	return why
}

// walk works a ladder by chains, starting from the quadrature's view of it (each
// wearing with a luck of its own, one filter). It replaces the draws; failed
// says which diagnostic did not pass, or is empty.
func (s *solution) walk() (failed string) {
	proto := s.newChain()
	var all [chains]*chain
	start := s.draws
	for i := range all {
		c := *proto
		c.walker = newWalker(i)
		c.near = make([]nodes, c.kinds)
		c.state = proto.begin(start, (2*i+1)*start.len()/(2*chains))
		all[i] = &c
	}
	var runs [chains]*trail
	for i, c := range all {
		runs[i] = &trail{}
		for range warmUp {
			c.sweep()
		}
	}
	for n := firstWalk; ; n *= 2 {
		for i, c := range all {
			for runs[i].len() < n {
				c.sweep()
				runs[i].add(c)
			}
		}
		failed = diagnose(runs[:])
		if failed == "" || n >= longest {
			break
		}
	}
	s.take(proto, runs[:])
	return failed
}

// newChain lays the wearings out over the kept table.
func (s *solution) newChain() *chain {
	t := s.under[0].t
	c := &chain{m: s.m, t: t, p: s.priors[0], halves: max(1, t.halfd/2)}
	counts := map[string]int{}
	for _, r := range s.m.rungs {
		for _, w := range r.wearings {
			counts[w.donning]++
		}
	}
	donnings, kinds := map[string]int{}, map[string]int{}
	at := 0
	for r, g := range s.m.rungs {
		for _, w := range g.wearings {
			p := spot{rung: r, donning: -1}
			if w.donning != "" && counts[w.donning] > 1 {
				p.donning = index(donnings, w.donning)
			}
			p.kind = index(kinds, w.specimen)
			for i := range t.cells {
				p.h = append(p.h, logCurve(&t.cells[i].each[at], t.cells[i].eachs[at]))
			}
			c.spots = append(c.spots, p)
			at++
		}
	}
	c.donning, c.kinds = len(donnings), len(kinds)
	c.onRung, c.inDonning, c.ofKind = make([][]int, len(s.m.rungs)), make([][]int, c.donning), make([][]int, c.kinds)
	for i, p := range c.spots {
		c.every = append(c.every, i)
		c.onRung[p.rung] = append(c.onRung[p.rung], i)
		c.ofKind[p.kind] = append(c.ofKind[p.kind], i)
		if p.donning < 0 {
			c.single = append(c.single, i)
		} else {
			c.inDonning[p.donning] = append(c.inDonning[p.donning], i)
		}
	}
	return c
}

// index numbers names in order of appearance.
func index(seen map[string]int, name string) int {
	i, ok := seen[name]
	if !ok {
		i = len(seen)
		seen[name] = i
	}
	return i
}

// begin is a state near the i-th draw of the quadrature.
func (c *chain) begin(d *draws, i int) state {
	lnf := min(max(d.lnf[i], c.t.lnf[0]), c.t.lnf[len(c.t.lnf)-1])
	s := state{middle: lnf, apart: math.Log(SpecimenScatter / 2), luck: make([]float64, c.donning), share: 1}
	for range c.kinds {
		s.lnf = append(s.lnf, lnf)
	}
	for r := range d.leak {
		s.leak = append(s.leak, d.leak[r][i])
	}
	s.e, s.d = nearest(c.t.lne, d.lne[i]), nearest(c.t.lnd, d.lnd[i])
	if c.donning > 0 {
		s.d = max(s.d-c.halves, 0)
	}
	return s
}

// nearest is the index of the node closest to x.
func nearest(nodes []float64, x float64) int {
	best := 0
	for i, v := range nodes {
		if math.Abs(v-x) < math.Abs(nodes[best]-x) {
			best = i
		}
	}
	return best
}

// trail is where a chain has been.
type trail struct {
	lnf, middle, lnd, lne []float64
	leak                  [][]float64
}

func (r *trail) len() int { return len(r.lnf) }

func (r *trail) add(c *chain) {
	mean := 0.0
	for _, x := range c.lnf {
		mean += x / float64(len(c.lnf))
	}
	r.lnf, r.middle = append(r.lnf, mean), append(r.middle, c.middle)
	d, e := c.t.within(r.len())
	r.lnd, r.lne = append(r.lnd, c.total()+d), append(r.lne, c.t.exercise(c.e)+e)
	if r.leak == nil {
		r.leak = make([][]float64, len(c.leak))
	}
	for i, l := range c.leak {
		r.leak[i] = append(r.leak[i], l)
	}
}

// take makes the trails the solution's draws.
func (s *solution) take(c *chain, runs []*trail) {
	d := &draws{leak: make([][]float64, len(s.m.rungs))}
	for _, r := range runs {
		d.lnf, d.middle = append(d.lnf, r.lnf...), append(d.middle, r.middle...)
		d.lnd, d.lne = append(d.lnd, r.lnd...), append(d.lne, r.lne...)
		for i := range d.leak {
			d.leak[i] = append(d.leak[i], r.leak[i]...)
		}
	}
	s.draws = d
	s.walked = fmt.Sprintf("%d chains of %d sweeps on the quadrature's tables (%s; %d shared donnings, %d specimens)",
		chains, runs[0].len(), s.m.needsChain(), c.donning, c.kinds)
}

// diagnose names the quantity whose chains do not agree or are too short.
func diagnose(runs []*trail) string {
	check := func(name string, of func(*trail) []float64) string {
		var all [][]float64
		for _, r := range runs {
			all = append(all, of(r))
		}
		rhat, ess := scaleReduction(halved(all))
		if rhat > mostApart || ess < leastSample {
			return fmt.Sprintf("%s: scale reduction %.3f, effective sample %.0f", name, rhat, ess)
		}
		return ""
	}
	if bad := check("filter", func(r *trail) []float64 { return r.lnf }); bad != "" {
		return bad
	}
	if bad := check("wearing scatter", func(r *trail) []float64 { return r.lnd }); bad != "" {
		return bad
	}
	for i := range runs[0].leak {
		if bad := check(fmt.Sprintf("leak of rung %d", i+1), func(r *trail) []float64 { return r.leak[i] }); bad != "" {
			return bad
		}
	}
	return ""
}

// halved splits each chain in two, so that one that drifts is seen.
func halved(chains [][]float64) [][]float64 {
	var out [][]float64
	for _, v := range chains {
		out = append(out, v[:len(v)/2], v[len(v)/2:])
	}
	return out
}

// scaleReduction gives the potential scale reduction of several chains and their
// effective sample size (Geyer's initial positive sequence, Statistical Science
// 7, 1992; from memory).
func scaleReduction(all [][]float64) (rhat, ess float64) {
	n, k := len(all[0]), len(all)
	mean, means, within := 0.0, make([]float64, k), 0.0
	for i, v := range all {
		for _, x := range v[:n] {
			means[i] += x / float64(n)
		}
		mean += means[i] / float64(k)
		for _, x := range v[:n] {
			within += (x - means[i]) * (x - means[i]) / float64(k*(n-1))
		}
	}
	between := 0.0
	for _, x := range means {
		between += (x - mean) * (x - mean) / float64(k-1)
	}
	if within == 0 {
		return 1, float64(n * k)
	}
	total := within*float64(n-1)/float64(n) + between
	lag := func(t int) float64 {
		sum := 0.0
		for i, v := range all {
			for j := 0; j+t < n; j++ {
				sum += (v[j] - means[i]) * (v[j+t] - means[i])
			}
		}
		return 1 - (within-sum/float64(k*n))/total
	}
	tau := -1.0
	for t := 0; t+1 < n; t += 2 {
		pair := lag(t) + lag(t+1)
		if pair < 0 {
			break
		}
		tau += 2 * pair
	}
	return math.Sqrt(total / within), float64(n*k) / max(tau, 0.05)
}
