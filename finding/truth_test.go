package finding_test

import (
	"testing"

	"telltale/demo"
	"telltale/finding"
	"telltale/simulate"
	"telltale/uncertainty"
)

// The intervals of single wearings hold the simulated truth: the fit factor that
// more time in the same wearing would show. Runs on a counter in doubt and faulty
// ones are left out, as the findings leave them out.
func TestFiguresHoldTheSimulatedTruth(t *testing.T) {
	in, all, wide := 0, 0, 0
	for _, sc := range demo.Scenarios() {
		for seed := uint64(1); seed <= 2; seed++ {
			_, study, truth := simulate.Study(seed, sc)
			f := finding.Of(study, finding.Options{})
			for _, r := range f.Respirators {
				for _, c := range r.Configurations {
					for _, w := range c.Wearings {
						want := truth.Wearings[w.ID].FitFactor
						if w.Excluded != "" || w.LeftOut != "" || w.Problem != "" || want == 0 {
							continue
						}
						all++
						e := w.FitFactor
						switch e.Kind {
						case uncertainty.Interval:
							if e.Low <= want && want <= e.High {
								in++
							} else {
								t.Logf("%s seed %d %s: %v, truth %.4g", sc.Name, seed, w.ID, e.Words(), want)
							}
							if e.High > 3*e.Low {
								wide++
							}
						case uncertainty.AtLeast:
							if e.Low <= want {
								in++
							}
						case uncertainty.AtMost:
							if want <= e.High {
								in++
							}
						}
					}
				}
			}
		}
	}
	t.Logf("%d of %d intervals hold the truth, %d are wide", in, all, wide)
	if all < 100 || float64(in) < 0.9*float64(all) {
		t.Errorf("%d of %d intervals hold the truth", in, all)
	}
}
