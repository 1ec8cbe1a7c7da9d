package attribution

import (
	"math"
	"slices"

	"telltale/record"
	"telltale/uncertainty"
)

// The zones of a seal. What is not repaired apart is "elsewhere".
var zoneNames = []string{"nose", "cheeks", "chin"}

const elsewhere = "elsewhere"

// What is believed of zones and repairs (own rule): the zones share the leak
// alike within a factor of e; a repair takes its zone's leak to about a quarter
// within a factor of 4.5, and may make it worse.
const (
	zoneSD       = 1.0
	effectMedian = 0.25
	effectSD     = 1.5
)

// effect is a repair of a zone; it multiplies the zone's leak.
type effect struct{ word, zone string }

// zonesOf lists the zones that some rung repaired apart, and the rest; nil when
// none was.
func zonesOf(l *Ladder) []string {
	var out []string
	for _, z := range zoneNames {
		for _, r := range l.Rungs {
			if slices.ContainsFunc(r.Repairs, func(p record.Repair) bool { return p.Zone == z }) {
				out = append(out, z)
				break
			}
		}
	}
	if len(out) > 0 && len(out) < len(zoneNames) {
		out = append(out, elsewhere)
	}
	return out
}

// touches reports whether a repair works on a zone. A nose strip without a zone
// is of the nose, any other repair without one is of all.
func touches(p record.Repair, zone string) bool {
	switch {
	case p.Zone == "" && p.Word == "nose_strip":
		return zone == "nose"
	case p.Zone == "" || p.Zone == "all":
		return true
	}
	return p.Zone == zone
}

// zoneWalk is a chain over the zones' leaks and the repairs' effects, on the
// quadrature's tables of the rungs' leaks.
type zoneWalk struct {
	walker
	t       *table
	p       Prior
	h       [][]lnCurve // [rung][cell]
	lnw     []float64   // log prior weight of the cells
	zones   []float64   // log leak of each zone, without repairs
	level   float64     // log of the leak all zones make together, about
	effects []float64   // log factor of each effect
	acts    [][][]int   // [rung][zone] effects
	at      int         // cell
}

// zoneShares works each zone's share of the leak as worn; nil when no zone was
// repaired apart.
func (s *solution) zoneShares(l *Ladder, level float64) []ZoneShare {
	names := zonesOf(l)
	if names == nil {
		return nil
	}
	proto := s.newZoneWalk(l, names)
	var walks [chains]*zoneWalk
	runs := make([][][]float64, len(names)) // [zone][chain]
	for i := range walks {
		w := *proto
		w.walker = newWalker(100 + i)
		w.begin(s, (2*i+1)*s.draws.len()/(2*chains))
		for range warmUp {
			w.sweep()
		}
		walks[i] = &w
	}
	late := make([][][]float64, len(names))
	for z := range runs {
		runs[z], late[z] = make([][]float64, chains), make([][]float64, chains)
	}
	settled := false
	for n := firstZoneWalk; n <= longestZoneWalk && !settled; n *= 2 {
		for i, w := range walks {
			for len(runs[0][i]) < n {
				w.sweep()
				total := lnSum(w.zones)
				for z, x := range w.zones {
					runs[z][i] = append(runs[z][i], math.Exp(x-total))
				}
			}
		}
		settled = true
		for z := range runs {
			for i, v := range runs[z] { // the first half is on the way
				late[z][i] = v[len(v)/2:]
			}
			rhat, ess := scaleReduction(halved(late[z]))
			settled = settled && rhat < mostApart && ess > leastSample/2
		}
	}
	const assumption = "each repair multiplies the leak of its zone; zones alike beforehand within a factor of e; wearings of one donning taken by themselves"
	var out []ZoneShare
	for z, name := range names {
		e := uncertainty.NewUnknown(level, assumption, "the chains did not settle")
		if settled {
			lo, mid, hi := tail(level)
			q := order(slices.Concat(late[z]...), nil)
			e = uncertainty.New(q.at(mid), q.at(lo), q.at(hi), level, assumption)
		}
		out = append(out, ZoneShare{name, e})
	}
	return out
}

// Sweeps of each zone chain, doubled while the shares have not settled.
const (
	firstZoneWalk   = 1000
	longestZoneWalk = 8000
)

