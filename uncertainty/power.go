package uncertainty

import "math"

// Trial is a comparison planned on the log scale: wearings that scatter with a
// geometric standard deviation, and a two-sided test at Alpha.
type Trial struct {
	GSD   float64 // between wearings of one kind, above 1
	Alpha float64 // 0.05 by custom
	// Paired says that each wearing is measured before and after. The spread of a
	// difference is then taken as sqrt(2) ln GSD: no gain from pairing is assumed.
	Paired bool
}

// Power is the chance that n wearings (a side, or pairs) show a change of the
// given fold: the upper tail of the noncentral t, as R's power.t.test has it. n
// may be fractional.
func (t Trial) Power(n, fold float64) float64 {
	if !(n > 1) {
		return 0
	}
	dof := 2 * (n - 1)
	if t.Paired {
		dof = n - 1
	}
	shift := math.Abs(math.Log(fold)) / math.Log(t.GSD) * math.Sqrt(n/2)
	return 1 - noncentralT(studentQuantile(t.Alpha/2, dof), dof, shift)
}

// Needed is the number of wearings (a side, or pairs), not rounded up, at which a
// change of the given fold shows with the given power. It is +Inf for no change
// and never below 2.
func (t Trial) Needed(fold, power float64) float64 {
	if fold == 1 || !(fold > 0) {
		return math.Inf(1)
	}
	f := func(n float64) float64 { return t.Power(n, fold) - power }
	if f(2) >= 0 {
		return 2
	}
	high := 4.0
	for f(high) < 0 && high < 1e7 {
		high *= 2
	}
	return root(f, high/2, high)
}

// Smallest is the least change, as a fold above 1, that n wearings show with the
// given power. It is +Inf for fewer than two.
func (t Trial) Smallest(n, power float64) float64 {
	if !(n > 1) {
		return math.Inf(1)
	}
	f := func(ln float64) float64 { return t.Power(n, math.Exp(ln)) - power }
	high := 0.1
	for f(high) < 0 && high < 600 {
		high *= 2
	}
	return math.Exp(root(f, 0, high))
}
