package medium

import (
	"math"
	"testing"
)

func TestALeakTakesAShareThatFallsWithFlow(t *testing.T) {
	// 90 Pa at 85 L/min, 1 % at 30 L/min; scipy's brentq on the same equation.
	r := Resistance(90.0 / 85)
	for _, c := range []struct {
		n, a   float64
		shares map[float64]float64 // per cent
	}{
		{0.5, 0.053497, map[float64]float64{10: 1.7257, 15: 1.4113, 30: 1.0000, 60: 0.7081, 85: 0.5953, 95: 0.5632}},
		{0.64, 0.033012, map[float64]float64{10: 1.4805, 15: 1.2811, 30: 1.0000, 60: 0.7803, 85: 0.6887, 95: 0.6618}},
		{1, 0.0095398, map[float64]float64{10: 1, 15: 1, 30: 1, 60: 1, 85: 1, 95: 1}},
	} {
		leak, err := r.LeakOf(0.01, c.n, 30)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "coefficient", leak.Coefficient, c.a, 2e-5)
		for flow, want := range c.shares {
			got, err := r.Share(leak, flow)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "share", 100*got.Leak, want, 1e-4)
		}
	}
	leak, _ := r.LeakOf(0.01, 0.5, 30)
	for flow, dp := range map[float64]float64{10: 10.406, 30: 31.447, 85: 89.464, 95: 100.022} { // brentq
		got, _ := r.Share(leak, flow)
		near(t, "pressure", float64(got.Pressure), dp, 6e-5)
	}
	// Halving the filter's resistance cuts the leak at an equal gap.
	whole, _ := r.Share(leak, 30)
	half, _ := (r / 2).Share(leak, 30)
	if !(half.Leak < whole.Leak) {
		t.Errorf("half the resistance leaks %.4g, the whole %.4g", half.Leak, whole.Leak)
	}
	near(t, "1 mm2 at 30 Pa", OrificeFlow(1, 30), 0.254, 1e-3)     // 0.6 A sqrt(2 dP/rho), Python
	near(t, "0.5 mm2 at 30 Pa", OrificeFlow(0.5, 30), 0.127, 1e-3) // the same
}

func TestFilterAndLeakAddUpAndComeApartAgain(t *testing.T) {
	for _, c := range []struct{ filter, leak, ff float64 }{{0.02, 0.01, 33.557}, {0.005, 0.001, 166.806}, {0, 0.01, 100}} { // Python
		ff := 1 / Inward(c.filter, c.leak, 1)
		near(t, "fit factor", ff, c.ff, 2e-5)
		share, ok := LeakShare(ff, c.filter, 1)
		near(t, "leak", share, c.leak, 1e-9)
		if !ok {
			t.Error("a leak that is there should be resolvable")
		}
	}
	if share, ok := LeakShare(100, 0.02, 1); ok || share != 0 {
		t.Errorf("a filter that lets in more than all: %v, %v", share, ok)
	}
}

func TestAMixedCaseFallsLessWithFlowThanTheFilterAlone(t *testing.T) {
	// Filter 1 % at 40 L/min with m 0.35, leak 1 % at 20 L/min with n 0.6; Python.
	last := math.Inf(1)
	for _, c := range []struct{ q, filter, leak, ff float64 }{{20, 0.002824, 0.01, 78.15}, {40, 0.01, 0.007579, 57.134}, {80, 0.026967, 0.005743, 30.717}} {
		filter := math.Exp(math.Log(0.01) * math.Pow(40/c.q, 0.35))
		leak := 0.01 * math.Pow(c.q/20, 0.6-1)
		near(t, "filter", filter, c.filter, 3e-4)
		near(t, "leak", leak, c.leak, 3e-4)
		ff := 1 / Inward(filter, leak, 1)
		near(t, "fit factor", ff, c.ff, 2e-4)
		if ff > last {
			t.Error("should fall")
		}
		last = ff
	}
}

func TestLeaksOutsideTheModelAreRefused(t *testing.T) {
	r := Resistance(1)
	for _, l := range []Leak{{-1, 0.5}, {1, 0.3}, {1, 2}, {math.NaN(), 0.5}} {
		_, err := r.Share(l, 30)
		wantCode(t, err, "E733")
	}
	_, err := Resistance(0).Share(Leak{1, 0.5}, 30)
	wantCode(t, err, "E733")
	_, err = r.LeakOf(1, 0.5, 30)
	wantCode(t, err, "E733")
	_, err = r.LeakOf(0.1, 0.5, 0)
	wantCode(t, err, "E724")
}
