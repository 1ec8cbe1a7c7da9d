package uncertainty

import (
	"math"
	"strings"
	"testing"
)

func TestToleranceFactorsAgreeWithRAndScipy(t *testing.T) {
	for _, c := range []struct {
		n                 int
		share, conf, want float64
		digits            float64 // half a unit of the last digit given
	}{
		// R qt with ncp and scipy nct; the classic table rounds to three decimals.
		{43, .90, .99, 1.8739536, 5e-8},
		{3, .95, .95, 7.6559, 5e-5}, {4, .95, .95, 5.14387, 5e-6}, {5, .95, .95, 4.20268, 5e-6},
		{6, .95, .95, 3.70768, 5e-6}, {10, .95, .95, 2.91096, 5e-6}, {20, .95, .95, 2.396, 5e-4},
		{5, .90, .90, 2.74235, 5e-6}, {10, .90, .95, 2.35464, 5e-6}, {5, .90, .95, 3.40663, 5e-6}, {30, .99, .95, 3.0639, 5e-5},
	} {
		if got := ToleranceFactor(c.n, c.share, c.conf); math.Abs(got-c.want) > c.digits {
			t.Errorf("n %d, share %v, confidence %v: %.8f, want %v", c.n, c.share, c.conf, got, c.want)
		}
	}
	if !math.IsNaN(ToleranceFactor(1, .9, .95)) {
		t.Error("one value must have no factor")
	}
}

func TestToleranceFactorsOfTheWholeTable(t *testing.T) {
	// R 4.2.2 qt; R warns of lost precision at large n: good to 1e-4.
	n := column(t, "one_sided_normal_k.csv", 1, 0)
	p, conf, k := column(t, "one_sided_normal_k.csv", 1, 1), column(t, "one_sided_normal_k.csv", 1, 2), column(t, "one_sided_normal_k.csv", 1, 3)
	var worst float64
	for i := range n {
		got := ToleranceFactor(int(n[i]), p[i], conf[i])
		worst = math.Max(worst, math.Abs(got-k[i]))
		if math.Abs(got-k[i]) > 1e-4 {
			t.Errorf("n %v, share %v, confidence %v: %.7f, want %v", n[i], p[i], conf[i], got, k[i])
		}
	}
	t.Logf("%d rows, largest difference %.2g", len(n), worst)
}

func TestNoncentralTOfZeroShiftIsStudents(t *testing.T) {
	for _, dof := range []float64{1, 2.5, 9, 200} {
		for _, x := range []float64{-3, 0, 0.7, 4} {
			near(t, "CDF", noncentralT(x, dof, 0), 1-studentAbove(x, dof), 1e-12)
		}
	}
}

// logs takes logarithms of plain values, with no error within.
func logs(values ...float64) []LogValue {
	out := make([]LogValue, len(values))
	for i, v := range values {
		out[i].Ln = math.Log(v)
	}
	return out
}

var five = logs(85, 120, 64, 210, 98)

func TestFiveWearings(t *testing.T) {
	// R: t, chi-square, prediction and noncentral t on the logs of five values.
	e := Repeats(five, 0.95)
	near(t, "geometric mean", e.Value, 106.0828, 5e-7)
	near(t, "low", e.Low, 61.04555, 1e-7)
	near(t, "high", e.High, 184.34705, 5e-8)
	s := Spread(five, 0.95)
	near(t, "GSD", s.Value, 1.5605649, 5e-8)
	near(t, "GSD low", s.Low, 1.305574, 5e-7)
	near(t, "GSD high", s.High, 3.592577, 5e-7)
	near(t, "next", NextAtLeast(five, 0.95).Low, 37.520616, 5e-8)
	near(t, "95/90", MostAtLeast(five, 0.90, 0.95).Low, 23.29, 3e-4)
	near(t, "95/95", MostAtLeast(five, 0.95, 0.95).Low, 16.34, 3e-4)
	b := ShareBelow(five, 50, 0.95)
	near(t, "share low", b.Low, 0.00101, 6e-3)
	near(t, "share high", b.High, 0.408, 2e-3)
}

