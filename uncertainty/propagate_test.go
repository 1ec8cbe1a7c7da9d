package uncertainty

import (
	"math"
	"math/rand/v2"
	"testing"
)

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 1)) }

func TestSumsOfJCGM101(t *testing.T) {
	unit := func() Input { return Rectangular(math.Sqrt(3)) } // sd 1
	for _, c := range []struct {
		name    string
		d       *Distribution
		sd, end float64
		rel     float64
	}{
		// JCGM 101:2008, 9.2.2: four normals, published 2.00 and 3.92.
		{"four normal", Sum(Normal(0, 1), Normal(0, 1), Normal(0, 1), Normal(0, 1)), 2, 3.919928, 1e-7},
		// 9.2.3: four rectangular, published 2.00 and 3.88; exact by Irwin-Hall.
		{"four rectangular", Sum(unit(), unit(), unit(), unit()), 2, 3.879406741, 2e-10},
		// 9.2.4: one ten times wider, published 10.1 and 17.0 (from memory; numpy on a
		// grid 17.0158); exact by the formula in the next test.
		{"one wide", Sum(unit(), unit(), unit(), Rectangular(10*math.Sqrt(3))), 10.148892, 17.015814100, 1e-9},
	} {
		low, high := c.d.Interval(0.95)
		near(t, c.name+" sd", c.d.SD(), c.sd, 1e-7)
		near(t, c.name+" low", low, -c.end, c.rel)
		near(t, c.name+" high", high, c.end, c.rel)
		a, b := c.d.Shortest(0.95)
		near(t, c.name+" shortest", b-a, 2*c.end, 1e-6)
	}
}

func TestOneWideRectangularByItsClosedForm(t *testing.T) {
	// The CDF of a sum of boxes of half widths a: sum over signs of
	// prod(s) ((x + s.a)+)^4 / (4! prod(2a)).
	a := [4]float64{math.Sqrt(3), math.Sqrt(3), math.Sqrt(3), 10 * math.Sqrt(3)}
	closed := func(x float64) float64 {
		var sum, scale float64 = 0, 24
		for _, w := range a {
			scale *= 2 * w
		}
		for mask := range 16 {
			y, sign := x, 1.0
			for i, w := range a {
				if mask>>i&1 == 1 {
					y, sign = y-w, -sign
				} else {
					y += w
				}
			}
			sum += sign * math.Pow(math.Max(0, y), 4)
		}
		return sum / scale
	}
	d := Sum(Rectangular(a[0]), Rectangular(a[1]), Rectangular(a[2]), Rectangular(a[3]))
	for _, x := range []float64{-20, -17.0158141, -5, 0, 3, 13, 17.0158141, 21} {
		if got, want := d.CDF(x), closed(x); math.Abs(got-want) > 1e-10 {
			t.Errorf("P(<= %v) = %.12f, want %.12f", x, got, want)
		}
	}
	near(t, "at the quantile", closed(17.015814100), 0.975, 1e-10)
}

func TestLogOfARectangular(t *testing.T) {
	// NPL report DEM-ES-011, 9.2: Y = ln X, X from 0.1 to 1.1; published -0.665,
	// 0.606, shortest -1.895 to 0.095 (by draws); exact by hand.
	d := Sum(LogRectangular(0.1, 1.1))
	near(t, "mean", d.Mean(), -.6649002929, 1e-9)
	near(t, "sd", d.SD(), .6062266974, 1e-9)
	low, high := d.Shortest(0.95)
	near(t, "shortest low", low, math.Log(0.15), 1e-9)
	near(t, "shortest high", high, math.Log(1.1), 1e-9)
}

func TestDifferenceOfLogGammasIsTheGammaRatio(t *testing.T) {
	// The same interval by a wholly different road: the incomplete beta function.
	for _, c := range []struct{ x, y float64 }{{12345, 87}, {12345, 3}, {100, 10}, {4, 2}, {50, 0.1}, {3e6, 250}} {
		want := RatioGamma(Counted{c.x, 1}, Counted{c.y, 1}, Jeffreys, 0.95)
		d := Sum(LogGamma(c.x+0.5), Scale(-1, LogGamma(c.y+0.5)))
		low, high := d.Interval(0.95)
		near(t, "low", math.Exp(low), want.Low, 1e-8)
		near(t, "median", math.Exp(d.Quantile(0.5)), want.Value, 1e-8)
		near(t, "high", math.Exp(high), want.High, 1e-8)
	}
}

