package attribution

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

func readCounts(t testing.TB, name string) [][]float64 {
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out [][]float64
	for _, r := range rows[1:] {
		var v []float64
		for _, s := range r {
			x, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			v = append(v, x)
		}
		out = append(out, v)
	}
	return out
}

// asLadder makes a ladder of rows (rung, wearing, ..., ambient, inside).
func asLadder(rows [][]float64) Ladder {
	var l Ladder
	for _, r := range rows {
		for len(l.Rungs) <= int(r[0]) {
			l.Rungs = append(l.Rungs, Rung{Repairs: climb[len(l.Rungs)]})
		}
		g := &l.Rungs[int(r[0])]
		for len(g.Wearings) <= int(r[1]) {
			g.Wearings = append(g.Wearings, Wearing{})
		}
		w := &g.Wearings[int(r[1])]
		w.Exercises = append(w.Exercises, Exercise{Ambient: r[len(r)-2], Inside: r[len(r)-1], FlowFactor: 1})
	}
	return l
}

// known holds quantiles at 2.5, 5, 50, 95 and 97.5 %.
type known struct {
	name string
	want [5]float64
	got  func(p float64) float64
}

var levels = [5]float64{0.025, 0.05, 0.5, 0.95, 0.975}

func compareQuantiles(t *testing.T, all []known, middle, tails float64) {
	t.Helper()
	for _, k := range all {
		for i, p := range levels {
			tol := tails
			if p == 0.5 {
				tol = middle
			}
			if got := k.got(p); math.Abs(got/k.want[i]-1) > tol {
				t.Errorf("%s at %g: got %.6f, want %.6f within %g", k.name, p, got, k.want[i], tol)
			} else {
				t.Logf("%s at %g: %.6f against %.6f (%+.2f %%)", k.name, p, got, k.want[i], 100*(got/k.want[i]-1))
			}
		}
	}
}

func solved(l Ladder) *solution {
	priors := append([]Prior{Base()}, Variants()...)
	return ready(&l, priors).solve(priors)
}

func (s *solution) leakAt(c int) func(p float64) float64 {
	q := order(s.draws.leak[c], nil)
	return func(p float64) float64 { return math.Exp(q.at(p)) }
}

func quantileOf(m marginal) func(p float64) float64 {
	return func(p float64) float64 { return math.Exp(m.quantile(p)) }
}

// The posterior of the frozen ladder. The counts are in testdata/ladder_data.csv.
// f, sigma and the leaks: mean of JAGS 4.3.1 (ESS > 20,000) and Stan (rstan
// 2.21.7, n_eff > 21,000), which differ by up to 1.4 % in the tails of f.
func TestTotalsMatchTheSamplers(t *testing.T) {
	s := solved(asLadder(readCounts(t, "ladder_data.csv")))
	q := s.under[0]
	compareQuantiles(t, []known{
		{"f", [5]float64{.0010915, .0016645, .007624, .0124595, .012988}, quantileOf(q.f)},
		{"scatter", [5]float64{.181495, .2006305, .3478, .642322, .7253}, quantileOf(q.d)},
		{"L0", [5]float64{.027998, .030799, .0453435, .0622925, .06707}, s.leakAt(0)},
		{"L1", [5]float64{.015728, .017482, .0273845, .0387985, .041526}, s.leakAt(1)},
		{"L2", [5]float64{.0033195, .0039985, .00957, .016882, .018217}, s.leakAt(2)},
		{"L3", [5]float64{.0003435, .0006145, .005058, .0116105, .0126635}, s.leakAt(3)},
	}, 0.005, 0.02)
	// numpy quadrature on 240 x 90 x 240 x 600 points: -83.2657, with priors that
	// are not normalised for their cuts: f below 0.5 (probability 0.98406) and the
	// scatter in 0.02 ... 2.5 (probability 0.97685). By hand: 0.0161 + 0.0234.
	if want := -83.2657 + 0.0161 + 0.0234; math.Abs(q.lnML-want) > 0.01 {
		t.Errorf("log marginal likelihood %.4f, want %.4f", q.lnML, want)
	}
	// P(L_c > f) and the Bayes factor of a sealed last rung, same programs (the
	// factor: numpy quadrature, 1.146).
	for c, want := range []float64{.99992, .99604, .5974, .3794} {
		got := s.chance(func(i int) bool { return s.draws.leak[c][i] > s.draws.lnf[i] }).Value
		if math.Abs(got-want) > 0.004 {
			t.Errorf("P(L%d > f) = %.4f, want %.4f", c, got, want)
		}
	}
	for c, want := range []float64{.9629, .9986, .9684} {
		got := s.chance(func(i int) bool { return s.draws.leak[c+1][i] < s.draws.leak[c][i] }).Value
		if math.Abs(got-want) > 0.003 {
			t.Errorf("P(L%d < L%d) = %.4f, want %.4f", c+1, c, got, want)
		}
	}
	if got := s.sealed[0][3]; math.Abs(got-1.146) > 0.01 {
		t.Errorf("Bayes factor of a sealed last rung %.3f, want 1.146", got)
	}
}

