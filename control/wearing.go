package control

import (
	"fmt"
	"math"

	"telltale/fitfactor"
	"telltale/uncertainty"
)

// Thresholds of the gates on one wearing. None has a regulator's value.
const (
	leastCoverage    = 0.95 // of the rows expected in each counted exercise
	stuckSeconds     = 30.0 // equal readings where counting noise must show
	mostSwitchedStep = 0.5  // change of the room across an exercise, switched line
	mostTrackedStep  = 2.0  // the same when the room is measured all along
	leastAtLimit     = 10.0 // particles a wearing at the limit would have let in and counted
)

// Wearing gives the gates of one trace. The limit is 0 where none belongs.
func Wearing(r *fitfactor.Result, limit float64) []Gate {
	s := r.Signs
	return []Gate{coverage(s), gaps(s), saturation(s), stuck(s), drift(s), roomLevel(r, limit), direction(s)}
}

func coverage(s fitfactor.Signs) Gate {
	text := fmt.Sprintf("%s %% of the rows expected in the worst counted exercise were read", uncertainty.Number(100*s.Coverage))
	if s.Coverage < leastCoverage {
		return open("coverage", fmt.Sprintf("%s; at least %.0f %% are needed", text, 100*leastCoverage))
	}
	return inOrder("coverage", text)
}

func gaps(s fitfactor.Signs) Gate {
	if s.Gaps == 0 {
		return inOrder("gaps", "no gap of more than three sample periods in a counted exercise")
	}
	return open("gaps", fmt.Sprintf("%d gaps of more than three sample periods in counted exercises, the longest %s s", s.Gaps, uncertainty.Number(s.LongestGapS)))
}

// saturation never blocks by itself: capped readings already enter as bounds.
func saturation(s fitfactor.Signs) Gate {
	if s.AmbientCapped+s.InsideCapped == 0 {
		return inOrder("saturation", "no reading at the top of the counter's range")
	}
	g := open("saturation", fmt.Sprintf("%d room and %d inside readings at or beyond the top of the counter's range: the figure is a bound", s.AmbientCapped, s.InsideCapped))
	g.Blocks = Nothing
	return g
}

func stuck(s fitfactor.Signs) Gate {
	if s.StuckS < stuckSeconds {
		return inOrder("stuck readings", "readings move as counting makes them")
	}
	return distrust("stuck readings", fmt.Sprintf("the %s reading did not move for %s s although counting alone would move it", s.StuckAir, uncertainty.Number(s.StuckS)))
}

func drift(s fitfactor.Signs) Gate {
	most, how := mostTrackedStep, "while it was measured all along"
	if s.Counters == 1 {
		most, how = mostSwitchedStep, "between the two samples around it"
	}
	text := fmt.Sprintf("the room changed by at most %s %% across an exercise %s, %s %% per hour overall", uncertainty.Number(100*s.LargestDrift), how,
		uncertainty.Number(100*math.Expm1(s.DriftPerHour)))
	if s.LargestDrift > most {
		return open("room drift", fmt.Sprintf("%s; more than %.0f %% is too much", text, 100*most))
	}
	return inOrder("room drift", text)
}

// roomLevel asks whether a mask that just met the limit would have let in enough
// to be counted.
func roomLevel(r *fitfactor.Result, limit float64) Gate {
	s := r.Signs
	level := fmt.Sprintf("the room held %s particles per cm3", uncertainty.Number(s.AmbientMean))
	if limit <= 0 || math.IsNaN(r.InsideCounts) {
		return inOrder("room level", level)
	}
	expected := 0.0
	for _, x := range r.Exercises {
		if x.Counted && x.Inside > 0 && x.InsideCounts > 0 {
			expected += x.InsideCounts * x.Ambient / limit / x.Inside
		} else if x.Counted {
			return inOrder("room level", level) // nothing counted: the bound itself tells
		}
	}
	text := fmt.Sprintf("%s; at a fit factor of %s about %s would have been counted inside", level, uncertainty.Number(limit), uncertainty.Number(expected))
	if expected < leastAtLimit {
		return open("room level", fmt.Sprintf("%s, fewer than %.0f: the room is too clean or the run too short", text, leastAtLimit))
	}
	return inOrder("room level", text)
}

func direction(s fitfactor.Signs) Gate {
	if !s.InsideAboveAmbient {
		return inOrder("direction", "less inside than outside in every exercise")
	}
	return distrust("direction", "an exercise shows more inside than outside: lines swapped, or a source inside")
}
