package uncertainty

import (
	"fmt"
	"math"
)

// LogValue is the natural logarithm of one wearing's value, such as a fit factor,
// and the standard error of that logarithm from within the wearing (0 where none
// is known).
type LogValue struct{ Ln, SE float64 }

const (
	assumeRepeats = "wearings scatter log-normally and independently"
	oneWearing    = "this wearing only: nothing is known of the scatter between wearings; three or more would show it"
	noWearings    = "no wearings"
)

// sample is what the files of repeats compute from.
type sample struct {
	n            float64
	mean, sd     float64
	withinSquare float64 // sum of squared standard errors
}

func sampleOf(values []LogValue) sample {
	ln := make([]float64, 0, len(values))
	var s sample
	for _, v := range values {
		if math.IsNaN(v.Ln) || math.IsInf(v.Ln, 0) || math.IsNaN(v.SE) || v.SE < 0 {
			panic("uncertainty: a LogValue must be finite and its SE not negative")
		}
		ln = append(ln, v.Ln)
		s.withinSquare += v.SE * v.SE
	}
	m := MomentsOf(ln)
	s.n, s.mean, s.sd = float64(m.N), m.Mean, m.SD
	return s
}

// floorSE is the standard error of the mean that the wearings' own errors imply.
func (s sample) floorSE() float64 { return math.Sqrt(s.withinSquare) / s.n }

// spread is the standard deviation of single values, never below what their own
// errors imply, and whether the floor held.
func (s sample) spread() (sd float64, floored bool) {
	floor := math.Sqrt(s.withinSquare / s.n)
	return math.Max(s.sd, floor), floor > s.sd
}

// Repeats is the geometric mean over wearings with a t interval on the log scale.
// The interval is never narrower than the wearings' own standard errors imply.
// One wearing gives its own value with its own error and says so; none gives
// nothing.
func Repeats(values []LogValue, level float64) Estimate {
	s := sampleOf(values)
	tail := (1 - level) / 2
	switch {
	case s.n == 0:
		return NewUnknown(level, assumeRepeats, noWearings)
	case s.n == 1 && values[0].SE == 0:
		e := NewUnknown(level, assumeRepeats, oneWearing)
		e.Value = math.Exp(s.mean)
		return e
	case s.n == 1:
		return logInterval(s.mean, -normalQuantile(tail)*values[0].SE, level).With(oneWearing)
	}
	half, caveats := s.halfWidth(tail)
	return logInterval(s.mean, half, level).With(caveats...)
}

// halfWidth of the mean of two or more values at the tail probability.
func (s sample) halfWidth(tail float64) (half float64, caveats []string) {
	half = studentQuantile(tail, s.n-1) * s.sd / math.Sqrt(s.n)
	if within := -normalQuantile(tail) * s.floorSE(); within > half {
		half = within
		caveats = append(caveats, "the wearings agree better than their own errors allow: the interval is that of their errors")
	}
	if s.n < 3 {
		caveats = append(caveats, fmt.Sprintf("%.0f wearings: the scatter is hardly known; one more would narrow this most", s.n))
	}
	return half, caveats
}

func logInterval(mean, half, level float64) Estimate {
	return New(math.Exp(mean), math.Exp(mean-half), math.Exp(mean+half), level, assumeRepeats)
}

// Spread is the geometric standard deviation between wearings with its chi-square
// interval. It contains the wearings' own errors.
func Spread(values []LogValue, level float64) Estimate {
	s := sampleOf(values)
	if s.n < 2 {
		return NewUnknown(level, assumeRepeats, "two or more wearings are needed for a spread")
	}
	dof, tail := s.n-1, (1-level)/2
	end := func(upper bool) float64 {
		return math.Exp(s.sd * math.Sqrt(dof/chiSquareQuantile(tail, dof, upper)))
	}
	e := New(math.Exp(s.sd), end(true), end(false), level, assumeRepeats)
	if _, floored := s.spread(); floored {
		e = e.With("the wearings agree better than their own errors allow: their spread by chance came out small")
	}
	return e
}

// NextAtLeast is the one-sided lower prediction bound of the next wearing:
// mean - t sd sqrt(1+1/n).
func NextAtLeast(values []LogValue, level float64) Estimate {
	s := sampleOf(values)
	if s.n < 2 {
		return NewUnknown(level, assumeRepeats, "two or more wearings are needed to say anything of the next")
	}
	sd, _ := s.spread()
	t := studentQuantile(1-level, s.n-1)
	return NewAtLeast(math.Exp(s.mean-t*sd*math.Sqrt(1+1/s.n)), level, assumeRepeats+"; bound for the next single wearing")
}

// MostAtLeast is the one-sided lower tolerance bound: with the given confidence a
// share of all wearings lies above it.
func MostAtLeast(values []LogValue, share, confidence float64) Estimate {
	assumption := fmt.Sprintf("%s; bound that %g %% of wearings exceed", assumeRepeats, 100*share)
	s := sampleOf(values)
	if s.n < 2 {
		return NewUnknown(confidence, assumption, "two or more wearings are needed for a tolerance bound")
	}
	sd, _ := s.spread()
	k := ToleranceFactor(int(s.n), share, confidence)
	return NewAtLeast(math.Exp(s.mean-k*sd), confidence, assumption)
}

// ShareBelow estimates the share of wearings below a limit, with its exact
// interval from the noncentral t (Owen 1968; from memory). Few wearings say almost
// nothing about a tail, and the interval shows it.
func ShareBelow(values []LogValue, limit, level float64) Estimate {
	s := sampleOf(values)
	if s.n < 2 || !(limit > 0) {
		return NewUnknown(level, assumeRepeats, "two or more wearings are needed for a share")
	}
	sd, _ := s.spread()
	if sd == 0 {
		return NewUnknown(level, assumeRepeats, "the wearings do not differ: a share cannot be inferred")
	}
	root := math.Sqrt(s.n)
	z := (s.mean - math.Log(limit)) / sd
	share := func(p float64) float64 {
		f := func(delta float64) float64 { return noncentralT(z*root, s.n-1, delta) - p }
		return normalCDF(-outward(f, z*root-10, z*root+10) / root)
	}
	tail := (1 - level) / 2
	return New(normalCDF(-z), share(tail), share(1-tail), level, assumeRepeats)
}
