package uncertainty

import (
	"math"
	"math/rand/v2"
	"testing"
)

func frozen(t *testing.T) []float64 {
	v := column(t, "ar1_08_seed12345.txt", 0, 0)
	if len(v) != 600 {
		t.Fatalf("%d values", len(v))
	}
	return v
}

func TestAutocorrelationTimesOfAFrozenSeries(t *testing.T) {
	// numpy and emcee 3.1.4 (Sokal), R coda::effectiveSize (autoregression). The
	// truth is 9.
	v := frozen(t)
	m := MomentsOf(v)
	near(t, "mean", m.Mean, -0.05386993828, 1e-9)
	near(t, "variance", m.SD*m.SD, 2.8278244347, 1e-10)
	near(t, "lag 1", m.Lag1, 0.8047840867, 1e-10)
	tau, window := TimeSokal(v, 5)
	near(t, "Sokal", tau, 5.124622880, 1e-10)
	if window != 26 {
		t.Errorf("window %d, want 26", window)
	}
	near(t, "Geyer", TimeGeyer(v), 7.182080700, 1e-10)
	tau, _ = TimeAR(v)
	near(t, "effective size by autoregression", 600/tau, 64.79113, 1e-7)
}

func TestBlockLengthOfAFrozenSeries(t *testing.T) {
	b := BlockLengthOf(frozen(t)) // numpy
	if b.Lag != 7 || b.Bandwidth != 14 {
		t.Errorf("lag %d, bandwidth %d; want 7, 14", b.Lag, b.Bandwidth)
	}
	near(t, "stationary", b.Stationary, 16.24869451, 1e-9)
	near(t, "circular", b.Circular, 18.60011203, 1e-9)
}

func TestDispersionOfCounts(t *testing.T) {
	d := Dispersion([]float64{3, 7, 2, 9, 14, 1, 0, 6, 5, 12, 4, 3}) // scipy chi2.sf
	near(t, "D", d.D, 37.63636364, 1e-9)
	near(t, "P", d.P, 9.009470949e-05, 1e-9)
	near(t, "variance/mean", d.VarianceMean, 3.421487603, 1e-9)
	if Dispersion(nil).P != 1 || Dispersion([]float64{0, 0, 0}).P != 1 {
		t.Error("nothing counted must not look overdispersed")
	}
}

func TestCosinesAreOrthonormalAndBlindToAConstant(t *testing.T) {
	const n = 57
	for j := 1; j < n; j += 7 {
		wave := make([]float64, n)
		for i := range wave {
			wave[i] = 3 + math.Sqrt(2.0/n)*math.Cos(math.Pi*float64(j)*(float64(i)+0.5)/n)
		}
		for k := 1; k < n; k += 7 {
			want := 0.0
			if j == k {
				want = 1
			}
			if got := cosineProjection(wave, 0, k); math.Abs(got-want) > 1e-11 {
				t.Errorf("wave %d on cosine %d: %v", j, k, got)
			}
		}
	}
	v, dof := LongRun([]float64{5, 5, 5, 5}, 2)
	if v > 1e-30 || dof != 2 {
		t.Errorf("constant: %v, %v", v, dof)
	}
}

func TestAllCosinesGiveTheSampleVariance(t *testing.T) {
	// By hand: the n-1 cosines and the constant are a full basis, so all of them
	// give s^2/n with n-1 degrees of freedom, whatever the values.
	v := frozen(t)
	got, dof := LongRun(v, len(v)-1)
	m := MomentsOf(v)
	near(t, "variance of the mean", got, m.SD*m.SD/600, 1e-11)
	if dof != 599 {
		t.Errorf("dof %v", dof)
	}
}

// autoregressive makes n values with coefficient phi from a stationary start.
func autoregressive(r *rand.Rand, n int, phi float64) []float64 {
	v := make([]float64, n)
	last := r.NormFloat64() / math.Sqrt(1-phi*phi)
	for i := range v {
		last = phi*last + r.NormFloat64()
		v[i] = last
	}
	return v
}

func TestLongRunCoverageOfCorrelatedSeries(t *testing.T) {
	// Simulated, seeded: the share of 0.95 intervals that hold the true mean, zero.
	const rounds = 2000
	for _, c := range []struct {
		n                   int
		phi                 float64
		plain, white, joint float64 // least shares asked for
	}{
		{600, 0, .94, .94, .94},
		{600, 0.5, .935, .94, .94},
		{600, 0.8, .92, .94, .94},
		{100, 0.8, .87, .92, .93},
		{60, 0.5, .92, .93, .935},
	} {
		r := rand.New(rand.NewPCG(1, uint64(c.n)))
		var plain, white, joint float64
		for range rounds {
			v := autoregressive(r, c.n, c.phi)
			mean := meanOf(v)
			inside := func(variance, dof float64) float64 {
				if math.Abs(mean) <= studentQuantile(0.025, dof)*math.Sqrt(variance) {
					return 1.0 / rounds
				}
				return 0
			}
			plain += inside(LongRun(v, 0))
			white += inside(LongRunPrewhitened(v, 0))
			if e := Series(v, 0.95); e.Low <= 0 && e.High >= 0 {
				joint += 1.0 / rounds
			}
		}
		t.Logf("n %d phi %.1f: cosine %.3f, prewhitened %.3f, Series %.3f", c.n, c.phi, plain, white, joint)
		if plain < c.plain || white < c.white || joint < c.joint {
			t.Errorf("n %d phi %.1f: cosine %.3f, prewhitened %.3f, Series %.3f", c.n, c.phi, plain, white, joint)
		}
	}
}

func TestSeriesOfLittleData(t *testing.T) {
	if e := Series(nil, 0.95); e.Kind != Unknown {
		t.Errorf("none: %+v", e)
	}
	if e := Series([]float64{3}, 0.95); e.Kind != Unknown || e.Value != 3 {
		t.Errorf("one: %+v", e)
	}
	if e := Series([]float64{3, 3, 3}, 0.95); len(e.Caveats) == 0 {
		t.Errorf("constant: %+v", e)
	}
	two := Series([]float64{1, 3}, 0.95)
	// By hand: mean 2, se 1, t(0.975, 1) = 12.706.
	if two.Value != 2 || two.High-2 < 12.706 || len(two.Caveats) == 0 {
		t.Errorf("two: %+v", two)
	}
}

func TestLongRunIsTheWrittenFormula(t *testing.T) {
	v := frozen(t)
	const b = 12
	var sum float64
	for j := 1; j <= b; j++ {
		var z float64
		for i, x := range v {
			z += x * math.Cos(math.Pi*float64(j)*(float64(i)+0.5)/600) * math.Sqrt(2.0/600)
		}
		sum += z * z
	}
	got, dof := LongRun(v, b)
	near(t, "variance of the mean", got, sum/b/600, 1e-11)
	if dof != b {
		t.Errorf("dof %v", dof)
	}
	if v, dof := LongRun([]float64{1}, 3); !math.IsNaN(v) || dof != 0 {
		t.Errorf("one value: %v, %v", v, dof)
	}
	if _, dof := LongRun([]float64{1, 2, 4}, 9); dof != 2 {
		t.Errorf("three values carry two cosines, not %v", dof)
	}
}
