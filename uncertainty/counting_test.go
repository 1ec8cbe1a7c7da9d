package uncertainty

import (
	"math"
	"testing"
)

func TestExactRatioIntervalAgreesWithPublishedAndOtherPrograms(t *testing.T) {
	for _, c := range []struct {
		name              string
		x, y              Counted
		ratio, low, high  float64
		relRatio, relEnds float64
	}{
		// Gu et al. 2008, example 1 (read in a statistics library's tests, there
		// from R exactci): every digit printed.
		{"Gu 1", Counted{60, 51477.5}, Counted{30, 54308.7}, 2.109998, 1.339735721772650, 3.388365573616252, 1e-5, 2e-15},
		// Rothman's fluoroscopy cohort; R poisson.test.
		{"fluoroscopy", Counted{41, 28010}, Counted{15, 19017}, 1.855758658, 1.005684063, 3.609300311, 1e-9, 5e-10},
		// R's help example of poisson.test.
		{"help page", Counted{11, 800}, Counted{21, 3011}, 1.971488095, 0.8584264034, 4.2772659437, 1e-9, 1e-10},
		// R poisson.test.
		{"tester", Counted{12345, 60}, Counted{87, 60}, 141.897, 114.9415958, 177.2895610, 1e-5, 5e-10},
		{"three inside", Counted{12345, 60}, Counted{3, 60}, 4115, 1407.74864, 19956.75929, 1e-12, 5e-9},
		// R poisson.test, printed to 15 digits. R turns a share p near one into
		// p/(1-p), which costs it the digits that the tolerance leaves out; the next
		// test holds ours against a closed form.
		{"5000/50", Counted{5000, 60}, Counted{50, 60}, 100, 75.7305399074899, 134.917853242712, 1e-14, 2e-14},
		{"120/1", Counted{120, 60}, Counted{1, 60}, 120, 21.1306923732079, 4778.74473226594, 1e-14, 3e-13},
		{"3/2", Counted{3, 60}, Counted{2, 60}, 1.5, 0.171828492555022, 17.9591608300221, 1e-14, 5e-15},
	} {
		e := RatioExact(c.x, c.y, 0.95)
		near(t, c.name+" ratio", e.Value, c.ratio, c.relRatio)
		near(t, c.name+" low", e.Low, c.low, c.relEnds)
		near(t, c.name+" high", e.High, c.high, c.relEnds)
		if e.Kind != Interval {
			t.Errorf("%s: kind %s", c.name, e.Kind)
		}
	}
}

func TestRatioTableOfR(t *testing.T) {
	// R 4.2.2 poisson.test. Its two-sided lower end for no counts inside is our
	// one-sided bound at 0.975. R loses digits where the share is near one, hence
	// the tolerance.
	rows := labelled(t, "poisson_ratio_exact.csv")
	if len(rows) < 8 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		var v [8]float64
		if row[0] == "0" { // nothing outside: R has a bound from above, or nothing
			e := RatioExact(Counted{0, number(t, row[1])}, Counted{number(t, row[2]), number(t, row[3])}, 0.95)
			if e.Kind != Unknown {
				t.Errorf("%v: %+v", row, e)
			}
			continue
		}
		for i := range v {
			v[i] = number(t, row[i])
		}
		x, y := Counted{v[0], v[1]}, Counted{v[2], v[3]}
		if p := TestRatio(x, y, 1).TwoSided; v[7] > 1e-300 || p > 1e-300 { // else below what a number holds
			near(t, "two-sided p", p, v[7], 1e-11)
		}
		if y.Count == 0 {
			near(t, "bound", RatioExact(x, y, 0.975).Low, v[5], 1e-11)
			continue
		}
		e := RatioExact(x, y, 0.95)
		near(t, "ratio", e.Value, v[4], 1e-14)
		near(t, "low", e.Low, v[5], 1e-12)
		near(t, "high", e.High, v[6], 1e-12)
	}
}