// The exercise level: JAGS 4.3.1, minimal ESS 12,415; counts in
// testdata/ladder_exercises.csv.
func TestExercisesMatchTheSampler(t *testing.T) {
	rows := readCounts(t, "ladder_exercises.csv")
	s := solved(asLadder(rows))
	q := s.under[0]
	l := func(v ...float64) [5]float64 {
		var out [5]float64
		for i, x := range v {
			out[i] = math.Exp(x)
		}
		return out
	}
	compareQuantiles(t, []known{
		{"f", [5]float64{.00763, .008443, .01139, .01327, .0136}, quantileOf(q.f)},
		{"wearing scatter", [5]float64{.2213, .2554, .4686, .8182, .9094}, quantileOf(q.d)},
		{"exercise scatter", [5]float64{.3622, .3778, .4746, .5988, .6270}, quantileOf(q.e)},
		{"L0", l(-3.550, -3.437, -2.962, -2.528, -2.423), s.leakAt(0)},
		{"L1", l(-4.594, -4.473, -3.960, -3.501, -3.397), s.leakAt(1)},
		{"L2", l(-5.772, -5.627, -4.969, -4.414, -4.303), s.leakAt(2)},
	}, 0.01, 0.03)
	// The sampler's own error at the 2.5 % point of the sealed rung: sd of a
	// quantile = sqrt(p(1-p)/ESS)/density = sqrt(.0244/12415)/.025 = 0.056 in ln L.
	compareQuantiles(t, []known{{"L3", l(-9.423, -8.964, -6.895, -5.522, -5.316), s.leakAt(3)}}, 0.01, 0.04)

	whole := sums(asLadder(rows))
	w := solved(whole).under[0].f
	wide := w.quantile(.975) - w.quantile(.025)
	narrow := q.f.quantile(.975) - q.f.quantile(.025)
	t.Logf("95 %% interval of ln f: %.3f by totals, %.3f by exercises", wide, narrow)
	if narrow > 0.55*wide { // JAGS: 1.17 and 0.58
		t.Errorf("the exercises narrow ln f from %.3f to %.3f only", wide, narrow)
	}
}

// sums adds the exercises of each wearing up.
func sums(l Ladder) Ladder {
	var out Ladder
	for _, g := range l.Rungs {
		h := Rung{Repairs: g.Repairs}
		for _, w := range g.Wearings {
			e := Exercise{}
			for _, x := range w.Exercises {
				e.Ambient += x.Ambient
				e.Inside += x.Inside
			}
			w.Exercises = []Exercise{e}
			h.Wearings = append(h.Wearings, w)
		}
		out.Rungs = append(out.Rungs, h)
	}
	return out
}
