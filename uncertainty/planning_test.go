package uncertainty

import (
	"math"
	"testing"
)

func TestAnytimeHalfWidths(t *testing.T) {
	for _, c := range []struct {
		n       int
		r, want float64
	}{ // R
		{1, 1, 3.6563949}, {5, 1, 1.3667384}, {10, 1, .96064019}, {50, 1, .4499279}, {100, 1, .32730186}, {1000, 1, .11363591},
		{1, .3, 8.5794522}, {5, .3, 2.0249983}, {10, .3, 1.1833711}, {50, .3, .43373914}, {100, .3, .30357224}, {1000, .3, .10304861},
	} {
		near(t, "half width", AnytimeHalfWidth(c.n, 1, c.r, 0.95), c.want, 5e-8)
	}
}

func TestAnytimeIntervalsHoldHoweverOftenOneLooks(t *testing.T) {
	// Simulated, seeded: 2000 runs looked at after each of 200 wearings.
	r := newRand(8)
	missed, missedFixed := 0, 0
	for range 2000 {
		var sum float64
		bad, badFixed := false, false
		for n := 1; n <= 200; n++ {
			sum += r.NormFloat64()
			m := math.Abs(sum / float64(n))
			bad = bad || m > AnytimeHalfWidth(n, 1, 1, 0.95)
			badFixed = badFixed || m > 1.96/math.Sqrt(float64(n))
		}
		if bad {
			missed++
		}
		if badFixed {
			missedFixed++
		}
	}
	t.Logf("missed in %d of 2000 runs; the fixed interval in %d", missed, missedFixed)
	if missed > 100 || missedFixed < 500 {
		t.Errorf("missed in %d of 2000 runs; the fixed interval in %d", missed, missedFixed)
	}
	e := RepeatsAnytime(five, 2, 0.95)
	near(t, "five wearings", e.High/e.Value, math.Exp(1.3667384*math.Ln2), 1e-7)
}

func TestSequentialTest(t *testing.T) {
	s := NewSPRT(0.05, 0.10) // R
	near(t, "upper", s.Upper, 2.8903718, 2e-8)
	near(t, "lower", s.Lower, -2.2512918, 1e-8)
	first, second := s.ExpectedNormal(1) // ln(100/50)/ln 2
	near(t, "under first", first, 3.988, 1.3e-4)
	near(t, "under second", second, 4.752, 1.1e-4)
	slope, upper, lower := s.BinomialLines(0.05, 0.20)
	near(t, "slope", slope, 0.1102916, 5e-7)
	near(t, "upper line", upper, 1.8550087, 3e-8)
	near(t, "lower line", lower, -1.4448542, 4e-8)
	// By hand: each value of ln 100 adds (ln 2)(ln 100 - ln sqrt 5000)/(ln 2)^2 = 1/2.
	l := LogRatioNormal([]float64{math.Log(100), math.Log(100)}, math.Log(50), math.Log(100), math.Ln2)
	near(t, "log ratio", l, 1, 1e-12)
	if s.Decide(l) != GoOn || s.Decide(3) != TakeSecond || s.Decide(-3) != TakeFirst {
		t.Error("decisions")
	}
}