func (s *solution) newZoneWalk(l *Ladder, names []string) *zoneWalk {
	q := s.under[0]
	w := &zoneWalk{t: q.t, p: s.priors[0], zones: make([]float64, len(names))}
	var known []effect
	for _, r := range l.Rungs {
		acts := make([][]int, len(names))
		for z, name := range names {
			for _, p := range r.Repairs {
				if !touches(p, name) {
					continue
				}
				e := effect{p.Word, name}
				if !slices.Contains(known, e) {
					known = append(known, e)
				}
				acts[z] = append(acts[z], slices.Index(known, e))
			}
		}
		w.acts = append(w.acts, acts)
	}
	w.effects = make([]float64, len(known))
	for c := range l.Rungs {
		h := make([]lnCurve, len(q.t.cells))
		for i := range q.t.cells {
			h[i] = logCurve(&q.t.cells[i].leak[c], q.t.cells[i].step[c])
		}
		w.h = append(w.h, h)
	}
	// the cells' own prior: the posterior's weight without the rungs' likelihoods
	b := slices.Index(s.m.beliefs, s.priors[0].leak())
	for i, v := range s.m.weights(q.t, s.priors[0], b) {
		for c := range q.t.rungs {
			v -= q.t.cells[i].lnM[b*q.t.rungs+c]
		}
		w.lnw = append(w.lnw, v)
	}
	return w
}

// begin stands near a draw of the quadrature.
func (w *zoneWalk) begin(s *solution, i int) {
	w.zones, w.effects = slices.Clone(w.zones), slices.Clone(w.effects)
	w.level = s.draws.leak[0][i]
	for z := range w.zones {
		w.zones[z] = w.level - math.Log(float64(len(w.zones)))
	}
	for k := range w.effects {
		w.effects[k] = math.Log(effectMedian)
	}
	w.at = w.t.put(nearest(w.t.lnf, s.draws.lnf[i]), nearest(w.t.lne, s.draws.lne[i]), nearest(w.t.lnd, s.draws.lnd[i]))
}

// leak is the log leak of a rung: its zones', each after its repairs.
func (w *zoneWalk) leak(c int) float64 {
	sum := 0.0
	for z, x := range w.zones {
		for _, k := range w.acts[c][z] {
			x += w.effects[k]
		}
		sum += math.Exp(x)
	}
	return math.Log(sum)
}

func (w *zoneWalk) likelihood() float64 {
	ln := 0.0
	for c := range w.h {
		ln += w.h[c][w.at].at(w.leak(c))
	}
	return ln
}

func (w *zoneWalk) density() float64 {
	ln := lnNormal(w.level, math.Log(w.p.LeakMedian), w.p.LeakSD)
	for _, x := range w.zones {
		ln += lnNormal(x, w.level-math.Log(float64(len(w.zones))), zoneSD)
	}
	for _, x := range w.effects {
		ln += lnNormal(x, math.Log(effectMedian), effectSD)
	}
	return ln + w.likelihood()
}

func (w *zoneWalk) sweep() {
	w.slice(&w.level, 1, w.density)
	for z := range w.zones {
		w.slice(&w.zones[z], 1, w.density)
	}
	for k := range w.effects {
		w.slice(&w.effects[k], 1, w.density)
	}
	for _, stride := range []int{1, len(w.t.lnd), len(w.t.lnd) * w.t.second()} {
		w.hop(stride)
		w.hop(stride)
	}
}

// hop makes a Metropolis step to a neighbouring cell along one axis.
func (w *zoneWalk) hop(stride int) {
	was, now := w.at, w.lnw[w.at]+w.likelihood()
	by := stride * (2*w.rng.IntN(2) - 1)
	if !w.neighbour(by, stride) {
		return
	}
	w.at += by
	if math.Log(w.rng.Float64()) >= w.lnw[w.at]+w.likelihood()-now {
		w.at = was
	}
}

// neighbour reports whether the step stays on its axis.
func (w *zoneWalk) neighbour(by, stride int) bool {
	d, e := len(w.t.lnd), w.t.second()
	i := w.at
	switch stride {
	case 1:
		i = i%d + by
		return i >= 0 && i < d
	case d:
		i = i/d%e + by/d
		return i >= 0 && i < e
	}
	i = i/(d*e) + by/(d*e)
	return i >= 0 && i < len(w.t.lnf)
}
