package finding

import (
	"math"

	"telltale/uncertainty"
)

// versus is how many times better a configuration is than as worn: paired within
// donnings where the repair was added without taking the mask off, else between
// donnings.
func versus(asWorn, g group, level float64) uncertainty.Estimate {
	if before, after := shared(asWorn, g); len(before) > 0 {
		if len(before) == 1 {
			return single(before[0], after[0], level).With("one donning: the repair was added without taking the mask off")
		}
		return uncertainty.ChangePaired(before, after, level).Ratio
	}
	before, okBefore := logs(asWorn.donnings)
	after, okAfter := logs(g.donnings)
	if !okBefore || !okAfter {
		return ofBounds(asWorn.pooled(level), g.pooled(level), level)
	}
	switch {
	case len(before) == 0 || len(after) == 0:
		return uncertainty.NewUnknown(level, "no wearing on one of the two sides")
	case len(before) > 1 && len(after) > 1:
		return uncertainty.ChangeBetween(before, after, level).Ratio
	case len(before) == 1 && len(after) == 1:
		return single(before[0], after[0], level).With("one wearing on each side: the scatter between wearings is not in the interval")
	}
	return oneSided(before, after, level)
}

// shared pairs the donnings in which both configurations were worn.
func shared(asWorn, g group) (before, after []uncertainty.LogValue) {
	for _, a := range asWorn.donnings {
		for _, b := range g.donnings {
			va, oka := logOf(a.fit)
			vb, okb := logOf(b.fit)
			if a.id == b.id && oka && okb {
				before, after = append(before, va), append(after, vb)
			}
		}
	}
	return before, after
}

func logs(all []donning) (out []uncertainty.LogValue, ok bool) {
	for _, d := range all {
		v, isNumber := logOf(d.fit)
		if !isNumber {
			return nil, false
		}
		out = append(out, v)
	}
	return out, true
}

func logOf(e uncertainty.Estimate) (uncertainty.LogValue, bool) {
	if e.Kind != uncertainty.Interval || !(e.Value > 0 && e.Low > 0 && e.High > 0) {
		return uncertainty.LogValue{}, false
	}
	return uncertainty.LogValue{Ln: math.Log(e.Value), SE: logError(e)}, true
}

// single compares two wearings by their own errors alone.
func single(before, after uncertainty.LogValue, level float64) uncertainty.Estimate {
	half := uncertainty.CoverageFactor(level, math.Inf(1)) * math.Hypot(before.SE, after.SE)
	d := after.Ln - before.Ln
	return uncertainty.New(math.Exp(d), math.Exp(d-half), math.Exp(d+half), level, "two wearings, each with its own error")
}

// oneSided compares one wearing with several: the several lend their scatter to
// the one.
func oneSided(before, after []uncertainty.LogValue, level float64) uncertainty.Estimate {
	several := before
	if len(after) > 1 {
		several = after
	}
	scatter := make([]float64, len(several))
	var within float64
	for i, v := range several {
		scatter[i] = v.Ln
		within = math.Max(within, v.SE)
	}
	one := before[0].SE
	if len(after) == 1 {
		one = after[0].SE
	}
	sd := math.Max(uncertainty.MomentsOf(scatter).SD, math.Max(within, one))
	n := float64(len(several))
	half := uncertainty.CoverageFactor(level, n-1) * sd * math.Sqrt(1+1/n)
	d := meanLn(after) - meanLn(before)
	return uncertainty.New(math.Exp(d), math.Exp(d-half), math.Exp(d+half), level,
		"one wearing against several, whose scatter is taken for both").With("one side was worn once")
}

func meanLn(all []uncertainty.LogValue) float64 {
	sum := 0.0
	for _, v := range all {
		sum += v.Ln
	}
	return sum / float64(len(all))
}

// ofBounds compares figures of which one or both are bounds: a bound stays one.
func ofBounds(before, after uncertainty.Estimate, level float64) uncertainty.Estimate {
	const basis = "the bounds of the two figures, one over the other"
	low := after.Low / before.High
	high := after.High / before.Low
	switch {
	case !math.IsNaN(low) && low > 0 && math.IsNaN(high):
		return uncertainty.NewAtLeast(low, level, basis)
	case !math.IsNaN(high) && high > 0 && math.IsNaN(low):
		return uncertainty.NewAtMost(high, level, basis)
	}
	return uncertainty.NewUnknown(level, basis, "bounds on both sides leave nothing to say")
}
