package fitfactor

import (
	"math"
	"testing"

	"telltale/record"
)

// The effective counts give back the penetration, and without anything but
// counting they are the counts themselves.
func TestEffectiveCountsAreTheCountsWhereOnlyCountingMatters(t *testing.T) {
	r, err := Of(build(piece{"a", 60, record.Both, 3000, 30}, piece{"b", 60, record.Both, 3000, 60}), Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range r.Exercises {
		e, ok := x.Effective()
		if !ok {
			t.Fatal("not known")
		}
		closeTo(t, "penetration", e.Inside/e.Ambient/e.Exposure, 1/x.FitFactor.Value, 1e-9)
		closeTo(t, "inside", e.Inside*x.Inflation, x.InsideCounts, 1e-9)
	}
	e, ok := r.Effective()
	if !ok {
		t.Fatal("not known")
	}
	closeTo(t, "overall", e.Inside/e.Ambient/e.Exposure, 1/r.FitFactor.Value, 1e-9)
	if math.Abs(e.Inside-90*100.2) > 0.15*90*100.2 {
		t.Errorf("%v effective counts of %v", e.Inside, 90*100.2)
	}
}

// The breathing flow of an exercise is the mean of its size, in and out; 0 without a
// flow column.
func TestAnExerciseKnowsItsBreathingFlow(t *testing.T) {
	tr := build(piece{"a", 60, record.Both, 3000, 30}, piece{"b", 60, record.Both, 3000, 60})
	flow := func(want ...float64) {
		t.Helper()
		r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: bench, Inside: bench})
		if err != nil {
			t.Fatal(err)
		}
		for i, x := range r.Exercises {
			if math.Abs(x.FlowLMin-want[i]) > 0.5 {
				t.Errorf("%s: %v L/min, want %v", x.Name, x.FlowLMin, want[i])
			}
		}
	}
	flow(0, 0)
	for i := range tr.TimeS { // in and out by turns, twice as much in b
		q := 30.0
		if tr.Labels[tr.Exercise[i]] == "b" {
			q = 60
		}
		if i%2 == 0 {
			q = -q
		}
		tr.FlowLMin = append(tr.FlowLMin, q)
	}
	flow(30, 60)
}
