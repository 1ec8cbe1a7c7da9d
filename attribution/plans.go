package attribution

import (
	"fmt"
	"math"
	"slices"

	"telltale/record"
)

// deepFlow is how much harder one breathes in the deep breathing that is
// proposed (own rule).
const deepFlow = 2.0

// holderCounts is how many times the room counts of an exercise a holder's run
// is taken to give: it can simply run longer.
const holderCounts = 10.0

// plans lists the steps that could be taken.
func (o *outlook) plans(l *Ladder) []plan {
	counts, ambient := usual(o.s.m)
	var out []plan
	for c, r := range l.Rungs {
		out = append(out, o.worn("another wearing "+spoken(r), counts, ambient, func(i int) float64 { return o.s.draws.leak[c][o.at[i]] }))
	}
	best := o.best()
	name := spoken(l.Rungs[best])
	leak := func(i int) float64 { return o.s.draws.leak[best][o.at[i]] }
	if !taped(l) {
		out = append(out, o.worn("tape all round, a first wearing", counts, ambient, func(i int) float64 {
			return leak(i) + math.Log(effectMedian) + effectSD*normalAt(radical(i+1, 2))
		}))
	}
	out = append(out, plan{what: "quiet and deep breathing " + name, counts: 2, ambient: ambient * float64(counts) / 2, view: func(i int) view {
		f := math.Exp(o.s.draws.lnf[o.at[i]])
		m := exponentAt(radical(i+1, 3))
		return view{[]float64{f, throughAt(f, deepFlow, m)}, leak(i), []float64{1, math.Pow(deepFlow, leakExponent)}}
	}})
	if !o.sized() {
		out = append(out, plan{what: "a counter with size channels " + name, counts: 2, ambient: ambient * float64(counts), view: func(i int) view {
			f := math.Exp(o.s.draws.lnf[o.at[i]])
			return view{[]float64{f, math.Pow(f, steepnessAt(radical(i+1, 3)))}, leak(i), []float64{1, 1}}
		}})
	}
	what := "the filter alone in a holder, at the breathing's face velocity"
	if len(l.Holders) > 0 {
		what = "a further run of the worn specimen in the holder, at the breathing's face velocity"
	}
	out = append(out, plan{what: what, counts: 1, ambient: ambient * holderCounts, view: func(i int) view {
		return view{[]float64{math.Exp(o.s.draws.lnf[o.at[i]])}, math.Inf(-1), []float64{1}}
	}})
	return out
}

// worn is a wearing of the usual kind with a given leak.
func (o *outlook) worn(what string, counts int, ambient float64, leak func(i int) float64) plan {
	return plan{what: what, counts: counts, ambient: ambient, view: func(i int) view {
		f := math.Exp(o.s.draws.lnf[o.at[i]])
		return view{slices.Repeat([]float64{f}, counts), leak(i), slices.Repeat([]float64{1}, counts)}
	}}
}

// usual is the usual number of counts in a wearing and their room counts, by the
// median. A run without recorded flows counts as a whole.
func usual(m *model) (counts int, ambient float64) {
	var n []int
	var x []float64
	for _, r := range m.rungs {
		for _, w := range r.wearings {
			units := w.units
			if !w.recorded() {
				units = units[:1]
			}
			n = append(n, len(units))
			for _, u := range units {
				x = append(x, u.x*u.e)
			}
		}
	}
	slices.Sort(n)
	slices.Sort(x)
	return n[len(n)/2], x[len(x)/2]
}

// best is the rung with the least leak, by its mean log.
func (o *outlook) best() int {
	best, least := 0, math.Inf(1)
	for c, v := range o.s.draws.leak {
		sum := 0.0
		for _, x := range v {
			sum += x
		}
		if sum < least {
			best, least = c, sum
		}
	}
	return best
}

// sized reports whether a coarse channel is there already.
func (o *outlook) sized() bool {
	_, coarse := o.s.m.resolves()
	return coarse > 1
}

// taped reports whether some rung was taped all round.
func taped(l *Ladder) bool {
	return slices.ContainsFunc(l.Rungs, func(r Rung) bool {
		return slices.ContainsFunc(r.Repairs, func(p record.Repair) bool {
			return p.Word == "tape" && (p.Zone == "all" || p.Zone == "")
		})
	})
}

func spoken(r Rung) string {
	if r.AsWorn() {
		return "as worn"
	}
	return fmt.Sprintf("with %s", r.Name())
}