func TestRepeatsAreNeverNarrowerThanTheirOwnErrors(t *testing.T) {
	alike := []LogValue{{math.Log(100), 0.2}, {math.Log(100), 0.2}, {math.Log(100), 0.2}, {math.Log(100), 0.2}}
	e := Repeats(alike, 0.95)
	// By hand: se of the mean 0.2/2 = 0.1; exp(1.959964 * 0.1).
	near(t, "high", e.High, 100*math.Exp(0.1959964), 1e-7)
	if len(e.Caveats) == 0 {
		t.Error("the floor must be said")
	}
	if next := NextAtLeast(alike, 0.95); !(next.Low < 100*math.Exp(-1.64*0.2)) {
		t.Errorf("the next wearing cannot be better known than one wearing: %+v", next)
	}
}

func TestFewWearings(t *testing.T) {
	one := Repeats([]LogValue{{math.Log(100), 0.1}}, 0.95)
	near(t, "one wearing", one.Low, 100*math.Exp(-0.1959964), 1e-7) // by hand
	if one.Kind != Interval || !strings.HasPrefix(one.Caveats[0], "this wearing only") {
		t.Errorf("one wearing: %+v", one)
	}
	bare := Repeats(logs(100), 0.95)
	if bare.Kind != Unknown || !(math.Abs(bare.Value-100) < 1e-9) || !math.IsNaN(bare.Low) {
		t.Errorf("one wearing without an error: %+v", bare)
	}
	if e := Repeats(nil, 0.95); e.Kind != Unknown {
		t.Errorf("none: %+v", e)
	}
	for _, e := range []Estimate{Spread(logs(5), .95), NextAtLeast(logs(5), .95), MostAtLeast(logs(5), .9, .95), ShareBelow(logs(5), 4, .95)} {
		if e.Kind != Unknown || len(e.Caveats) == 0 {
			t.Errorf("from one wearing: %+v", e)
		}
	}
	two := Repeats(logs(50, 200), 0.95)
	if !(two.High/two.Low > 1e5) || len(two.Caveats) == 0 { // t(0.975, 1) = 12.7 on a log sd of 0.98
		t.Errorf("two wearings must be wide and say so: %+v", two)
	}
}

func TestBoundsEnteringAPoolGiveABound(t *testing.T) {
	a := New(100, 80, 125, 0.95, "")
	b := New(120, 90, 160, 0.95, "")
	floor := NewAtLeast(4000, 0.95, "")
	ceiling := NewAtMost(50, 0.90, "")
	none := NewUnknown(0.95, "", "nothing")
	for _, c := range []struct {
		name  string
		in    []Estimate
		kind  Kind
		level float64
	}{
		{"two-sided", []Estimate{a, b}, Interval, .95},
		{"one at least", []Estimate{a, b, floor}, AtLeast, .95},
		{"one at most", []Estimate{a, b, ceiling}, AtMost, .90},
		{"both kinds", []Estimate{a, floor, ceiling}, Unknown, .95},
		{"all at least", []Estimate{floor, NewAtLeast(3000, 0.9, "")}, AtLeast, .90},
		{"one left out", []Estimate{a, b, none}, Interval, .95},
		{"nothing", []Estimate{none}, Unknown, .95},
		{"no wearing", nil, Unknown, .95},
	} {
		e := RepeatsWithBounds(c.in, 0.95)
		if e.Kind != c.kind || e.Level != c.level {
			t.Errorf("%s: kind %s level %v, want %s %v", c.name, e.Kind, e.Level, c.kind, c.level)
		}
		if c.kind != Interval && !math.IsNaN(e.Value) {
			t.Errorf("%s: a number beside a bound: %+v", c.name, e)
		}
		if c.name != "two-sided" && len(e.Caveats) == 0 {
			t.Errorf("%s: nothing said", c.name)
		}
	}
	if e := RepeatsWithBounds([]Estimate{floor, NewAtLeast(3000, 0.95, "")}, 0.95); math.Abs(e.Low-3000) > 1e-9 {
		t.Errorf("all bounds: %+v, want the weakest", e)
	}
	// By hand: logs of 100, 120 and 4000; the lower one-sided t limit with 2 dof.
	e := RepeatsWithBounds([]Estimate{a, b, floor}, 0.95)
	m := MomentsOf([]float64{math.Log(100), math.Log(120), math.Log(4000)})
	near(t, "mixed", e.Low, math.Exp(m.Mean-2.919986*m.SD/math.Sqrt(3)), 1e-6)
}