func TestUpperEndWithOneCountInsideIsAClosedForm(t *testing.T) {
	// By hand: P(X <= x) = 1 - p^(x+1) at y = 1, so p = 0.975^(1/(x+1)).
	for _, x := range []float64{1, 120, 12345, 4e6} {
		l := math.Log1p(-0.025) / (x + 1)
		near(t, "high", RatioExact(Counted{x, 1}, Counted{1, 1}, 0.95).High, math.Exp(l)/-math.Expm1(l), 2e-15)
	}
}

func TestMidPRatioInterval(t *testing.T) {
	for _, c := range []struct {
		name           string
		x, y           Counted
		low, high, rel float64
	}{
		// R, root of the binomial mid-p.
		{"fluoroscopy", Counted{41, 28010}, Counted{15, 19017}, 1.041075243, 3.449422761, 5e-10},
		{"tester", Counted{12345, 60}, Counted{87, 60}, 115.5111135, 176.2143062, 5e-10},
		{"three inside", Counted{12345, 60}, Counted{3, 60}, 1511.739725, 16179.500628, 5e-10},
	} {
		e := RatioMidP(c.x, c.y, 0.95)
		near(t, c.name+" low", e.Low, c.low, c.rel)
		near(t, c.name+" high", e.High, c.high, c.rel)
	}
}

func TestGammaRatioInterval(t *testing.T) {
	// R qf and scipy f.ppf.
	e := RatioGamma(Counted{12345, 60}, Counted{87, 60}, Jeffreys, 0.95)
	near(t, "low", e.Low, 115.5412074, 5e-10)
	near(t, "median", e.Value, 141.6267815, 5e-10)
	near(t, "high", e.High, 176.1515462, 5e-10)
	near(t, "P(ratio >= 100)", RatioGammaAbove(Counted{12345, 60}, Counted{87, 60}, Jeffreys, 100), 0.9997035181, 1e-10)
	e = RatioGamma(Counted{12345, 60}, Counted{3, 60}, Jeffreys, 0.95)
	near(t, "low of 3", e.Low, 1541.613543, 5e-10)
	near(t, "median of 3", e.Value, 3890.807076, 5e-10)
	near(t, "high of 3", e.High, 14612.169550, 5e-10)
}

func TestNoCountsInsideGivesOnlyALowerBound(t *testing.T) {
	x, none := Counted{12345, 60}, Counted{0, 60}
	for _, c := range []struct {
		name string
		e    Estimate
		low  float64
	}{
		// R poisson.test alternative "greater"; qbeta; qf.
		{"exact", RatioExact(x, none, 0.95), 4120.362258},
		{"mid-p", RatioMidP(x, none, 0.95), 5360.865395},
		{"Jeffreys", RatioGamma(x, none, Jeffreys, 0.95), 6426.875956},
		{"flat", RatioGamma(x, none, Flat, 0.95), 4120.696066},
		{"500 in 30 s", RatioExact(Counted{500, 30}, Counted{0, 120}, 0.95), 665.6183985},
	} {
		if c.e.Kind != AtLeast || !math.IsNaN(c.e.High) || !math.IsNaN(c.e.Value) || len(c.e.Caveats) == 0 {
			t.Errorf("%s: %+v is not a bare lower bound", c.name, c.e)
		}
		near(t, c.name, c.e.Low, c.low, 5e-10)
	}
}

func TestNothingOutsideOrUnsoundCountsGiveUnknown(t *testing.T) {
	for _, c := range []struct{ x, y Counted }{
		{Counted{0, 60}, Counted{5, 60}},
		{Counted{0, 60}, Counted{0, 60}},
		{Counted{-1, 60}, Counted{5, 60}},
		{Counted{5, 0}, Counted{5, 60}},
		{Counted{5, 60}, Counted{math.NaN(), 60}},
		{Counted{math.Inf(1), 60}, Counted{5, 60}},
	} {
		for _, e := range []Estimate{RatioExact(c.x, c.y, 0.95), RatioMidP(c.x, c.y, 0.95), RatioGamma(c.x, c.y, Jeffreys, 0.95)} {
			if e.Kind != Unknown || len(e.Caveats) == 0 {
				t.Errorf("%v over %v: %+v", c.x, c.y, e)
			}
		}
	}
}