func TestPowerTable(t *testing.T) {
	// R power.t.test(delta = log fold, sd = log GSD, power = .8), two-sample and
	// paired with sd of a difference sqrt(2) log GSD.
	for _, c := range []struct{ gsd, fold, two, paired float64 }{
		{1.3, 1.5, 7.66, 8.68}, {1.3, 2, 3.52, 4.50}, {1.3, 3, 2.34, 3.17},
		{1.5, 1.5, 16.71, 17.71}, {1.5, 2, 6.49, 7.51}, {1.5, 3, 3.42, 4.39},
		{2, 1.5, 46.86, 47.83}, {2, 2, 16.71, 17.71}, {2, 3, 7.35, 8.37},
	} {
		two := Trial{GSD: c.gsd, Alpha: 0.05}.Needed(c.fold, 0.8)
		paired := Trial{GSD: c.gsd, Alpha: 0.05, Paired: true}.Needed(c.fold, 0.8)
		if math.Abs(two-c.two) > 0.0051 || math.Abs(paired-c.paired) > 0.0051 {
			t.Errorf("GSD %v, %v-fold: %.4f and %.4f, want %v and %v", c.gsd, c.fold, two, paired, c.two, c.paired)
		}
	}
	e := Trial{GSD: math.E, Alpha: 0.05}
	near(t, "R's example of power", e.Power(20, math.E), .8689528, 6e-8)
	near(t, "R's example of n", e.Needed(math.E, 0.9), 22.021098, 3e-7)
	for _, c := range []struct{ gsd, n, fold float64 }{{2, 3, 8.40}, {2, 5, 4.07}, {1.5, 3, 3.47}, {1.5, 5, 2.27}} {
		if got := (Trial{GSD: c.gsd, Alpha: 0.05}).Smallest(c.n, 0.8); math.Abs(got-c.fold) > 0.0051 {
			t.Errorf("GSD %v, %v a side: %.4f-fold, want %v", c.gsd, c.n, got, c.fold)
		}
	}
	if n := (Trial{GSD: 2, Alpha: 0.05}).Needed(1, 0.8); !math.IsInf(n, 1) {
		t.Errorf("no change needs %v", n)
	}
}

func TestRanksOfFiveMasks(t *testing.T) {
	// scipy: quadrature for the chance of being best, a million draws for ranks.
	m, s := []float64{106, 98, 140, 60, 30}, []float64{.45, .40, .50, .35, .60}
	var of []Candidate
	for i := range m {
		of = append(of, Candidate{math.Log(m[i]), s[i] / math.Sqrt(5), 4})
	}
	best := []float64{.182707, .101871, .709509, .003632, .002275}
	mean := []float64{2.239, 2.512, 1.397, 3.923, 4.930}
	places := [][2]int{{1, 4}, {1, 4}, {1, 3}, {3, 5}, {4, 5}}
	var sum float64
	for i, r := range Ranks(of, 0.95) {
		sum += r.Best
		// The five scipy values, cut off in the tails, add up to 0.999994.
		if math.Abs(r.Best-best[i]) > 3e-6 || math.Abs(r.Mean-mean[i]) > 0.003 || r.Low != places[i][0] || r.High != places[i][1] {
			t.Errorf("%d: %+v; want %v, %v, %v", i, r, best[i], mean[i], places[i])
		}
	}
	near(t, "someone is best", sum, 1, 1e-12)
	for _, r := range Ranks([]Candidate{{0, 1, 5}, {0, 1, 5}}, 0.95) {
		near(t, "a tie", r.Best, 0.5, 1e-12)
	}
	if r := Ranks([]Candidate{{0, 1, 5}}, 0.95); r[0].Best != 1 || r[0].High != 1 {
		t.Errorf("alone: %+v", r)
	}
}

func TestAdjustedProbabilities(t *testing.T) {
	// Benjamini & Hochberg 1995, example (from memory): at 0.05 Bonferroni rejects 3,
	// their procedure 4. Adjusted values by R p.adjust.
	p := []float64{.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459, .3240, .4262, .5719, .6528, .7590, 1}
	count := func(adjusted []float64) (n int) {
		for _, v := range adjusted {
			if v <= 0.05 {
				n++
			}
		}
		return n
	}
	bh := BenjaminiHochberg(p)
	if count(Holm(p)) != 3 || count(bh) != 4 {
		t.Errorf("Holm %d, BH %d; want 3, 4", count(Holm(p)), count(bh))
	}
	for i, want := range []float64{.0015, .0030, .0095, .0356, .0603, .0639} {
		if math.Abs(bh[i]-want) > 5.1e-5 {
			t.Errorf("adjusted %d: %v, want %v", i, bh[i], want)
		}
	}
	reversed := BenjaminiHochberg([]float64{1, .0004, .0001})
	if reversed[0] != 1 || reversed[2] > reversed[1] {
		t.Errorf("order must not matter: %v", reversed)
	}
}
