package fitfactor

import (
	"math"
	"testing"

	"telltale/record"
	"telltale/uncertainty"
)

func closeTo(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance*math.Abs(want) {
		t.Errorf("%s: got %.8g, want %.8g", what, got, want)
	}
}

// of runs Of with a two-column trace of the given fit factors at 3000 per cm3.
func ofFitFactors(t *testing.T, protocolID string, labels []string, ffs []float64, lim float64) *Result {
	t.Helper()
	var pieces []piece
	for i, ff := range ffs {
		pieces = append(pieces, piece{labels[i], 60, record.Both, 3000, 3000 / ff})
	}
	r, err := Of(build(pieces...), Settings{Protocol: protocol(protocolID), Ambient: bench, Inside: bench, Limit: limit(lim)})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Harmonic means worked by hand from the rule n / (1/ff1 + 1/ff2 + ...), 29 CFR
// 1910.134 Appendix A I.C.2(b)(8) (rule from memory, arithmetic computed).
func TestTheOverallFigureIsTheHarmonicMeanWithoutGrimace(t *testing.T) {
	r := ofFitFactors(t, "us-8", eight, []float64{220, 180, 160, 150, 90, 20, 110, 210}, 100)
	closeTo(t, "overall", r.FitFactor.Value, 145.8893, 1e-6)
	if r.Verdict.Outcome != Pass {
		t.Errorf("decision %v: %s", r.Verdict.Outcome, r.Verdict.Reason)
	}
	if r.Exercises[5].Counted {
		t.Error("grimace is counted")
	}
	seven := []string{"a", "b", "c", "d", "e", "f", "g"}
	for _, c := range []struct {
		ffs  []float64
		want float64
	}{
		{[]float64{200, 150, 100, 80, 60, 50, 90}, 85.4237},
		{[]float64{1000, 1000, 1000, 1000, 1000, 1000, 10}, 66.0377},
		{[]float64{100, 100, 100, 100, 50, 100, 100}, 87.5},
		{[]float64{200, 200, 200, 200, 200, 200, 200}, 200},
		{[]float64{1000, 500, 200, 50}, 142.8571},
		{[]float64{120, 95, 150, 60, 80, 40, 110}, 78.84313},
	} {
		r := ofFitFactors(t, "free", seven, c.ffs, 100)
		closeTo(t, "overall", r.FitFactor.Value, c.want, 1e-5)
	}
}

// The United Kingdom's rule fails a wearing that the overall rule passes:
// 120, 95, 110, 130 has the harmonic mean 112.2244 (computed).
func TestEveryExerciseMustReachTheLimitWhereTheProtocolSaysSo(t *testing.T) {
	labels := []string{"normal breathing", "deep breathing", "head side to side", "head up and down", "talking", "bending over", "normal breathing"}
	ffs := []float64{400, 300, 250, 300, 60, 350, 400}
	if r := ofFitFactors(t, "jp-7", labels, ffs, 100); r.Verdict.Outcome != Pass {
		t.Errorf("overall rule: %v %s", r.Verdict.Outcome, r.Verdict.Reason)
	}
	if r := ofFitFactors(t, "uk-7", labels, ffs, 100); r.Verdict.Outcome != Fail {
		t.Errorf("every exercise: %v %s", r.Verdict.Outcome, r.Verdict.Reason)
	}
}

// Room 2000 before and 1600 after, mask 15: 120 (before only 133.33, after only
// 106.67); by hand.
func TestARoomBeforeAndAfterIsAveraged(t *testing.T) {
	tr := build(piece{"", 30, record.Ambient, 2000, 0}, piece{"", 60, record.Inside, 0, 15}, piece{"", 30, record.Ambient, 1600, 0})
	r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench})
	if err != nil {
		t.Fatal(err)
	}
	closeTo(t, "fit factor", r.FitFactor.Value, 120, 1e-12)
	if r.Verdict != nil {
		t.Error("a decision without a limit")
	}
}

// A falling room, sampled before each exercise and at the end; the fit factors and
// 127.4069 follow from the brackets by arithmetic (computed).
func TestAFallingRoomIsBracketedAtEachExercise(t *testing.T) {
	rooms := []float64{3000, 2900, 2800, 2750, 2700, 2650, 2600, 2550, 2500}
	masks := []float64{10, 12, 20, 25, 40, 90, 30, 11}
	want := []float64{295.000, 237.500, 138.750, 109.000, 66.875, 29.1667, 85.8333, 229.5455}
	var pieces []piece
	for i, m := range masks {
		pieces = append(pieces, piece{eight[i], 20, record.Ambient, rooms[i], 0}, piece{eight[i], 40, record.Inside, 0, m})
	}
	pieces = append(pieces, piece{"", 20, record.Ambient, rooms[8], 0})
	r, err := Of(build(pieces...), Settings{Protocol: protocol("us-8"), Ambient: bench, Inside: bench, Limit: limit(100)})
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range r.Exercises {
		closeTo(t, x.Name, x.FitFactor.Value, want[i], 2e-6)
	}
	closeTo(t, "overall", r.FitFactor.Value, 127.4069, 1e-6)
}

