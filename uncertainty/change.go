package uncertainty

import "math"

// Change is how two sets of wearings compare.
type Change struct {
	Ratio Estimate // geometric mean of the second set over that of the first
	T     float64  // NaN where it does not exist
	DOF   float64
	P     float64 // two-sided chance of as large a T without a change
}

const (
	assumeWelch  = "wearings scatter log-normally, each set with its own spread (Welch)"
	assumePaired = "differences of logs between paired wearings are normal"
	fewToCompare = "two or more wearings on each side are needed for an interval"
)

// ChangeBetween compares two independent sets of wearings, before and after, by
// Welch's t on the logs (Welch 1947; from memory). No side counts as better known
// than its wearings' own errors allow.
func ChangeBetween(before, after []LogValue, level float64) Change {
	a, b := sampleOf(before), sampleOf(after)
	if a.n < 2 || b.n < 2 {
		return tooFew(b.mean-a.mean, level, assumeWelch)
	}
	va, dofA := a.meanVariance()
	vb, dofB := b.meanVariance()
	v := va + vb
	return changeOf(b.mean-a.mean, math.Sqrt(v), EffectiveDOF([]float64{math.Sqrt(va), math.Sqrt(vb)}, []float64{dofA, dofB}), level, assumeWelch)
}

// meanVariance is the variance of the mean and its degrees of freedom: of the
// scatter, or of the known errors where those are larger.
func (s sample) meanVariance() (v, dof float64) {
	v, dof = s.sd*s.sd/s.n, s.n-1
	if f := s.floorSE(); f*f > v {
		return f * f, math.Inf(1)
	}
	return v, dof
}

// ChangePaired compares wearings pair by pair: the same wearing before and after,
// without taking the mask off between. The two lists must be of one length.
func ChangePaired(before, after []LogValue, level float64) Change {
	if len(before) != len(after) {
		panic("uncertainty: ChangePaired needs as many wearings before as after")
	}
	d := make([]LogValue, len(before))
	for i := range d {
		d[i] = LogValue{after[i].Ln - before[i].Ln, math.Hypot(after[i].SE, before[i].SE)}
	}
	s := sampleOf(d)
	if s.n < 2 {
		return tooFew(s.mean, level, assumePaired)
	}
	v, dof := s.meanVariance()
	return changeOf(s.mean, math.Sqrt(v), dof, level, assumePaired)
}

func tooFew(d, level float64, assumption string) Change {
	e := NewUnknown(level, assumption, fewToCompare)
	e.Value = math.Exp(d)
	return Change{e, math.NaN(), 0, math.NaN()}
}

func changeOf(d, se, dof, level float64, assumption string) Change {
	half := studentQuantile((1-level)/2, dof) * se
	c := Change{T: d / se, DOF: dof}
	c.Ratio = New(math.Exp(d), math.Exp(d-half), math.Exp(d+half), level, assumption)
	if se == 0 {
		c.T, c.P = math.NaN(), math.NaN()
		c.Ratio = c.Ratio.With("the wearings do not vary: the resolution of the reading sets what is known")
		return c
	}
	c.P = 2 * studentAbove(math.Abs(c.T), dof)
	return c
}
