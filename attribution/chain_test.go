package attribution

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// The chains walk on the quadrature's tables; where both can work, they agree
// within the chains' own error.
func TestTheChainsAgreeWithTheQuadrature(t *testing.T) {
	for _, file := range []string{"ladder_data.csv", "ladder_exercises.csv"} {
		l := asLadder(readCounts(t, file))
		m := ready(&l, []Prior{Base()})
		m.keep = true
		s := m.solve([]Prior{Base()})
		if s.failed != "" {
			t.Fatalf("%s: %s", file, s.failed)
		}
		// effective samples of at least 400: a quantile at 50 % is known to
		// sqrt(0.25/400) = 0.025 of probability, one at 2.5 % to 0.008
		for _, p := range []struct{ at, slack float64 }{{0.025, 0.025}, {0.5, 0.1}, {0.975, 0.025}} {
			if got := s.under[0].f.below(s.filterAt(0, p.at)); math.Abs(got-p.at) > p.slack {
				t.Errorf("%s: the chains' %g quantile of ln f is the quadrature's %.3f", file, p.at, got)
			}
			if got := s.under[0].d.below(order(s.draws.lnd, nil).at(p.at)); math.Abs(got-p.at) > p.slack+0.03 {
				t.Errorf("%s: the chains' %g quantile of the scatter is the quadrature's %.3f", file, p.at, got)
			}
		}
	}
}

// withDonnings gives each wearing number its own donning over all rungs, or all
// their own.
func withDonnings(l Ladder, shared bool) Ladder {
	for c := range l.Rungs {
		for w := range l.Rungs[c].Wearings {
			l.Rungs[c].Wearings[w].Donning = fmt.Sprint("d", w)
			if !shared {
				l.Rungs[c].Wearings[w].Donning += fmt.Sprint("-", c)
			}
		}
	}
	return l
}

// When the luck of the donnings is large and shared, comparing within them tells
// more of a repair: the interval of the fold narrows.
func TestASharedDonningSharpensTheRepair(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	var l Ladder
	for c, leak := range []float64{0.1, 0.05} {
		l.Rungs = append(l.Rungs, Rung{Repairs: climb[c], Wearings: make([]Wearing, 4)})
		for w := range 4 {
			luck := []float64{-1, 1, 0.5, -0.5}[w]
			p := 0.001 + leak*math.Exp(luck+0.1*r.NormFloat64())
			l.Rungs[c].Wearings[w].Exercises = []Exercise{{Ambient: 20000, Inside: poisson(r, 20000*p)}}
		}
	}
	width := func(shared bool) float64 {
		res, err := Solve(withDonnings(l, shared), Options{})
		if err != nil {
			t.Fatal(err)
		}
		f := res.Rungs[1].Fold
		t.Logf("shared %v: %.2f (%.2f to %.2f), %s", shared, f.Value, f.Low, f.High, res.Method)
		return math.Log(f.High / f.Low)
	}
	if own, shared := width(false), width(true); shared > 0.7*own {
		t.Errorf("log width of the fold: %.2f with shared donnings, %.2f without", shared, own)
	}
}

// A clear difference between two specimens is seen as such and not as leak.
func TestTwoSpecimensHaveTwoFilters(t *testing.T) {
	l := asLadder(readCounts(t, "ladder_data.csv"))
	for c := range l.Rungs {
		for w := range l.Rungs[c].Wearings {
			x := &l.Rungs[c].Wearings[w]
			x.Specimen = []string{"a", "b"}[w%2]
			p := 0.02 // a filter twice as open, sealed
			if w%2 == 1 {
				p = 0.01
			}
			x.Exercises = []Exercise{{Ambient: 20000, Inside: 20000 * p}}
		}
	}
	res, err := Solve(l, Options{})
	if err != nil {
		t.Fatal(err)
	}
	// the mean of the two on the log scale: sqrt(0.02 x 0.01) = 0.0141, by hand
	if e := res.Priors[0].Filter; e.Low > 0.0141 || e.High < 0.0138 || e.High > 0.0155 {
		t.Errorf("filter %.4f (%.4f to %.4f), want about 0.0141", e.Value, e.Low, e.High)
	}
}
