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