func TestEffectiveCountsWidenTheInterval(t *testing.T) {
	whole := RatioExact(Counted{1000, 60}, Counted{40, 60}, 0.95)
	between := RatioExact(Counted{500, 60}, Counted{20.5, 60}, 0.95)
	half := RatioExact(Counted{500, 60}, Counted{20, 60}, 0.95)
	if !(half.Low < whole.Low && half.High > whole.High) {
		t.Errorf("half the counts must be wider: %+v, %+v", half, whole)
	}
	if !(between.Low < half.Low && between.High < half.High) {
		t.Errorf("more inside must lower both ends: %+v, %+v", between, half)
	}
}

func TestRatioTestProbabilities(t *testing.T) {
	gu := func(ratio float64) RatioTest { return TestRatio(Counted{60, 51477.5}, Counted{30, 54308.7}, ratio) }
	for _, c := range []struct {
		name           string
		got, want, rel float64
	}{
		// Gu et al. 2008, example 1 (read in a statistics library's tests).
		{"two-sided", gu(1).TwoSided, 0.0006751826586863219, 1e-13},
		{"greater", gu(1.2).Greater, 0.006651774552714537, 1e-13},
		{"less", gu(1.2).Less, 0.9964625674930079, 1e-14},
		{"mid-p greater", gu(1.2).MidPGreater, 0.005094603529853, 2e-13},
		{"mid-p less", gu(1.2).MidPLess, 0.994905396470147, 1e-14},
		// R poisson.test.
		{"fluoroscopy", TestRatio(Counted{41, 28010}, Counted{15, 19017}, 1).TwoSided, 0.04085202629, 5e-10},
		{"help page", TestRatio(Counted{11, 800}, Counted{21, 3011}, 1).TwoSided, 0.07966863, 5e-8},
		{"120 to 1", TestRatio(Counted{120, 60}, Counted{1, 60}, 1).TwoSided, 9.17825989122049e-35, 1e-12},
		{"37 to 0", TestRatio(Counted{37, 60}, Counted{0, 60}, 1).TwoSided, 1.45519152283669e-11, 1e-13},
		{"3 to 2", TestRatio(Counted{3, 60}, Counted{2, 60}, 1).TwoSided, 1, 0},
	} {
		near(t, c.name, c.got, c.want, c.rel)
	}
}

func TestGarwoodInterval(t *testing.T) {
	for _, c := range []struct{ k, low, high float64 }{
		// R poisson.test(k), to ten digits; the same as Garwood's table (from memory).
		{0, 0, 3.688879454}, {1, 0.02531780798, 5.571643391}, {2, 0.2422092785, 7.224687668},
		{3, 0.6186721229, 8.76727307}, {5, 1.62348639, 11.66833208}, {10, 4.795388696, 18.39035604},
		{20, 12.21651959, 30.8883779}, {100, 81.36399125, 121.6267938},
	} {
		e := Rate(c.k, 2, 0.95)
		near(t, "low", e.Low*2, c.low, 5e-10)
		near(t, "high", e.High*2, c.high, 5e-10)
	}
	near(t, "one-sided, none seen", RateAtMost(0, 1, 0.95).High, 2.995732274, 5e-10) // -ln 0.05
	a, b, c := Rate(2, 1, 0.95), Rate(2.5, 1, 0.95), Rate(3, 1, 0.95)
	if !(a.Low < b.Low && b.Low < c.Low && a.High < b.High && b.High < c.High) {
		t.Errorf("a fractional count must lie between its neighbours: %v %v %v", a, b, c)
	}
}

