package uncertainty

import (
	"math"
	"testing"
)

// one is the quotient of two plain counts over equal times.
func one(x, y float64) Quotient {
	return Quotient{Inside: []WeightedCount{{Count: y, Weight: 1 / x}}, Inflation: 1, AmbientCounts: x}
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance*math.Abs(want) {
		t.Errorf("%s: got %.10g, want %.10g", what, got, want)
	}
}

// x = 12345 ambient and y inside counts over 60 s each: exact by R 4.2.2
// poisson.test, mid-P by R pbinom with uniroot (computed).
func TestOneQuotientIsTheConditionalRatioOfTwoPoissonRates(t *testing.T) {
	for _, c := range []struct{ x, y, exactLow, exactHigh, midLow, midHigh float64 }{
		{12345, 87, 114.9415958, 177.2895610, 115.5111135, 176.2143062},
		{12345, 3, 1407.74864, 19956.75929, 1511.739725, 16179.500628},
	} {
		low, high := one(c.x, c.y).Exact(0.95)
		near(t, "exact low", 1/high, c.exactLow, 1e-9)
		near(t, "exact high", 1/low, c.exactHigh, 1e-9)
		low, high = one(c.x, c.y).MidP(0.95)
		near(t, "mid-P low", 1/high, c.midLow, 1e-8)
		near(t, "mid-P high", 1/low, c.midHigh, 1e-8)
	}
}

// R 4.2.2: poisson.test(c(12345,0), c(60,60), alternative="greater") 4120.362258;
// 500 counts in 30 s against 0 in 120 s: 665.6183985 (computed).
func TestZeroCountsGiveTheExactOneSidedBound(t *testing.T) {
	near(t, "equal times", 1/one(12345, 0).Upper(0.95), 4120.362258, 1e-9)
	q := Quotient{Inside: []WeightedCount{{0, 30.0 / 120 / 500}}, Inflation: 1, AmbientCounts: 500}
	near(t, "unequal times", 1/q.Upper(0.95), 665.6183985, 1e-9)
	if low, _ := q.Exact(0.95); !math.IsNaN(low) {
		t.Errorf("a lower limit of the penetration without a count: %v", low)
	}
	// an exact ambient level: 2.995732274 counts (R qchisq) one-sided, 3.688879454 two-sided
	exact := Quotient{Inside: []WeightedCount{{0, 1}}, Inflation: 1, AmbientCounts: math.Inf(1)}
	near(t, "one-sided", exact.Upper(0.95), 2.995732274, 1e-9)
	_, high := exact.Exact(0.95)
	near(t, "two-sided", high, 3.688879454, 1e-9)
}

// Seven exercises: gamma draws by numpy, 1e6 of them, gave 73.4465 and 84.4402
// (computed; a draw error of about 0.01). Their prior adds half a count to each
// exercise, 3.5 of 799 in all; the mid-P interval adds half a count to the sum,
// so it lies higher by the factor 1 + 3/799.
func TestSevenExercisesAgreeWithGammaDraws(t *testing.T) {
	x := []float64{9000, 9100, 8950, 9050, 9020, 8990, 9010}
	y := []float64{75, 95, 60, 150, 112, 225, 82}
	q := Quotient{Inflation: 1}
	share, mean := 0.0, 0.0
	for i := range x {
		q.Inside = append(q.Inside, WeightedCount{y[i], 1 / x[i] / 7})
		share += y[i] * y[i] / (x[i] * x[i] * x[i])
		mean += y[i] / x[i]
	}
	q.AmbientCounts = mean * mean / share
	low, high := q.MidP(0.95)
	near(t, "value", 1/q.Value(), 79.0094035479, 1e-10)
	near(t, "low", 1/high, 73.4465*(1+3.0/799), 0.0005)
	near(t, "high", 1/low, 84.4402*(1+3.0/799), 0.0005)
}

// Coverage by enumeration of both Poisson counts (the ambient one at 41 quantiles
// of equal probability): expected shares by scipy for means (1000, 3): .98767
// exact, .94802 mid-P; (1000, 5): .97814, .94590; (1000, 10): .96760, .94921
// (computed, every outcome enumerated).
func TestCoverageByEnumeration(t *testing.T) {
	const nodes = 41
	for _, c := range []struct{ x, mu, exact, midP float64 }{{1000, 3, .98767, .94802}, {1000, 5, .97814, .94590}, {1000, 10, .96760, .94921}} {
		truth := c.mu / c.x
		var exact, midP float64
		for i := range nodes {
			x := math.Round(c.x + math.Sqrt(c.x)*math.Sqrt2*math.Erfinv(2*(float64(i)+0.5)/nodes-1))
			for y := 0.0; y < 40; y++ {
				lg, _ := math.Lgamma(y + 1)
				p := math.Exp(y*math.Log(c.mu)-c.mu-lg) / nodes
				if in(truth)(one(x, y).Exact(0.95)) {
					exact += p
				}
				if in(truth)(one(x, y).MidP(0.95)) {
					midP += p
				}
			}
		}
		if math.Abs(exact-c.exact) > 0.004 || math.Abs(midP-c.midP) > 0.006 {
			t.Errorf("mean %v: exact %.4f (want %.4f), mid-P %.4f (want %.4f)", c.mu, exact, c.exact, midP, c.midP)
		}
	}
}

func in(v float64) func(low, high float64) bool {
	return func(low, high float64) bool { return (math.IsNaN(low) || low <= v) && v <= high }
}

func TestBackgroundIsSubtractedWithoutClipping(t *testing.T) {
	q := Quotient{Inside: []WeightedCount{{20, 1}}, Inflation: 1, AmbientCounts: math.Inf(1), Background: WeightedCount{30, 1}}
	if q.Value() != -10 {
		t.Errorf("value %v, want -10", q.Value())
	}
	if low, high := q.MidP(0.95); !math.IsNaN(low) || high < 0 || high > 20 {
		t.Errorf("interval %v to %v", low, high)
	}
	// 100 counts on, 25 off over equal times: the normal interval of the
	// difference is 75 +- 1.96 sqrt(125) = 53.1 to 96.9 (by hand)
	q = Quotient{Inside: []WeightedCount{{100, 1}}, Inflation: 1, AmbientCounts: math.Inf(1), Background: WeightedCount{25, 1}}
	low, high := q.MidP(0.95)
	near(t, "low", low, 53.1, 0.02)
	near(t, "high", high, 96.9, 0.02)
}

func TestInflationWidensAsItsSquareRoot(t *testing.T) {
	plain, wide := one(1e7, 1000), one(1e7, 1000)
	wide.Inflation = 9
	l1, h1 := plain.MidP(0.95)
	l9, h9 := wide.MidP(0.95)
	near(t, "ratio of widths", math.Log(h9/l9)/math.Log(h1/l1), 3, 0.02)
}
