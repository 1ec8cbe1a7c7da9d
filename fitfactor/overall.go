package fitfactor

import (
	"fmt"
	"math"

	"telltale/uncertainty"
)

// summarise forms the overall figure: the harmonic mean of the fit factors of the
// counted exercises, which is the mean of their penetrations (29 CFR 1910.134
// Appendix A, I.C.2(b)(8), from memory).
func (r *Result) summarise(m room, pair Pairing) {
	var counted []*Exercise
	zeros := 0
	for i := range r.Exercises {
		x := &r.Exercises[i]
		if !x.Counted {
			continue
		}
		counted = append(counted, x)
		if x.InsideCounts == 0 {
			zeros++
		}
	}
	if len(counted) == 0 {
		r.FitFactor = uncertainty.NewUnknown(r.Level, "no counted exercise")
		r.Penetration, r.Guard = r.FitFactor, r.FitFactor
		r.InsideCounts = math.NaN()
		return
	}
	for _, x := range counted {
		r.InsideCounts += x.InsideCounts
	}
	r.describeScatter(counted)
	r.FitFactor, r.Guard = r.estimates(counted, m, pair)
	r.effective = effectiveOf(quotient(counted, m, pair, r.Level, printed))
	r.FitFactor = r.FitFactor.With("This wearing only.")
	if zeros > 0 && zeros < len(counted) {
		r.FitFactor = r.FitFactor.With("Some exercises counted no particle: the overall limits are those of a weighted sum of Poisson counts (Fay and Feuer 1997), which needs none of them to be above zero.")
	} else if zeros == len(counted) && zeros > 1 {
		r.FitFactor = r.FitFactor.With("No exercise counted a particle: the overall bound takes all counts at the largest weight among the exercises.")
	}
	r.Penetration = r.FitFactor.Inverse()
	of := "The penetration of the one counted exercise"
	if len(counted) > 1 {
		of = fmt.Sprintf("The mean penetration of the %d counted exercises", len(counted))
	}
	r.step("overall", "%s, turned back: %s.", of, Say(r.FitFactor))
}

// describeScatter names how far the counts are from calm.
func (r *Result) describeScatter(counted []*Exercise) {
	f := inflation(counted, r.Level, printed)
	if math.IsNaN(counted[0].part.poisson) {
		r.step("scatter", "The interval is the scatter of the readings in time (slow cosines, t limits).")
		return
	}
	if f == 1 {
		r.step("scatter", "The counts vary no more than counting explains.")
		return
	}
	r.step("scatter", "The air inside varied more than counting explains: the variance of the mean is taken %s times larger (slow cosines of the readings, t limits).", number(f))
}
