package aerosol

import (
	"errors"
	"math"
	"testing"

	"telltale/fault"
	"telltale/quantity"
)

// near fails when got differs from want by more than a share tol of want.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s = %.6g, want %.6g within %.2g", what, got, want, tol)
	}
}

func gas(t *testing.T, s Slip, celsius, kPa float64) Gas {
	t.Helper()
	g, err := NewGas(s, quantity.Celsius(celsius), quantity.Pressure(kPa*1000))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func TestViscosityAndFreePathFollowISO15900(t *testing.T) {
	// Computed with a short numpy script from the ISO 15900 forms; the row at 23 C is
	// the standard's printed state (18.3245, 67.30).
	for _, c := range []struct{ celsius, kPa, mu, path float64 }{
		{0, 101.325, 1.7205, 60.686}, {20, 101.325, 1.8181, 66.434}, {23, 101.325, 1.8325, 67.300},
		{25, 101.325, 1.8420, 67.878}, {30, 101.325, 1.8657, 69.325}, {20, 90, 1.8181, 74.793}, {20, 84, 1.8181, 80.136},
	} {
		g := gas(t, ISO15900, c.celsius, c.kPa)
		near(t, "viscosity", float64(g.Viscosity())*1e5, c.mu, 5e-5)
		near(t, "free path", float64(g.FreePath()), c.path, 2e-5)
	}
}

func TestConventionsAgreeWithinFourPerCent(t *testing.T) {
	// An open-source aerosol library's own test expects 65.2806 nm at 298 K for a
	// molar mass of 0.03 kg/mol (read); conventions differ by 2-4 %.
	for _, s := range []Slip{Davies, AllenRaabe, ISO15900} {
		near(t, s.String(), float64(gas(t, s, 24.85, 101.325).FreePath()), 65.2805868, 0.04)
	}
}

func TestSlipDiffusionSettlingAndMobilityOfTheTextbookTable(t *testing.T) {
	// 293.15 K, 1.81e-5 Pa s, 66 nm, unit density; ISO slip with 67.3 nm (23 C).
	// Computed with numpy from the printed constants.
	textbook, davies, iso := RoomAir(), gas(t, Davies, 20, 101.325), gas(t, ISO15900, 23, 101.325)
	for _, c := range []struct{ d, davies, allen, iso, diff, settle, mob, z float64 }{
		{0.001, 219.3, 224.3, 222.3, 5.322e-6, 6.755e-9, 1.315e15, 2.107},
		{0.01, 22.45, 22.98, 22.72, 5.451e-8, 6.918e-8, 1.347e13, 2.158e-2},
		{0.02, 11.53, 11.80, 11.64, 1.400e-8, 1.421e-7, 3.459e12, 5.542e-3},
		{0.05, 5.015, 5.120, 5.034, 2.430e-9, 3.854e-7, 6.003e11, 9.618e-4},
		{0.1, 2.889, 2.928, 2.878, 6.947e-10, 8.817e-7, 1.717e11, 2.750e-4},
		{0.2, 1.879, 1.878, 1.858, 2.228e-10, 2.262e-6, 5.506e10, 8.821e-5},
		{0.3, 1.568, 1.554, 1.546, 1.229e-10, 4.211e-6, 3.037e10, 4.865e-5},
		{0.5, 1.333, 1.316, 1.317, 6.245e-11, 9.907e-6, 1.543e10, 2.472e-5},
		{1, 1.166, 1.155, 1.157, 2.739e-11, 3.477e-5, 6.768e9, 1.084e-5},
		{2, 1.083, 1.077, 1.078, 1.278e-11, 1.297e-4, 3.157e9, 5.059e-6},
		{5, 1.033, 1.031, 1.031, 4.892e-12, 7.760e-4, 1.209e9, 1.936e-6},
		{10, 1.017, 1.015, 1.016, 2.409e-12, 3.058e-3, 5.953e8, 9.537e-7},
	} {
		d := quantity.Diameter(c.d)
		near(t, "Davies slip", davies.Cunningham(d), c.davies, 5e-4)
		near(t, "Allen-Raabe slip", textbook.Cunningham(d), c.allen, 5e-4)
		near(t, "ISO slip", iso.Cunningham(d), c.iso, 5e-4)
		near(t, "diffusion", float64(textbook.Diffusion(d)), c.diff, 5e-4)
		v, err := textbook.Settling(d, UnitDensity)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "settling", float64(v)/100, c.settle, 5e-4)
		near(t, "mobility", float64(textbook.Mobility(d)), c.mob, 5e-4)
		near(t, "electrical mobility", float64(textbook.ElectricalMobility(d, 1)), c.z, 5e-4)
	}
}