// coverage adds the probability of all pairs of counts whose interval holds the
// true ratio: no simulation.
func coverage(outside, inside float64, interval func(x, y Counted, level float64) Estimate) float64 {
	truth := outside / inside
	var sum float64
	spread := 6 * math.Sqrt(outside)
	for y := 0.0; y < inside+9*math.Sqrt(inside)+12; y++ {
		py := math.Exp(-inside + y*math.Log(inside) - lgamma(y+1))
		for x := math.Max(1, math.Floor(outside-spread)); x < outside+spread; x++ {
			e := interval(Counted{x, 1}, Counted{y, 1}, 0.95)
			if e.Low <= truth && !(e.High < truth) {
				sum += py * math.Exp(-outside+x*math.Log(outside)-lgamma(x+1))
			}
		}
	}
	return sum
}

func lgamma(x float64) float64 { v, _ := math.Lgamma(x); return v }

func TestIntervalsKeepTheirPromiseByEnumeration(t *testing.T) {
	// scipy, exact enumeration. Only rows where no counts inside are next to
	// impossible, or out of the bound's reach, can be compared: there ours is
	// one-sided.
	for _, c := range []struct{ outside, inside, exact, midP, jeffreys float64 }{
		{1000, 10, .96760, .94921, .94668},
		{1000, 30, .95987, .95072, .94968},
	} {
		near(t, "exact", coverage(c.outside, c.inside, RatioExact), c.exact, 2e-5)
		near(t, "mid-p", coverage(c.outside, c.inside, RatioMidP), c.midP, 2e-5)
		near(t, "Jeffreys", coverage(c.outside, c.inside, func(x, y Counted, l float64) Estimate {
			return RatioGamma(x, y, Jeffreys, l)
		}), c.jeffreys, 2e-5)
	}
	near(t, "exact at 5", coverage(1000, 5, RatioExact), .97814, 2e-5)
	near(t, "exact at 1", coverage(1000, 1, RatioExact), .98106, 2e-5)
	for _, inside := range []float64{0.5, 2, 3, 3.1, 3.5, 8} {
		// One error side at 0.025, the other at 0.05 where no count came.
		if got := coverage(300, inside, RatioExact); got < 0.925 {
			t.Errorf("%v expected inside: covers %.5f", inside, got)
		}
	}
}

func TestPropertiesOfRatioIntervals(t *testing.T) {
	r := newRand(21)
	wide := func(lo, hi float64) float64 { return math.Exp(math.Log(lo) + r.Float64()*math.Log(hi/lo)) }
	for range 5000 {
		x, y := Counted{wide(0.1, 1e9), wide(1e-3, 1e5)}, Counted{wide(0.1, 1e9), wide(1e-3, 1e5)}
		level := []float64{0.5, 0.8, 0.95, 0.999, 0.999999}[r.IntN(5)]
		for _, rule := range []func(x, y Counted, level float64) Estimate{RatioExact, RatioMidP} {
			e := rule(x, y, level)
			if !(e.Low > 0 && e.Low <= e.Value && e.Value <= e.High && !math.IsInf(e.High, 0)) {
				t.Fatalf("%v over %v at %v: %+v", x, y, level, e)
			}
			swapped := rule(y, x, level)
			near(t, "swapped low", 1/swapped.High, e.Low, 1e-11)
			near(t, "swapped high", 1/swapped.Low, e.High, 1e-11)
			more := rule(x, Counted{y.Count * 1.01, y.Exposure}, level)
			if !(more.Low < e.Low && more.High < e.High) {
				t.Fatalf("%v over %v at %v: more inside raised an end: %+v, %+v", x, y, level, e, more)
			}
			longer := rule(x, Counted{y.Count, 3 * y.Exposure}, level)
			near(t, "three times the exposure", longer.Low, 3*e.Low, 1e-14)
		}
		if g := RatioGamma(x, y, Jeffreys, level); !(g.Low > 0 && g.Low < g.Value && g.Value < g.High && !math.IsInf(g.High, 0)) {
			t.Fatalf("%v over %v at %v: %+v", x, y, level, g)
		}
		if k := Rate(y.Count, y.Exposure, level); !(k.Low >= 0 && k.Low < k.Value && k.Value < k.High && !math.IsInf(k.High, 0)) {
			t.Fatalf("%v at %v: %+v", y, level, k)
		}
	}
}
