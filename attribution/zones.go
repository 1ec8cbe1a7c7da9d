package attribution

import (
	"math"
	"slices"
	"sort"

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
// quadrature's tables of the rungs' leaks. The filter and the scatters are those
// of the ladder without zones: the zones do not speak back to them.
type zoneWalk struct {
	walker
	t       *table
	p       Prior
	h       [][]lnCurve // [rung][cell]
	cum     []float64   // summed weights of the cells
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
		w.visit(i)
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
				if k := len(runs[0][i]); k%stay == 0 {
					w.visit(k/stay*chains + i)
				}
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
	const assumption = "each repair multiplies the leak of its zone; zones alike beforehand within a factor of e; filter, scatters as without zones; wearings of one donning taken by themselves"
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
	stay            = 20 // sweeps between changes of the filter and the scatters
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
	sum := 0.0
	for _, v := range q.w {
		sum += v
		w.cum = append(w.cum, sum)
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
}

// visit takes the n-th of the cells, spread evenly over the quadrature's weights,
// and settles there.
func (w *zoneWalk) visit(n int) {
	w.at = min(sort.SearchFloat64s(w.cum, radical(n+1, 2)*w.cum[len(w.cum)-1]), len(w.cum)-1)
	for range stay / 4 {
		w.sweep()
	}
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
	for c := range w.acts {
		for z, acts := range w.acts[c] {
			for _, k := range acts {
				w.trade(&w.zones[z], &w.effects[k])
			}
		}
	}
	w.swap(w.rng.IntN(len(w.zones)), w.rng.IntN(len(w.zones)))
}

// trade moves a zone's leak one way and a repair's effect on it the other, so that
// the repaired leak stays.
func (w *zoneWalk) trade(zone, effect *float64) {
	x, y, by := *zone, *effect, 0.0
	set := func() { *zone, *effect = x+by, y-by }
	w.slice(&by, 1, func() float64 { set(); return w.density() })
	set()
}

// swap moves leak between two zones while their sum stays: along the logit of the
// share, where the Jacobian is one.
func (w *zoneWalk) swap(a, b int) {
	if a == b {
		return
	}
	whole, share := lnAdd(w.zones[a], w.zones[b]), w.zones[a]-w.zones[b]
	set := func() {
		w.zones[a] = whole - math.Log1p(math.Exp(-share))
		w.zones[b] = whole - math.Log1p(math.Exp(share))
	}
	w.slice(&share, 2, func() float64 { set(); return w.density() })
	set()
}
