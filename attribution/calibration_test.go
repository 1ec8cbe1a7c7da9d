package attribution

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"telltale/quantity"
)

var rounds = flag.Int("rounds", 0, "rounds of simulation-based calibration per variant; 0 = a few, 1000 for the record")

var only = flag.String("variant", "", "only the variants whose name holds this")

// variant draws a truth from the prior and a ladder from the truth; it returns
// what the posterior is asked for.
type variant struct {
	name string
	few  int // rounds in an ordinary test
	draw func(r *rand.Rand) (Ladder, []float64)
}

func priorFilter(r *rand.Rand) float64 {
	for {
		if x := math.Log(Base().FilterMedian) + Base().FilterSD*r.NormFloat64(); x < math.Log(FilterMost) {
			return x
		}
	}
}

func priorScatter(r *rand.Rand) float64 {
	for {
		if s := math.Abs(Base().Scatter * r.NormFloat64()); s > leastScatter && s < mostScatter {
			return s
		}
	}
}

func priorLeak(r *rand.Rand) float64 {
	return math.Log(Base().LeakMedian) + Base().LeakSD*r.NormFloat64()
}

// fromPrior makes 4 rungs x 4 wearings. luck gives the log leak's deviation of a
// wearing, filter ln f of its specimen.
func fromPrior(r *rand.Rand, exercises int, ambient, lnf float64, change func(l *Ladder, leak [4][4][]float64), luck func(rung, wearing int) (float64, string), filter func(w int) (float64, string)) (Ladder, []float64) {
	sd, se := priorScatter(r), priorScatter(r)
	what := []float64{lnf, math.Log(sd)}
	var l Ladder
	var leaks []float64
	var each [4][4][]float64 // leaks of the exercises
	for c := range 4 {
		leak := priorLeak(r)
		leaks = append(leaks, leak)
		g := Rung{Repairs: climb[c]}
		for w := range 4 {
			u, donning := sd*r.NormFloat64(), ""
			if luck != nil {
				u, donning = luck(c, w)
				u *= sd
			}
			f, specimen := lnf, ""
			if filter != nil {
				f, specimen = filter(w)
			}
			x := Wearing{Donning: donning, Specimen: specimen}
			for range exercises {
				v := leak + u
				if exercises > 1 {
					v += se * r.NormFloat64()
				}
				each[c][w] = append(each[c][w], math.Exp(v))
				x.Exercises = append(x.Exercises, Exercise{Ambient: poisson(r, ambient), Inside: poisson(r, ambient*(math.Exp(f)+math.Exp(v))), FlowFactor: 1})
			}
			g.Wearings = append(g.Wearings, x)
		}
		l.Rungs = append(l.Rungs, g)
	}
	if change != nil {
		change(&l, each)
	}
	return l, append(what, leaks...)
}

func variants() []variant {
	return []variant{
		{"totals", 40, func(r *rand.Rand) (Ladder, []float64) { return fromPrior(r, 1, 4000, priorFilter(r), nil, nil, nil) }},
		{"exercises", 8, func(r *rand.Rand) (Ladder, []float64) { return fromPrior(r, 7, 600, priorFilter(r), nil, nil, nil) }},
		{"holder, another specimen", 20, func(r *rand.Rand) (Ladder, []float64) {
			lnf := priorFilter(r)
			s := math.Abs(SpecimenScatter * r.NormFloat64())
			m := leastExponent + (mostExponent-leastExponent)*r.Float64()
			other := math.Min(lnf+s*math.Sqrt2*r.NormFloat64(), math.Log(FilterMost))
			seen := math.Exp(other * math.Pow(2, -m)) // twice the velocity
			return fromPrior(r, 1, 4000, lnf, func(l *Ladder, _ [4][4][]float64) {
				l.Breathing = quantity.LitresPerMinute(30)
				l.Holders = []Holder{{ID: "h", Specimen: "b", Upstream: poisson(r, 5000), Downstream: poisson(r, 5000*seen), Flow: quantity.LitresPerMinute(60), Area: 160}}
			}, nil, nil)
		}},
		{"two flows", 3, func(r *rand.Rand) (Ladder, []float64) {
			lnf := priorFilter(r)
			m := leastExponent + (mostExponent-leastExponent)*r.Float64()
			return fromPrior(r, 2, 2000, lnf, func(l *Ladder, leak [4][4][]float64) {
				for c := range l.Rungs {
					for w := range l.Rungs[c].Wearings {
						e := &l.Rungs[c].Wearings[w].Exercises[1]
						e.FlowFactor = 2
						e.Inside = poisson(r, 2000*(throughAt(math.Exp(lnf), 2, m)+leak[c][w][1]*math.Pow(2, leakExponent)))
					}
				}
			}, nil, nil)
		}},
		{"size channels", 3, func(r *rand.Rand) (Ladder, []float64) {
			lnf := priorFilter(r)
			k := steepnessAt(r.Float64())
			return fromPrior(r, 1, 4000, lnf, func(l *Ladder, leak [4][4][]float64) {
				for c := range l.Rungs {
					for w := range l.Rungs[c].Wearings {
						e := &l.Rungs[c].Wearings[w].Exercises[0]
						e.Coarse = &Channel{Ambient: poisson(r, 1500), Inside: poisson(r, 1500*(math.Exp(k*lnf)+leak[c][w][0]))}
					}
				}
			}, nil, nil)
		}},
		{"shared donnings", 5, func(r *rand.Rand) (Ladder, []float64) {
			share := 1 - math.Exp2(-float64(1+r.IntN(shares)))
			var donning [4]float64
			for i := range donning {
				donning[i] = math.Sqrt(share) * r.NormFloat64()
			}
			return fromPrior(r, 1, 4000, priorFilter(r), nil, func(_, w int) (float64, string) {
				return donning[w] + math.Sqrt(1-share)*r.NormFloat64(), fmt.Sprint("d", w)
			}, nil)
		}},
		{"specimens", 5, func(r *rand.Rand) (Ladder, []float64) {
			middle := priorFilter(r)
			s := math.Abs(SpecimenScatter * r.NormFloat64())
			var f [2]float64
			for i := range f {
				for f[i] = 0; f[i] > math.Log(FilterMost); {
					f[i] = middle + s*r.NormFloat64()
				}
			}
			return fromPrior(r, 1, 4000, (f[0]+f[1])/2, nil, nil, func(w int) (float64, string) { return f[w%2], fmt.Sprint("s", w%2) })
		}},
	}
}

