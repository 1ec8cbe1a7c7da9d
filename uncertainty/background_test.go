package uncertainty

import (
	"math"
	"testing"
)

func TestCurrieLimitsForAPairedBlank(t *testing.T) {
	// Currie 1968, formulas and constants from memory; values computed by R.
	for _, c := range []struct{ b, critical, detection, quantification float64 }{
		{0, 0, 2.7055, 100}, {25, 11.631, 25.967, 136.60}, {100, 23.262, 49.229, 200}, {400, 46.523, 95.753, 337.23},
	} {
		l := Currie(Counted{c.b, 60}, 60, 0.05)
		near(t, "critical", l.Critical, c.critical, 5e-5)
		near(t, "detection", l.Detection, c.detection, 5e-5)
		near(t, "quantification", l.Quantification, c.quantification, 5e-5)
	}
	long := Currie(Counted{1000, 600}, 60, 0.05)
	// By hand: 100 expected in the sample, variance 100 + 1000/100 = 110.
	near(t, "long blank", long.Critical, 1.6448536*math.Sqrt(110), 1e-7)
}

func TestOnOffSignificance(t *testing.T) {
	// Cousins, Linnemann & Tucker 2008, table 1 (from memory), reproduced by R pbeta.
	for _, c := range []struct{ on, off, tau, z, liMa float64 }{
		{4, 5, 5, 1.664, 1.947}, {6, 18.78, 14.44, 2.630, 2.815}, {9, 17.83, 4.69, 1.817, 1.989},
		{17, 40.11, 10.56, 4.458, 4.575}, {50, 55, 2, 2.933, 3.023}, {67, 15, .5, 2.894, 3.043},
		{200, 10, .1, 2.201, 2.382}, {523, 2327, 5.99, 5.933, 5.952},
		{498426, 493434, 1, 5.011, 5.012}, {2119449, 23650096, 11.21, 6.404, 6.405},
	} {
		got := OnOff(Counted{c.on, 1}, Counted{c.off, c.tau})
		if math.Abs(got.Z-c.z) > 0.00051 || math.Abs(got.LiMa-c.liMa) > 0.00051 {
			t.Errorf("%v of %v: Z %.4f (want %.3f), S %.4f (want %.3f)", c.on, c.off, got.Z, c.z, got.LiMa, c.liMa)
		}
	}
	got := OnOff(Counted{13, 1}, Counted{11, 2})
	near(t, "excess", got.Excess, 7.5, 1e-15)                                 // by hand: 13 - 11/2
	near(t, "S", got.LiMa, 2.092832368, 5e-10)                                // R; a gamma-ray astronomy manual prints 2.09
	near(t, "P", OnOff(Counted{4, 1}, Counted{5, 5}).P, 0.04802149221, 5e-10) // R binom.test(4, 9, 1/6, "greater")
}

func TestOnOffNeverClipsAndNeverBreaks(t *testing.T) {
	below := OnOff(Counted{2, 1}, Counted{20, 2})
	if below.Excess != -8 || below.LiMa >= 0 || below.P < 0.99 {
		t.Errorf("a sample below its background: %+v", below)
	}
	for _, c := range [][2]float64{{0, 0}, {0, 5}, {5, 0}, {math.NaN(), 1}} {
		got := OnOff(Counted{c[0], 1}, Counted{c[1], 1})
		if math.IsNaN(got.P) || math.IsNaN(got.LiMa) {
			t.Errorf("%v: %+v", c, got)
		}
	}
}