// tPlusNormal is P(scale T + sd Z <= x) as an integral over the chi of the t: an
// independent way to the same number.
func tPlusNormal(x, scale, dof, sd float64) float64 {
	var sum, total float64
	for i := -4000; i <= 4000; i++ {
		y := float64(i) * 0.02 // ln of chi-square over dof
		w := math.Exp(dof / 2 * (y - math.Exp(y) + 1))
		total += w
		sum += w * normalCDF(x/math.Sqrt(scale*scale*math.Exp(-y)+sd*sd))
	}
	return sum / total
}

func TestSumWithHeavyTails(t *testing.T) {
	for _, c := range []struct{ dof, sd, tol float64 }{{1, 1, 1e-6}, {2, 0.3, 1e-6}, {3, 1, 1e-6}, {4, 0.2, 1e-6}, {7.9, 1, 1e-7}, {30, 2, 1e-8}} {
		d := Sum(StudentT(0, 1, c.dof), Normal(0, c.sd))
		for _, x := range []float64{-20, -4, -1, 0, 0.3, 2, 6, 40} {
			if got, want := d.CDF(x), tPlusNormal(x, 1, c.dof, c.sd); math.Abs(got-want) > c.tol {
				t.Errorf("dof %v, sd %v: P(<= %v) = %.9f, want %.9f", c.dof, c.sd, x, got, want)
			}
		}
	}
}

func TestSumAgreesWithDraws(t *testing.T) {
	// Fifty thousand seeded draws of a skew, a boxed, a heavy and a mixed term;
	// the share below each quantile has an sd of at most 0.0022.
	terms := []Input{Scale(-1, LogGamma(3.5)), Rectangular(0.4), StudentT(0.1, 0.2, 4),
		Mixture([]float64{3, 1}, []Input{Normal(0, 0.1), Normal(1, 0.3)})}
	d := Sum(terms...)
	r := newRand(5)
	const n = 50000
	at := map[float64]float64{}
	for _, p := range []float64{.025, .5, .9, .975} {
		at[p] = d.Quantile(p)
	}
	below := map[float64]int{}
	for range n {
		var x float64
		for _, in := range terms[:3] {
			x += in.quantile(1-r.Float64(), false)
		}
		if r.Float64() < 0.75 {
			x += 0.1 * r.NormFloat64()
		} else {
			x += 1 + 0.3*r.NormFloat64()
		}
		for p, q := range at {
			if x <= q {
				below[p]++
			}
		}
	}
	for p, k := range below {
		if got := float64(k) / n; math.Abs(got-p) > 4*math.Sqrt(p*(1-p)/n) {
			t.Errorf("%v of draws below the %v quantile", got, p)
		}
	}
}

func TestTabulatedDensity(t *testing.T) {
	var x, f []float64
	for i := -600; i <= 600; i++ {
		z := float64(i) / 100
		x, f = append(x, z), append(f, 7*math.Exp(-z*z/2))
	}
	in := Tabulated(x, f)
	// A normal drawn straight between points 0.01 apart has a variance larger by
	// some 0.01^2/6.
	near(t, "alone", Sum(in).Quantile(0.975), 1.959964, 2e-5)
	near(t, "with a normal", Sum(in, Normal(0, 1)).Quantile(0.975), 1.959964*math.Sqrt2, 2e-5)
	tent := Tabulated([]float64{-1, 0, 1}, []float64{0, 5, 0})
	for _, p := range []float64{.01, .3, .5, .8, .99} {
		if got, want := Sum(tent).Quantile(p), Sum(Triangular(1)).Quantile(p); math.Abs(got-want) > 1e-12 {
			t.Errorf("tent at %v: %v, want %v", p, got, want)
		}
	}
}

func TestSumWithoutSpreadIsAPoint(t *testing.T) {
	d := Sum(Normal(2, 0), Normal(3, 0))
	if d.Quantile(0.1) != 5 || d.CDF(4.9) != 0 || d.CDF(5) != 1 {
		t.Errorf("%v %v %v", d.Quantile(0.1), d.CDF(4.9), d.CDF(5))
	}
	if q := Sum(Normal(2, 0), Normal(0, 1)).Quantile(0.5); math.Abs(q-2) > 1e-12 {
		t.Errorf("shifted median %v", q)
	}
}

func fourTerms() *Distribution {
	return Sum(LogGamma(12345.5), Scale(-1, LogGamma(87.5)), Rectangular(0.05), StudentT(0, 0.04, 9))
}
