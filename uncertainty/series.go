package uncertainty

import (
	"fmt"
	"math"
)

// LongRun gives the variance of the mean of a correlated stationary series and
// its degrees of freedom. The series is projected on the first b cosines
// sqrt(2/n) cos(pi j (t-1/2)/n); each squared projection is an independent
// estimate, with one degree of freedom, of the spectrum near zero, and their mean
// over n is the variance wanted. The ratio of the mean to its standard error then
// follows Student's t with b degrees of freedom (Mueller, J. Econometrics 141
// (2007) 1331; Lazarus, Lewis, Stock & Watson, J. Bus. Econ. Stat. 36 (2018) 541;
// both from memory).
//
// Values may be residuals or raw: the cosines do not see a constant. With b < 1
// Cosines(n) is taken; b is never more than n-1. A series of fewer than two
// values gives NaN and no degrees of freedom.
func LongRun(residuals []float64, b int) (varianceOfMean, dof float64) {
	n := len(residuals)
	if n < 2 {
		return math.NaN(), 0
	}
	if b < 1 {
		b = Cosines(n)
	}
	b = min(b, n-1)
	origin := residuals[0]
	var sum float64
	for j := 1; j <= b; j++ {
		p := cosineProjection(residuals, origin, j)
		sum += p * p
	}
	return sum / float64(b) / float64(n), float64(b)
}

// Cosines is the number of cosines that balances size against power: 0.4 n^(2/3),
// at least 4 (Lazarus and others 2018, their recommendation for this estimator;
// from memory) and at most n-1.
func Cosines(n int) int {
	return max(1, min(n-1, max(4, int(math.Round(0.4*math.Pow(float64(n), 2.0/3))))))
}

// cosineProjection is the inner product with the j-th cosine. The cosine is
// stepped by Reinsch's form of the recurrence, one multiplication a sample, which
// loses no digits at small angles.
func cosineProjection(values []float64, origin float64, j int) float64 {
	n := float64(len(values))
	angle := math.Pi * float64(j) / n
	s := math.Sin(angle / 2)
	fall := -4 * s * s
	c := math.Cos(angle / 2)
	var step, sum float64 // the cosine is even about t = 1/2, so the step into it is zero
	for _, v := range values {
		sum += (v - origin) * c
		step += fall * c
		c += step
	}
	return sum * math.Sqrt(2/n)
}

// LongRunPrewhitened is LongRun after a first-order autoregression has been taken
// out and with its effect put back: Omega = Omega_e/(1-rho)^2 (Andrews & Monahan
// 1992; from memory). It removes most of the bias that a slow series leaves when
// the first b cosines reach past the flat part of its spectrum. rho, the least
// squares slope corrected by (1+3 rho)/n for its known bias (Kendall 1954; from
// memory), is held to at most 0.97 either way.
func LongRunPrewhitened(residuals []float64, b int) (varianceOfMean, dof float64) {
	n := len(residuals)
	if n < 4 {
		return LongRun(residuals, b)
	}
	rho := firstOrder(residuals)
	white := make([]float64, n-1)
	for i := range white {
		white[i] = (residuals[i+1] - residuals[0]) - rho*(residuals[i]-residuals[0])
	}
	v, dof := LongRun(white, b)
	omega := v * float64(n-1) / ((1 - rho) * (1 - rho))
	return omega / float64(n), dof
}

// firstOrder is the autoregression coefficient of the series on its last value.
func firstOrder(values []float64) float64 {
	d, _ := centred(values, values[0])
	var num, den compensated
	for i := 1; i < len(d); i++ {
		num.add(d[i] * d[i-1])
		den.add(d[i-1] * d[i-1])
	}
	if !(den.sum() > 0) {
		return 0
	}
	rho := num.sum() / den.sum()
	rho += (1 + 3*rho) / float64(len(d))
	return math.Max(-0.97, math.Min(0.97, rho))
}

// seriesFew is the number of independent values' worth below which an interval
// from one series keeps its level only nearly.
const seriesFew = 30

// Series is the mean of a stationary, perhaps correlated, series with a t interval
// from its long-run variance: the widest of the plain, the cosine and the
// prewhitened cosine estimates. It assumes that the series neither drifts nor
// steps.
func Series(values []float64, level float64) Estimate {
	const assumption = "stationary series, correlation allowed for by its long-run variance"
	m := MomentsOf(values)
	switch {
	case m.N == 0:
		return NewUnknown(level, assumption, "no values")
	case m.N == 1:
		e := NewUnknown(level, assumption, "one value: two or more are needed for an interval")
		e.Value = m.Mean
		return e
	}
	n, tail := float64(m.N), (1-level)/2
	plain := m.SD * m.SD / n
	half := studentQuantile(tail, n-1) * math.Sqrt(plain)
	longest := plain
	for _, run := range []func([]float64, int) (float64, float64){LongRun, LongRunPrewhitened} {
		v, dof := run(values, 0)
		half = math.Max(half, studentQuantile(tail, dof)*math.Sqrt(v))
		longest = math.Max(longest, v)
	}
	e := New(m.Mean, m.Mean-half, m.Mean+half, level, assumption)
	if m.SD == 0 {
		return e.With("the values do not vary: the resolution of the reading sets what is known, not this interval")
	}
	if worth := n * plain / longest; worth < seriesFew {
		e = e.With(fmt.Sprintf("the series is worth about %.0f independent values; below %d the level is only nearly kept",
			math.Max(1, math.Floor(worth)), seriesFew))
	}
	return e
}
