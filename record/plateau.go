package record

import (
	"math"
	"slices"
)

// The rule of a plateau.
const (
	plateauRows   = 10 // a run at the top has to be at least this long
	plateauTimes  = 5  // and this many times longer than runs elsewhere
	plateauVaries = 10 // runs there have to be elsewhere
	plateauBeside = 3  // runs on each side that have to be short as well
	plateauStep   = 10 // part of the usual step below which an approach has died away
)

// Plateau finds the level at which a column of readings stands against the end
// of the counter's range, although nothing in the file says so. Where found is
// true every reading equal to top is a bound ("at least top") and no number.
//
// The rule. Cut the column into runs of equal readings, missing ones (NaN)
// passed over. The usual run is the one in which the middle row of all rows
// below the top stands. The top is a plateau if one run at the highest reading
//   - is at least 10 rows long, and
//   - at least 5 times as long as the usual run, and
//   - at least 5 times as long as each of the three runs before and behind it:
//     a smooth peak that is rounded off has long runs beside its top, too, and
//   - not come to gently: on no side do the three steps to it shrink to less
//     than a tenth of the usual step (the median difference of neighbouring runs
//     below the top), as they do when a line washes out to a level;
//
// in a column that otherwise varies: there are at least 10 runs below the top,
// and the usual run is shorter than 10 rows. So a constant column, one that
// moves in steps, and a run of zeros are no plateaus; a counter that is read
// more often than it measures, and so repeats each reading, can have one. The
// rule is ours. It cannot tell a range's end from air that was truly constant
// before it began to vary, and then errs on the side of a bound.
func Plateau(values []float64) (top float64, found bool) {
	runs := runsOf(values)
	for _, r := range runs {
		top = max(top, r.value)
	}
	usual, elsewhere := usualRun(runs, top)
	if top <= 0 || elsewhere < plateauVaries || usual >= plateauRows {
		return 0, false
	}
	step := usualStep(runs, top)
	for i, r := range runs {
		if r.value != top || r.rows < plateauRows || r.rows < plateauTimes*usual {
			continue
		}
		if diesAway(runs, i, -1, step) || diesAway(runs, i, 1, step) {
			return 0, false
		}
		beside := 0
		for j := max(0, i-plateauBeside); j < min(len(runs), i+plateauBeside+1); j++ {
			if runs[j].value != top {
				beside = max(beside, runs[j].rows)
			}
		}
		found = found || r.rows >= plateauTimes*beside
	}
	if !found {
		return 0, false
	}
	return top, true
}

// diesAway reports whether the three runs on one side of run i come to its value
// by shrinking steps, of which the last is small beside the usual step.
func diesAway(runs []run, i, side int, usual float64) bool {
	if far := i + 3*side; far < 0 || far >= len(runs) {
		return false
	}
	a := runs[i].value - runs[i+side].value
	b := runs[i+side].value - runs[i+2*side].value
	c := runs[i+2*side].value - runs[i+3*side].value
	rounding := 1e-9 * runs[i].value // of decimals that are equal as written
	return 0 < a && a <= b+rounding && b <= c+rounding && a < usual/plateauStep
}

// run is a stretch of equal readings.
type run struct {
	value float64
	rows  int
}

func runsOf(values []float64) []run {
	var runs []run
	for _, v := range values {
		if math.IsNaN(v) {
			continue
		}
		if n := len(runs); n > 0 && runs[n-1].value == v {
			runs[n-1].rows++
		} else {
			runs = append(runs, run{v, 1})
		}
	}
	return runs
}

// usualRun is the length of the run in which the middle row below the top
// stands, and the number of runs below it.
func usualRun(runs []run, top float64) (usual, count int) {
	var lengths []int
	rows := 0
	for _, r := range runs {
		if r.value != top {
			lengths = append(lengths, r.rows)
			rows += r.rows
		}
	}
	slices.Sort(lengths)
	passed := 0
	for _, n := range lengths {
		passed += n
		if 2*passed >= rows {
			return n, len(lengths)
		}
	}
	return 0, 0
}

// usualStep is the median difference of neighbouring runs below the top.
func usualStep(runs []run, top float64) float64 {
	var steps []float64
	for i := 1; i < len(runs); i++ {
		if a, b := runs[i-1].value, runs[i].value; a != top && b != top {
			steps = append(steps, math.Abs(a-b))
		}
	}
	if len(steps) == 0 {
		return 0
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}