func TestBoundsKeepTheirLevel(t *testing.T) {
	// Simulated, seeded: wearings of log sd 0.5 about 0, read as "at least c" above
	// c. The lower bound must lie below the true mean in 95 of 100 pools.
	for _, cut := range []float64{-0.3, 0.3, 0.8} {
		held, rounds := 0, 4000
		r := newRand(11)
		for range rounds {
			var in []Estimate
			for range 5 {
				x := 0.5 * r.NormFloat64()
				if x > cut {
					in = append(in, NewAtLeast(math.Exp(cut), 0.95, ""))
				} else {
					in = append(in, New(math.Exp(x), math.Exp(x-.01), math.Exp(x+.01), 0.95, ""))
				}
			}
			e := RepeatsWithBounds(in, 0.95)
			if e.Low <= 1 {
				held++
			}
		}
		share := float64(held) / float64(rounds)
		t.Logf("cut %.1f: held in %.3f", cut, share)
		if cut <= 0.3 && share < 0.945 {
			t.Errorf("cut %.1f: held in %.3f", cut, share)
		}
	}
}

func TestChangeBetweenWearings(t *testing.T) {
	// R t.test on the logs.
	after := logs(300, 410, 190, 520, 260)
	c := ChangeBetween(five, after, 0.95)
	near(t, "t", c.T, 4.1163238, 2e-8)
	near(t, "dof", c.DOF, 7.875738, 1e-7)
	near(t, "p", c.P, .0034761648, 1e-8)
	near(t, "ratio", c.Ratio.Value, 2.98045, 2e-6)
	near(t, "low", c.Ratio.Low, 1.61381, 4e-6)
	near(t, "high", c.Ratio.High, 5.50441, 1e-6)
	p := ChangePaired(five, after, 0.95)
	near(t, "paired p", p.P, 9.298691e-05, 1e-7)
	near(t, "paired low", p.Ratio.Low, 2.46101, 3e-6)
	near(t, "paired high", p.Ratio.High, 3.60953, 2e-6)
}

func TestChangeOfTheSleepData(t *testing.T) {
	// Student's sleep data as in R's documentation; R t.test. The values are taken
	// as logs already.
	raw := func(v ...float64) []LogValue {
		out := make([]LogValue, len(v))
		for i := range v {
			out[i].Ln = v[i]
		}
		return out
	}
	one := raw(0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0)
	two := raw(1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4)
	c := ChangeBetween(two, one, 0.95)
	near(t, "t", c.T, -1.8608135, 3e-8)
	near(t, "dof", c.DOF, 17.776474, 3e-8)
	near(t, "p", c.P, .07939414, 1e-7)
	near(t, "low", math.Log(c.Ratio.Low), -3.3654832, 2e-8)
	near(t, "high", math.Log(c.Ratio.High), 0.2054832, 3e-7)
	p := ChangePaired(two, one, 0.95)
	near(t, "paired t", p.T, -4.0621277, 2e-8)
	near(t, "paired p", p.P, .0028328902, 2e-8)
	near(t, "paired low", math.Log(p.Ratio.Low), -2.4598858, 3e-8)
	near(t, "paired high", math.Log(p.Ratio.High), -0.7001142, 6e-8)
}

func TestChangeFromTooFewWearingsIsUnknown(t *testing.T) {
	c := ChangeBetween(logs(100), logs(200, 210), 0.95)
	if c.Ratio.Kind != Unknown || len(c.Ratio.Caveats) == 0 {
		t.Errorf("%+v", c)
	}
	same := ChangeBetween(logs(5, 5), logs(5, 5), 0.95)
	if !math.IsNaN(same.P) || len(same.Ratio.Caveats) == 0 {
		t.Errorf("no scatter: %+v", same)
	}
}
