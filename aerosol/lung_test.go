package aerosol

import (
	"math"
	"strings"
	"testing"

	"telltale/quantity"
	"telltale/reference"
)

func contains(s, part string) bool { return strings.Contains(s, part) }

func TestLungDepositionFollowsTheFittedCurve(t *testing.T) {
	// Computed with Python from the textbook's fit to ICRP 66 (coefficients from memory).
	for d, want := range map[quantity.Diameter]float64{0.01: 0.8675, 0.02: 0.7317, 0.05: 0.4419, 0.1: 0.2476, 0.2: 0.1447,
		0.3: 0.1274, 0.5: 0.1660, 1: 0.4205, 2: 0.7972, 5: 0.9469, 10: 0.8361} {
		near(t, "deposition", LungDeposition(d), want, 5e-4)
	}
	// A Boston ambient study measured the minimum at 240-275 nm (abstract, read); the
	// curve's own lies within 0.2-0.4 um, the range it names as low.
	low, at := 1.0, quantity.Diameter(0)
	for _, d := range NewGrid(0.02, 2, 200).Sizes() {
		if v := LungDeposition(d); v < low {
			low, at = v, d
		}
	}
	if at < 0.2 || at > 0.4 {
		t.Errorf("least deposition at %.3f um", float64(at))
	}
}

func TestAWholeBreathSampleReadsTooHighByTheLungsShare(t *testing.T) {
	// 1/(1 - 0.5 DF (1-phi)), Python.
	for _, c := range []struct{ df, phi, want float64 }{
		{0.15, 0.3, 1.0554}, {0.30, 0.3, 1.1173}, {0.45, 0.3, 1.1869}, {0.60, 0.3, 1.2658},
		{0.15, 0, 1.0811}, {0.30, 0, 1.1765}, {0.45, 0, 1.2903}, {0.60, 0, 1.4286},
	} {
		near(t, "inflation", Breath{0.5, c.phi}.Inflation(c.df), c.want, 1e-4)
	}
	if got := (Breath{0, 0.3}).Inflation(0.6); got != 1 {
		t.Errorf("inhalation only: %v, want 1", got)
	}
}

func TestMeanDepositionOfTheModelAirs(t *testing.T) {
	cpc := Logistic{0.02, CondensationWidth}
	// Number-weighted behind a 20 nm cut-off, numpy on 600 sizes from 5 nm to 3.2 um.
	for _, c := range []struct {
		room Room
		want float64
	}{{Aged(), 0.2368}, {Mixed(), 0.3555}, {Fresh(), 0.5362}} {
		near(t, c.room.Name, MeanDeposition(c.room.Sizes, cpc), c.want, 0.005)
		near(t, c.room.Name+" 0.3-0.5", MeanDeposition(c.room.Sizes, Channel{0.3, 0.5}), 0.133, 0.02)
	}
}

func TestCondensationEfficiencyIsHalfAtItsCutOff(t *testing.T) {
	c, err := NewCondensation(0.02)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "at D50", c.At(0.02), 0.5, 1e-12)
	near(t, "at 2 D50", c.At(0.04), 1/(1+math.Pow(2, -4)), 1e-12) // exp(-ln 2 / 0.25) = 2^-4, by hand
	_, err = NewCondensation(0.3)
	wantCode(t, err, "E710")
	_, err = NewOptical(0.02)
	wantCode(t, err, "E711")
	_, err = NewChannel(0.5, 0.3)
	wantCode(t, err, "E712")
}

func TestGormleyKennedyStaysWithinAThirdOfAPerCentOfTheExactSolution(t *testing.T) {
	// Exact: eigenvalues of the Graetz problem by finite differences in scipy
	// (3.65680, 22.3047, 56.9605, 40 terms).
	for xi, exact := range map[float64]float64{0.005: 0.9312, 0.01: 0.89343, 0.02: 0.83622, 0.05: 0.71612, 0.1: 0.57879, 0.2: 0.3953, 0.5: 0.1316, 1: 0.02114} {
		near(t, "survival", Graetz(xi), exact, 0.0033)
	}
}

func TestALineLosesSmallParticles(t *testing.T) {
	// 1.5 m, computed in Python with textbook slip.
	for _, c := range []struct {
		lpm  float64
		want map[quantity.Diameter]float64
	}{
		{0.7, map[quantity.Diameter]float64{0.01: 0.8241, 0.02: 0.9257, 0.05: 0.9759, 0.1: 0.9894, 0.3: 0.9966}},
		{0.1, map[quantity.Diameter]float64{0.01: 0.4692, 0.02: 0.7521, 0.05: 0.9160, 0.1: 0.9622, 0.3: 0.9878}},
	} {
		line, err := NewLine(1.5, 4.8, quantity.LitresPerMinute(c.lpm))
		if err != nil {
			t.Fatal(err)
		}
		for d, want := range c.want {
			near(t, "survival", line.Survival(RoomAir(), d), want, 2e-4)
		}
	}
	wide, _ := NewLine(1.5, 4.8, quantity.LitresPerMinute(0.7))
	narrow, _ := NewLine(1.5, 3.2, quantity.LitresPerMinute(0.7))
	near(t, "transit 4.8 mm", float64(wide.Transit()), 2.327, 1e-3)   // by hand, volume over flow
	near(t, "transit 3.2 mm", float64(narrow.Transit()), 1.034, 1e-3) // by hand
	w := Washout{20, quantity.LitresPerMinute(0.7)}
	near(t, "time constant", float64(w.TimeConstant()), 1.714, 1e-3) // 20/(700/60) s
	near(t, "to 1 %", float64(w.Until(0.01)), 7.89, 1e-3)
	near(t, "to 0.1 %", float64(w.Until(0.001)), 11.84, 1e-3)
	_, err := NewLine(1.5, 1, quantity.LitresPerMinute(30))
	wantCode(t, err, "E713")
	_, err = NewLine(0, 1, 1)
	wantCode(t, err, "E713")
}

func TestAStandardsAerosolIsReadInEachWayItsWordsAllow(t *testing.T) {
	for _, c := range []struct {
		agent reference.Agent
		count int
		mass  []float64 // mass medians, um
	}{
		// 0.238 um: the mass median that papers state of the 42 CFR 84 salt (read).
		{reference.Agent{Name: "NaCl", CMDum: 0.075, GSD: 1.86}, 1, []float64{0.238}},
		{reference.Agent{Name: "NaCl", MMDum: 0.6}, 2, []float64{0.6, 0.6}},
		// 0.4 exp(3 ln^2 1.82) = 1.172, Python.
		{reference.Agent{Name: "paraffin oil", CMDum: 0.4, GSD: 1.82}, 2, []float64{1.1725, 0.4}},
		{reference.Agent{Name: "paraffin oil", CMDum: 0.185, GSD: 1.6}, 1, []float64{0.3589}},
		{reference.Agent{Name: "NaCl", CMDum: 0.075, MMDum: 0.24}, 1, []float64{0.24}},
	} {
		got, err := Readings(c.agent)
		if err != nil || len(got) != c.count {
			t.Fatalf("%+v: %v, %v", c.agent, got, err)
		}
		for i, r := range got {
			near(t, r.Words, float64(r.MassMedian()), c.mass[i], 1e-3)
		}
	}
	_, err := Readings(reference.Agent{Name: "latex spheres", CMDum: 0.1, GSD: 1})
	wantCode(t, err, "E705")
	_, err = Readings(reference.Agent{Name: "NaCl"})
	wantCode(t, err, "E716")
}
