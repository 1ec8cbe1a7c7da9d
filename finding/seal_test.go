package finding_test

import (
	"flag"
	"testing"

	"telltale/demo"
	"telltale/finding"
	"telltale/simulate"
	"telltale/uncertainty"
)

var sealSeeds = flag.Int("seal-seeds", 1, "seeds of each practice scenario whose seal and filter are compared with the truth; 20 for the record")

// sealTally counts what was said of seal and filter, and what of it is wrong.
type sealTally struct{ said, wrong, undecided, filters, held, apart, shares, beside int }

// What is said of seal and filter is compared with the simulated truth: of the ways
// in at most 2.5 % may be wrong, and of the filter's bounds and intervals 93 % hold
// its penetration as a whole-breath sample sees it, mean over the runs. The
// simulation's breathing and leaks differ by exercise, and the traces tell neither.
func TestSealAndFilterHoldTheSimulatedTruth(t *testing.T) {
	var all sealTally
	for _, sc := range demo.Scenarios() {
		var one sealTally
		for k := range *sealSeeds {
			_, study, truth := simulate.Study(demo.Seed+uint64(k), sc)
			for _, r := range finding.Of(study, finding.Options{}).Respirators {
				one.add(t, sc.Name, &r, truth)
			}
		}
		t.Logf("%-24s ways said %3d wrong %2d undecided %3d | filter %3d held %3d, told apart %2d | shares %3d beside %2d",
			sc.Name, one.said, one.wrong, one.undecided, one.filters, one.held, one.apart, one.shares, one.beside)
		all.plus(one)
	}
	t.Logf("all: %+v", all)
	if all.said < 15 || float64(all.wrong) > 0.025*float64(all.said) {
		t.Errorf("%d of %d ways in are wrong", all.wrong, all.said)
	}
	if all.filters < 15 || float64(all.held) < 0.93*float64(all.filters) {
		t.Errorf("%d of %d figures of the filter hold the truth", all.held, all.filters)
	}
	if float64(all.beside) > 0.07*float64(all.shares) {
		t.Errorf("%d of %d seal shares miss the truth", all.beside, all.shares)
	}
}

func (s *sealTally) plus(o sealTally) {
	s.said, s.wrong, s.undecided = s.said+o.said, s.wrong+o.wrong, s.undecided+o.undecided
	s.filters, s.held, s.apart = s.filters+o.filters, s.held+o.held, s.apart+o.apart
	s.shares, s.beside = s.shares+o.shares, s.beside+o.beside
}

func (s *sealTally) add(t *testing.T, scenario string, r *finding.Respirator, truth simulate.StudyTruth) {
	if r.Attribution == nil {
		return
	}
	filter, runs := 0.0, 0
	for _, c := range r.Attribution.SealShare {
		share, n := 0.0, 0
		for _, x := range r.Configurations {
			for _, w := range x.Wearings {
				if x.Name == c.Name && w.Excluded == "" && w.LeftOut == "" && w.Problem == "" {
					share += truth.Wearings[w.ID].SealShare
					filter += 1 / truth.Wearings[w.ID].SealedFitFactor
					n++
				}
			}
		}
		runs += n
		share /= float64(n)
		switch c.Dominant {
		case "mostly past the seal", "mostly through the filter":
			s.said++
			if (c.Dominant == "mostly past the seal") != (share > 0.5) {
				s.wrong++
				t.Logf("%s, %s, %s: %s; the true share is %.2f", scenario, r.ID, c.Name, c.Dominant, share)
			}
		default:
			s.undecided++
		}
		if holds, says := holdsFigure(c.Share, share); says {
			s.shares++
			if !holds {
				s.beside++
				t.Logf("%s, %s, %s: share %s; the true one is %.3f", scenario, r.ID, c.Name, c.Share.Words(), share)
			}
		}
	}
	filter /= float64(runs)
	if holds, says := holdsFigure(r.Attribution.FilterPenetration, filter); says {
		s.filters++
		if holds {
			s.held++
		} else {
			t.Logf("%s, %s: filter %s; the true one is %.4g", scenario, r.ID, r.Attribution.FilterPenetration.Words(), filter)
		}
	}
	if r.Attribution.Separable {
		s.apart++
	}
}

// holdsFigure reports whether an estimate holds a truth, and whether it says
// anything.
func holdsFigure(e uncertainty.Estimate, truth float64) (holds, says bool) {
	switch e.Kind {
	case uncertainty.Interval:
		return e.Low <= truth && truth <= e.High, true
	case uncertainty.AtMost:
		return truth <= e.High, true
	case uncertainty.AtLeast:
		return e.Low <= truth, true
	}
	return true, false
}