func TestHandbookAnchorsWithinTwoPerCent(t *testing.T) {
	// Textbook appendix, 20 C, unit density (from memory).
	g := RoomAir()
	near(t, "Cc(0.1 um)", g.Cunningham(0.1), 2.9, 0.02)
	near(t, "D(0.1 um)", float64(g.Diffusion(0.1)), 6.9e-10, 0.02)
	for d, want := range map[quantity.Diameter]float64{1: 3.5e-5, 10: 3.06e-3} {
		v, _ := g.Settling(d, UnitDensity)
		near(t, "settling", float64(v)/100, want, 0.02)
	}
	near(t, "Cc(1 um)", g.Cunningham(1), 1.15, 0.02) // a university's aerosol-transport course (read)
}

func TestMobilityMatchesThePublishedTableOfAMobilitySizer(t *testing.T) {
	// Midpoint mobility of singly charged spheres, theory appendix of a mobility-sizer
	// manual (read); it uses gas constants of its own, hence 0.7 %.
	g := gas(t, ISO15900, 23, 101.325)
	for nm, z := range map[float64]float64{10.75: 1.815e-2, 29.43: 2.539e-3, 52.33: 8.532e-4, 80.58: 3.885e-4, 93.06: 3.014e-4} {
		near(t, "mobility", float64(g.ElectricalMobility(quantity.Nanometres(nm), 1)), z, 0.007)
	}
}

func TestGasOutsideItsRangeIsRefusedWithTheRange(t *testing.T) {
	for _, c := range []struct {
		celsius, kPa float64
		code         string
	}{{-60, 101, "E701"}, {200, 101, "E701"}, {math.NaN(), 101, "E701"}, {20, 5, "E702"}, {20, 500, "E702"}, {20, math.NaN(), "E702"}} {
		_, err := NewGas(ISO15900, quantity.Celsius(c.celsius), quantity.Pressure(c.kPa*1000))
		wantCode(t, err, c.code)
	}
	_, err := RoomAir().Settling(200, UnitDensity)
	wantCode(t, err, "E703")
}

func wantCode(t *testing.T, err error, code string) {
	t.Helper()
	var f *fault.Fault
	if !errors.As(err, &f) || f.Code != code || f.Do == "" {
		t.Errorf("got %v, want fault %s with what to do", err, code)
	}
}

func TestBoltzmannChargesLeaveFewerNeutralAsSizesGrow(t *testing.T) {
	// Against the bipolar equilibrium of the same manual (read): 0.4304 neutral at
	// 93.06 nm, 0.4654 at 80.58. Boltzmann equilibrium is known to be near from about
	// 50 nm up and to overstate neutrals below; 0.04 is the size of that difference.
	g := gas(t, ISO15900, 23, 101.325)
	for nm, neutral := range map[float64]float64{80.58: 0.4654, 93.06: 0.4304} {
		if got := g.Charges(quantity.Nanometres(nm), 12)[0]; math.Abs(got-neutral) > 0.04 {
			t.Errorf("neutral share at %.2f nm = %.4f, want %.4f", nm, got, neutral)
		}
	}
	for _, d := range []quantity.Diameter{0.005, 0.05, 0.5, 5} {
		sum := 0.0
		for _, p := range g.Charges(d, 40) {
			sum += p
		}
		near(t, "sum of charge shares", sum, 1, 1e-12)
	}
}