// The short protocol: room 2500 at the start and 2300 at the end, masks 18, 30,
// 22, 40: 133.333, 80, 109.091, 60, overall 87.2727 (computed).
func TestTheShortProtocolCountsItsTwoRoomSamplesOnceEach(t *testing.T) {
	tr := build(
		piece{"Bending over", 20, record.Ambient, 2500, 0}, piece{"Bending over", 30, record.Inside, 0, 18},
		piece{"Talking", 30, record.Inside, 0, 30}, piece{"Head side-to-side", 30, record.Inside, 0, 22},
		piece{"Head up-and-down", 30, record.Inside, 0, 40}, piece{"Head up-and-down", 9, record.Ambient, 2300, 0})
	r, err := Of(tr, Settings{Protocol: protocol("us-short-filtering"), Ambient: bench, Inside: bench, Limit: limit(100)})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{133.3333, 80, 109.0909, 60} {
		closeTo(t, r.Exercises[i].Name, r.Exercises[i].FitFactor.Value, want, 1e-6)
	}
	closeTo(t, "overall", r.FitFactor.Value, 87.27273, 1e-6)
	if len(r.Missing)+len(r.Extra) > 0 {
		t.Errorf("missing %v, extra %v", r.Missing, r.Extra)
	}
}

// Coincidence, implicit Poisson-arrival form (solved with scipy's Lambert W,
// computed): indicated 10 000 at 16.67 cm3/s and 0.4 us: 10742.6; 11.67 and 1 us:
// 11426.5; 100 000 at 5 cm3/s and 0.35 us: 124299.6. Near 1/e it is refused.
func TestDeadTimeFollowsThePoissonArrivalFormula(t *testing.T) {
	for _, c := range []struct{ indicated, flow, tau, want float64 }{
		{10000, 16.67, 4e-7, 10742.6}, {10000, 11.67, 1e-6, 11426.5}, {100000, 5, 3.5e-7, 124299.6},
	} {
		rate, ok := trueRate(c.indicated*c.flow, c.tau)
		if !ok {
			t.Errorf("%v refused", c)
		}
		closeTo(t, "true", rate/c.flow, c.want, 1e-5)
	}
	if _, ok := trueRate(50000*16.67, 4e-7); ok {
		t.Error("a rate near the limit was corrected")
	}
}

// Zero counts inside: ambient counts over 2.996 at 95 % (R qchisq, computed).
func TestZeroCountsGiveAtLeastNeverInfinity(t *testing.T) {
	tr := build(piece{"", 60, record.Both, 1e6, 0})
	r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench, Limit: limit(100)})
	if err != nil {
		t.Fatal(err)
	}
	if r.FitFactor.Kind != uncertainty.AtLeast || !math.IsNaN(r.FitFactor.Value) || !math.IsNaN(r.FitFactor.High) {
		t.Errorf("got %+v", r.FitFactor)
	}
	closeTo(t, "bound", r.FitFactor.Low, 1e6*1.67*60/2.995732, 1e-4)
	closeTo(t, "guard", r.Guard.Low, 1e6*1.67*60/3.688879, 1e-4)
	if r.Verdict.Outcome != Pass {
		t.Error(r.Verdict)
	}
}

func TestAReadingAtTheTopIsABound(t *testing.T) {
	top := Counter{Flow: 1.67, Top: 2000}
	for _, c := range []struct {
		ambient, inside float64
		want            uncertainty.Kind
	}{{2000, 10, uncertainty.AtLeast}, {1500, 2000, uncertainty.AtMost}, {2000, 2000, uncertainty.Unknown}, {1900, 10, uncertainty.Interval}} {
		r, err := Of(build(piece{"", 60, record.Both, c.ambient, c.inside}), Settings{Protocol: protocol("free"), Ambient: top, Inside: top})
		if err != nil {
			t.Fatal(err)
		}
		if r.FitFactor.Kind != c.want {
			t.Errorf("%v over %v: %+v", c.ambient, c.inside, r.FitFactor)
		}
	}
}