// below finds the posterior probability of less than the truth.
func (s *solution) ranks(truth []float64) []float64 {
	part := func(v []float64, x float64) float64 {
		n := 0
		for _, y := range v {
			if y < x {
				n++
			}
		}
		return (float64(n) + 0.5) / float64(len(v)+1)
	}
	out := []float64{part(s.draws.lnf, truth[0]), part(s.draws.lnd, truth[1])}
	if s.walked == "" {
		out[0], out[1] = s.under[0].f.below(truth[0]), s.under[0].d.below(truth[1])
	}
	for c, x := range truth[2:] {
		out = append(out, part(s.draws.leak[c], x))
	}
	return out
}

func (m marginal) below(v float64) float64 {
	i := sort.SearchFloat64s(m.x, v)
	if i == 0 {
		return 0
	}
	if i == len(m.x) {
		return 1
	}
	return m.cum[i-1] + (m.cum[i]-m.cum[i-1])*(v-m.x[i-1])/(m.x[i]-m.x[i-1])
}

// Simulation-based calibration (Talts et al. 2018, Validating Bayesian inference
// algorithms with simulation-based calibration; from memory): with truths from
// the prior, the posterior probability of less than the truth is uniform.
func TestTheAnswersAreCalibrated(t *testing.T) {
	names := []string{"ln f", "scatter", "L0", "L1", "L2", "L3"}
	for _, v := range variants() {
		if !strings.Contains(v.name, *only) {
			continue
		}
		r := rand.New(rand.NewPCG(8, 15))
		bins := make([][10]int, len(names))
		inside, failed, n := make([]int, len(names)), 0, 0
		want := *rounds
		if want == 0 {
			want = v.few
		}
		for range want {
			l, truth := v.draw(r)
			s := ready(&l, []Prior{Base()}).solve([]Prior{Base()})
			if s.failed != "" {
				failed++
				t.Log(s.failed, s.walked, len(s.under[0].t.lnf))
				continue
			}
			n++
			for i, p := range s.ranks(truth) {
				bins[i][min(int(p*10), 9)]++
				if p > 0.025 && p < 0.975 {
					inside[i]++
				}
			}
		}
		for i, name := range names {
			x := 0.0
			for _, k := range bins[i] {
				e := float64(n) / 10
				x += (float64(k) - e) * (float64(k) - e) / e
			}
			p := distuv.ChiSquared{K: 9}.Survival(x)
			cover := float64(inside[i]) / float64(n)
			t.Logf("%-26s %-8s rounds %d (%d not settled): coverage of 95 %%: %.3f, chi-square p %.3f, bins %v", v.name, name, n, failed, cover, p, bins[i])
			// the few rounds of an ordinary test only catch what is grossly wrong: 48
			// figures are looked at, so four and a half standard errors
			slack := 4.5 * math.Sqrt(0.95*0.05/float64(n))
			if n >= 250 {
				slack = 3 * math.Sqrt(0.95*0.05/float64(n))
			}
			if n >= 50 && p < 0.001 || math.Abs(cover-0.95) > math.Max(0.02, slack) {
				t.Errorf("%s, %s: not calibrated", v.name, name)
			}
		}
	}
}
