package uncertainty

import "math"

// AnytimeHalfWidth is the half width of an interval for a mean that keeps its
// level however often one looks and whenever one stops: the normal-mixture
// boundary sqrt((t r^2+1)/(t^2 r^2) ln((t r^2+1)/alpha^2)) sd (Robbins 1970;
// Howard and others, Ann. Statist. 49 (2021) 1055; from memory). sd, of a single
// value, must be known or a bound. r tunes where it is narrowest: 1 near eight
// values, 0.3 near ninety. It is infinite before the first value.
func AnytimeHalfWidth(n int, sd, r, level float64) float64 {
	if n < 1 {
		return math.Inf(1)
	}
	t, alpha := float64(n), 1-level
	a := t*r*r + 1
	return sd * math.Sqrt(a/(t*t*r*r)*math.Log(a/(alpha*alpha)))
}

// RepeatsAnytime is the geometric mean over wearings with an interval that may be
// looked at after every one of them, gsd being a bound of their geometric standard
// deviation.
func RepeatsAnytime(values []LogValue, gsd, level float64) Estimate {
	const assumption = "wearings scatter log-normally with a spread no more than assumed; valid whenever one stops"
	s := sampleOf(values)
	if s.n == 0 {
		return NewUnknown(level, assumption, noWearings)
	}
	half := AnytimeHalfWidth(int(s.n), math.Log(gsd), 1, level)
	return New(math.Exp(s.mean), math.Exp(s.mean-half), math.Exp(s.mean+half), level, assumption)
}

// SPRT is Wald's sequential probability ratio test between two hypotheses, with
// its bounds on the log likelihood ratio: stop for the second at Upper, for the
// first at Lower (Wald 1945; from memory).
type SPRT struct {
	Alpha, Beta  float64 // chances of the two errors
	Lower, Upper float64
}

// NewSPRT makes the test for error chances alpha (taking the second when the first
// holds) and beta (the reverse).
func NewSPRT(alpha, beta float64) SPRT {
	return SPRT{alpha, beta, math.Log(beta / (1 - alpha)), math.Log((1 - beta) / alpha)}
}

// Decision of a sequential test.
type Decision int

// The three decisions.
const (
	GoOn Decision = iota
	TakeFirst
	TakeSecond
)

// Decide reads the log likelihood ratio of second to first.
func (s SPRT) Decide(logRatio float64) Decision {
	switch {
	case logRatio >= s.Upper:
		return TakeSecond
	case logRatio <= s.Lower:
		return TakeFirst
	}
	return GoOn
}

// LogRatioNormal is the log likelihood ratio of values, normal with the sd, of a
// mean of second to a mean of first.
func LogRatioNormal(values []float64, first, second, sd float64) float64 {
	var s compensated
	for _, v := range values {
		s.add((second - first) * (v - (first+second)/2) / (sd * sd))
	}
	return s.sum()
}

// ExpectedNormal is Wald's approximation of the mean number of values until a stop
// under each hypothesis, for means a distance apart, in units of sd.
func (s SPRT) ExpectedNormal(distance float64) (underFirst, underSecond float64) {
	drift := distance * distance / 2
	underFirst = ((1-s.Alpha)*s.Lower + s.Alpha*s.Upper) / -drift
	underSecond = (s.Beta*s.Lower + (1-s.Beta)*s.Upper) / drift
	return underFirst, underSecond
}

// BinomialLines are the straight lines for the number of hits after n trials: take
// second at slope n + upper or more, first at slope n + lower or fewer, for hit
// chances first < second.
func (s SPRT) BinomialLines(first, second float64) (slope, upper, lower float64) {
	g := math.Log(second * (1 - first) / (first * (1 - second)))
	return math.Log((1-first)/(1-second)) / g, s.Upper / g, s.Lower / g
}
