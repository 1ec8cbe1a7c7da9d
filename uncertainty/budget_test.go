package uncertainty

import (
	"math"
	"testing"
)

func TestGuideEndGauge(t *testing.T) {
	// JCGM 100:2008, H.1: u_c 32 nm, 16 degrees of freedom, U99 93 nm (read in an
	// uncertainty program's tests; components from memory).
	b := Budget{{"standard", 25, 18, Bell}, {"differences", 9.7, 25.6, Bell}, {"expansion", 2.9, 50, Bell}, {"temperature", 16.6, 2, Bell}}
	u, dof := b.Combined()
	if math.Round(u) != 32 || math.Floor(dof) != 16 {
		t.Errorf("u %v, dof %v; want 32, 16", u, dof)
	}
	// 2.92078 is t(0.995, 16), R qt.
	near(t, "t", studentQuantile(0.005, 16), 2.92078, 2e-6)
	if got := studentQuantile(0.005, math.Floor(dof)) * u; math.Round(got) != 93 {
		t.Errorf("U99 %v, want 93", got)
	}
}

func TestGuideResistanceAndReactance(t *testing.T) {
	// JCGM 100:2008, H.2, table H.4 (read in an uncertainty program's tests; readings
	// from memory); further digits by numpy.
	means, cov := MeansOf([][]float64{
		{5.007, 4.994, 5.005, 4.990, 4.999},
		{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3},
		{1.0456, 1.0438, 1.0468, 1.0428, 1.0433},
	})
	v, i, f := means[0], means[1], means[2]
	j := [][]float64{
		{math.Cos(f) / i, -v * math.Cos(f) / i / i, -v * math.Sin(f) / i},
		{math.Sin(f) / i, -v * math.Sin(f) / i / i, v * math.Cos(f) / i},
		{1 / i, -v / i / i, 0},
	}
	out := Propagate(j, cov)
	u := func(k int) float64 { return math.Sqrt(out[k][k]) }
	r := func(a, b int) float64 { return out[a][b] / u(a) / u(b) }
	for _, c := range []struct {
		name           string
		got, want, rel float64
	}{
		{"R", v * math.Cos(f) / i, 127.73217, 4e-8}, {"X", v * math.Sin(f) / i, 219.84651, 3e-8}, {"Z", v / i, 254.25970, 2e-8},
		{"u(R)", u(0), .0710714, 7e-7}, {"u(X)", u(1), .2955817, 2e-7}, {"u(Z)", u(2), .2363361, 3e-7},
		{"r(R,X)", r(0, 1), -.5884, 1e-4}, {"r(R,Z)", r(0, 2), -.4853, 1.1e-4}, {"r(X,Z)", r(1, 2), .9925, 6e-5},
	} {
		near(t, c.name, c.got, c.want, c.rel)
	}
}

func TestRatioBudget(t *testing.T) {
	// X1/X2 times Y: published 0.6967, u 0.00494, dof 27.7, U95 0.0101 (read in an
	// uncertainty program's tests); further digits by scipy.
	b := Budget{{"x1", .00093 / .1820, 9, Bell}, {"x2", .00058 / .1823, 19, Bell}, {"y", .0026 / .6978, 19, Bell}}
	y := .1820 / .1823 * .6978
	u, dof := b.Combined()
	near(t, "value", y, .69665167, 1e-8)
	near(t, "u", y*u, .00493180, 1e-6)
	near(t, "dof", dof, 27.5127, 2e-6)
	near(t, "U95", y*b.Expanded(0.95), .01011041, 5e-7)
}

func TestBudgetDistributionKnowsShapes(t *testing.T) {
	box := Budget{Within("drift", 1)}
	// By hand: 0.95 of a box of half width 1; the t formula would give 1.13, outside it.
	low, high := box.Distribution().Interval(0.95)
	if math.Abs(high-0.95) > 1e-12 || math.Abs(low+0.95) > 1e-12 || box.Expanded(0.95) < 1.1 {
		t.Errorf("box: %v to %v, expanded %v", low, high, box.Expanded(0.95))
	}
	for _, s := range []Shape{Box, Tent, UShaped, Bell} {
		d := Budget{{"a", 0.3, 0, s}, {"b", 0.4, 0, s}}.Distribution()
		near(t, string(s), d.SD(), 0.5, 1e-12) // 3-4-5
	}
	e := Budget{{"counter", 0.1, math.Inf(1), Bell}}.Apply(200, 0.95)
	near(t, "applied", e.High, 200*math.Exp(0.1959964), 1e-7)
}

func TestGuideVoltageStandard(t *testing.T) {
	// JCGM 100:2008, H.5 (from memory: s_B 43, u 18 uV, F 2.25 against 2.12, from
	// rounded sds); further digits by scipy. Each day's five values are made here to
	// have the day's mean and sd: -1 -1 0 1 1 has a sum of squares of four.
	means := []float64{172, 116, 13, 144, 106, 31, 60, 125, 163, 41}
	sds := []float64{60, 77, 111, 101, 67, 93, 80, 73, 88, 86}
	var days [][]float64
	for i, m := range means {
		s := sds[i]
		days = append(days, []float64{m - s, m - s, m, m + s, m + s})
	}
	a := AnovaOf(days)
	near(t, "F", a.F, 2.26152, 3e-6)
	near(t, "P", a.P, .0373968, 2e-6)
	near(t, "F at 0.05", fisherQuantile(0.05, 9, 40), 2.124029, 3e-7)
	c := ComponentsByAnova(days)
	near(t, "mean", c.Mean, 97.1, 1e-14)
	near(t, "s_b", math.Sqrt(c.Within), 84.887, 1e-5)
	near(t, "s_B", c.BetweenSD.Value, 42.6386, 2e-6)
	near(t, "u", c.MeanSE, 18.0533, 3e-6)
}
