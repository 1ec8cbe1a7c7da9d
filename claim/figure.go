package claim

import (
	"fmt"
	"math"

	"telltale/medium"
	"telltale/uncertainty"
)

// figure is one sealed wearing or run of the filter alone, ready to be weighed.
type figure struct {
	Circumstances
	name   string // in words
	holder bool   // the filter alone
	ff     uncertainty.Estimate
	band   medium.Band
	firm   bool     // no seal stands between it and the filter, or none of account
	lacks  []string // what keeps it from carrying "inconsistent"; empty = nothing
	notes  []string
}

// least and most are the ends of an estimate that exist by its kind, NaN otherwise:
// every comparison with NaN is false, so a missing end says nothing.
func least(e uncertainty.Estimate) float64 {
	if e.Kind == uncertainty.Interval || e.Kind == uncertainty.AtLeast {
		return e.Low
	}
	return math.NaN()
}

func most(e uncertainty.Estimate) float64 {
	if e.Kind == uncertainty.Interval || e.Kind == uncertainty.AtMost {
		return e.High
	}
	return math.NaN()
}

// below: the whole interval lies under the least of every assumption set.
func (f figure) below() bool { return most(f.ff) < f.band.HardToReconcileBelow }

// above: the whole interval lies at or over it.
func (f figure) above() bool { return least(f.ff) >= f.band.HardToReconcileBelow }

// better: the whole interval lies over what a filter that just meets the class
// could show under any assumption set.
func (f figure) better() bool { return least(f.ff) > f.band.BetterThanClassMinimumAbove }

// stands words where a figure lies.
func (f figure) stands() string {
	t, top := uncertainty.Number(f.band.HardToReconcileBelow), uncertainty.Number(f.band.BetterThanClassMinimumAbove)
	switch {
	case f.below():
		return fmt.Sprintf("below %s, the least that any assumption set gives a filter which just meets the class", t)
	case f.better():
		return fmt.Sprintf("above %s, the most that any assumption set gives a filter which just meets the class", top)
	case f.above():
		return fmt.Sprintf("not below %s, the least that any assumption set gives a filter which just meets the class", t)
	}
	return fmt.Sprintf("its interval or bound does not settle on which side of %s it lies", t)
}

// specimen holds the figures of one specimen.
type specimen struct {
	name    string
	figures []figure
}

// against: every figure of it lies below. A leak only lowers a fit factor, so a
// single figure that reaches higher shows what the filter may do.
func (s specimen) against() bool { return all(s.figures, figure.below) }

func (s specimen) favours() bool { return some(s.figures, figure.above) }

func (s specimen) better() bool { return some(s.figures, figure.better) }

func (s specimen) firm() bool { return some(s.figures, func(f figure) bool { return f.firm }) }

// heavy: one of its figures carries everything that "inconsistent" asks of a figure.
func (s specimen) heavy() bool {
	return s.name != "" && s.against() && some(s.figures, func(f figure) bool { return len(f.lacks) == 0 })
}

func all[T any](of []T, is func(T) bool) bool {
	return !some(of, func(v T) bool { return !is(v) })
}

func some[T any](of []T, is func(T) bool) bool {
	for _, v := range of {
		if is(v) {
			return true
		}
	}
	return false
}

// bySpecimen groups figures in the order in which specimens come up.
func bySpecimen(figures []figure) []specimen {
	var out []specimen
	at := map[string]int{}
	for _, f := range figures {
		i, known := at[f.Specimen]
		if !known {
			i = len(out)
			at[f.Specimen] = i
			out = append(out, specimen{name: f.Specimen})
		}
		out[i].figures = append(out[i].figures, f)
	}
	return out
}
