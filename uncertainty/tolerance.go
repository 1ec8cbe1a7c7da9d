package uncertainty

import "math"

// noncentralT is P(T <= t) of the noncentral t distribution, by integrating
// Phi(t u - delta) over u = sqrt(chi-square/dof) with the trapezium rule in ln u.
// The integrand is analytic and dies away at both ends, so the rule converges
// faster than any power of its step.
func noncentralT(t, dof, delta float64) float64 {
	if math.IsInf(dof, 1) {
		return normalCDF(t - delta)
	}
	logHalf := math.Log(dof / 2)
	lg, _ := math.Lgamma(dof / 2)
	// Logarithm of the density of w = ln u at w.
	density := func(w float64) float64 {
		return math.Ln2 + dof/2*(logHalf+2*w-math.Exp(2*w)) - lg
	}
	peak := density(0)
	width := 1 / math.Sqrt(2*dof)
	lo, hi := -width, width
	for density(lo) > peak-42 {
		lo -= width
	}
	for density(hi) > peak-42 {
		hi += width
	}
	step := math.Min(math.Min(width, 1/(1+math.Abs(delta))), 0.5) / 4
	n := math.Ceil((hi - lo) / step)
	step = (hi - lo) / n
	var sum, weight compensated
	for i := 0.0; i <= n; i++ {
		w := lo + i*step
		g := math.Exp(density(w))
		weight.add(g)
		sum.add(g * normalCDF(t*math.Exp(w)-delta))
	}
	return sum.sum() / weight.sum()
}

// noncentralTQuantile is t with P(T <= t) = p.
func noncentralTQuantile(p, dof, delta float64) float64 {
	f := func(t float64) float64 { return noncentralT(t, dof, delta) - p }
	return outward(f, delta-5, delta+5)
}

// ToleranceFactor is the k for which mean - k sd lies below all but a share of a
// normal population, with the given confidence, when mean and sd come from n
// values: the exact factor, a noncentral t quantile over sqrt(n) (NIST/SEMATECH
// e-Handbook of Statistical Methods, 7.2.6.3; Lieberman 1957; from memory). It is
// NaN for n < 2.
func ToleranceFactor(n int, share, confidence float64) float64 {
	if n < 2 {
		return math.NaN()
	}
	root := math.Sqrt(float64(n))
	return noncentralTQuantile(confidence, float64(n-1), normalQuantile(share)*root) / root
}
