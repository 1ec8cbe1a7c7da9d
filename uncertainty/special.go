package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// The special functions of this package. Each tail is computed by itself, never
// as one minus the other where that would cost digits, and the leading factors
// come from the deviance form of Loader (2000), "Fast and accurate computation
// of binomial probabilities" (from memory), which keeps its digits for counts in
// the millions where differences of log-gammas do not. Non-integer counts are
// allowed throughout.

const (
	epsilon = 0x1p-52
	tiny    = 1e-300
)

// normalQuantile is z with P(Z <= z) = p.
func normalQuantile(p float64) float64 {
	switch {
	case p <= 0:
		return math.Inf(-1)
	case p >= 1:
		return math.Inf(1)
	}
	return mathext.NormalQuantile(p)
}

// normalCDF is P(Z <= z).
func normalCDF(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// stirlingError is ln Gamma(z+1) less its Stirling approximation
// (z+1/2) ln z - z + ln(2 pi)/2, for z > 0.
func stirlingError(z float64) float64 {
	var shift float64
	for z < 16 {
		shift += (z+0.5)*math.Log1p(1/z) - 1
		z++
	}
	zz := 1 / (z * z)
	series := 1.0/12 - zz*(1.0/360-zz*(1.0/1260-zz*(1.0/1680-zz*(1.0/1188))))
	return shift + series/z
}

// deviance is x ln(x/m) + m - x without cancellation near x = m.
func deviance(x, m float64) float64 {
	if math.Abs(x-m) >= 0.1*(x+m) {
		return x*math.Log(x/m) + m - x
	}
	v := (x - m) / (x + m)
	sum := (x - m) * v
	term := 2 * x * v
	for j := 1; j < 1000; j++ {
		term *= v * v
		next := sum + term/float64(2*j+1)
		if next == sum {
			break
		}
		sum = next
	}
	return sum
}

// binomialMass is n!/(x! y!) p^x q^y with n = x+y and p+q = 1, for real x and y
// not below zero; both are passed so that the smaller keeps its digits.
func binomialMass(x, y, p, q float64) float64 {
	n := x + y
	switch {
	case n == 0:
		return 1
	case x == 0:
		return power(q, p, n)
	case y == 0:
		return power(p, q, n)
	case p == 0 || q == 0:
		return 0
	}
	lc := stirlingError(n) - stirlingError(x) - stirlingError(y) - deviance(x, n*p) - deviance(y, n*q)
	return math.Exp(lc) * math.Sqrt(n/(2*math.Pi*x*y))
}

// power is p^n where q = 1-p.
func power(p, q, n float64) float64 {
	if q < 0.1 {
		return math.Exp(n * math.Log1p(-q))
	}
	return math.Exp(n * math.Log(p))
}

// betaTails gives P(B <= x) and P(B > x) of a Beta(a, b) variable, with y = 1-x
// passed so that neither end loses digits, and the density per unit of log-odds
// x^a y^b / B(a,b).
func betaTails(a, b, x, y float64) (lower, upper, density float64) {
	switch {
	case x <= 0:
		return 0, 1, 0
	case y <= 0:
		return 1, 0, 0
	}
	density = a * b / (a + b) * binomialMass(a, b, x, y)
	if x*b <= y*a {
		if lower = density * betaFraction(a, b, x, y); lower < 0.9 {
			return lower, 1 - lower, density
		}
		return lower, density * betaFraction(b, a, y, x), density
	}
	if upper = density * betaFraction(b, a, y, x); upper < 0.9 {
		return 1 - upper, upper, density
	}
	return density * betaFraction(a, b, x, y), upper, density
}

// betaFraction is the continued fraction of I_x(a,b) over x^a y^b/B(a,b), in the
// form of DiDonato & Morris (ACM TOMS 18 (1992) 360, algorithm 708; from memory),
// by Lentz's method. It takes y = 1-x apart, and the difference of x from a/(a+b)
// through a y - b x, so that no digits are lost with x or y near one.
func betaFraction(a, b, x, y float64) float64 {
	lambda := a*y - b*x
	f := away(a / (a + 1) * (lambda + 1))
	c, d := f, 0.0
	for n := 1.0; n < 1e6; n++ {
		s := a + 2*n - 1
		alpha := (a + n - 1) * (a + b + n - 1) / (s * s) * n * (b - n) * x * x
		beta := n + n*(b-n)*x/s + (a+n)/(s+2)*(lambda+1+n*(1+y))
		d = 1 / away(beta+alpha*d)
		c = away(beta + alpha/c)
		f *= c * d
		if math.Abs(c*d-1) < epsilon {
			break
		}
	}
	return 1 / f
}

// away keeps a divisor off zero.
func away(v float64) float64 {
	if math.Abs(v) < tiny {
		return tiny
	}
	return v
}

// betaOdds gives the odds x/(1-x) at which a Beta(a, b) variable has the
// probability p below it, or above it when upper is set. Newton's method on the
// logarithm of that one tail, in log-odds: both are concave there, so it comes
// in from one side.
func betaOdds(a, b, p float64, upper bool) float64 {
	switch {
	case p <= 0 && upper, p >= 1 && !upper:
		return math.Inf(1)
	case p <= 0, p >= 1:
		return 0
	}
	z, want := normalQuantile(p), math.Log(p)
	if upper {
		z = -z
	}
	theta := math.Log(a/b) + z*math.Sqrt(1/a+1/b)
	theta = math.Max(-700, math.Min(700, theta))
	odds := math.Exp(theta)
	last := math.Inf(1)
	for range 200 {
		lower, above, density := betaTails(a, b, odds/(1+odds), 1/(1+odds))
		tail, sign := lower, -1.0
		if upper {
			tail, sign = above, 1.0
		}
		step := sign * (math.Log(tail) - want) * tail / density
		if tail == 0 || density == 0 || math.IsNaN(step) {
			step = -sign
			if tail > p {
				step = sign
			}
		}
		step = math.Max(-50, math.Min(50, step))
		odds *= math.Exp(step)
		if size := math.Abs(step); size < 2*epsilon || (size < 1e-13 && size >= last) {
			break
		} else {
			last = size
		}
		odds = math.Max(tiny, math.Min(1/tiny, odds))
	}
	return odds
}

// gammaTails gives P(G <= x), P(G > x) of a Gamma(a) variable of unit scale and
// its density per unit of ln x.
func gammaTails(a, x float64) (lower, upper, density float64) {
	if x <= 0 {
		return 0, 1, 0
	}
	mass := math.Exp(-stirlingError(a)-deviance(a, x)) / math.Sqrt(2*math.Pi*a)
	density = a * mass
	if x < a+1 {
		term, sum := 1.0, 1.0
		for k := 1; k < 10000000 && term > epsilon/8*sum; k++ {
			term *= x / (a + float64(k))
			sum += term
		}
		lower = mass * sum
		return lower, 1 - lower, density
	}
	b := x + 1 - a
	c, d := 1/tiny, 1/away(b)
	h := d
	for i := 1; i < 10000000; i++ {
		an := -float64(i) * (float64(i) - a)
		b += 2
		d = 1 / away(an*d+b)
		c = away(b + an/c)
		h *= d * c
		if math.Abs(d*c-1) < epsilon {
			break
		}
	}
	upper = density * h
	return 1 - upper, upper, density
}

// gammaQuantile gives x with probability p below it, or above it when upper is
// set, for a Gamma(a) variable of unit scale.
func gammaQuantile(a, p float64, upper bool) float64 {
	switch {
	case p <= 0 && upper, p >= 1 && !upper:
		return math.Inf(1)
	case p <= 0, p >= 1:
		return 0
	}
	z, want := normalQuantile(p), math.Log(p)
	if upper {
		z = -z
	}
	x := a * math.Pow(1-1/(9*a)+z/(3*math.Sqrt(a)), 3) // Wilson & Hilferty 1931
	if !(x > a*1e-3) {
		lg, _ := math.Lgamma(a + 1)
		q := p
		if upper {
			q = 1 - p
		}
		x = math.Max(tiny, math.Exp((math.Log(q)+lg)/a))
	}
	last := math.Inf(1)
	for range 200 {
		lower, above, density := gammaTails(a, x)
		tail, sign := lower, -1.0
		if upper {
			tail, sign = above, 1.0
		}
		if tail == 0 || density == 0 {
			break
		}
		step := math.Max(-50, math.Min(50, sign*(math.Log(tail)-want)*tail/density))
		x *= math.Exp(step)
		if size := math.Abs(step); size < 2*epsilon || (size < 1e-13 && size >= last) {
			break
		} else {
			last = size
		}
	}
	return x
}

// chiSquareAbove is P(chi-square with dof degrees of freedom > x).
func chiSquareAbove(x, dof float64) float64 {
	_, upper, _ := gammaTails(dof/2, x/2)
	return upper
}

// chiSquareQuantile gives the point with probability p below it, or above it.
func chiSquareQuantile(p, dof float64, upper bool) float64 {
	return 2 * gammaQuantile(dof/2, p, upper)
}

// studentAbove is P(T > t) of Student's t; dof may be fractional or infinite.
func studentAbove(t, dof float64) float64 {
	if math.IsInf(dof, 1) {
		return normalCDF(-t)
	}
	r := t * t / dof
	lower, _, _ := betaTails(dof/2, 0.5, 1/(1+r), r/(1+r))
	if t < 0 {
		return 1 - lower/2
	}
	return lower / 2
}

// studentQuantile is the t that leaves the probability q above it.
func studentQuantile(q, dof float64) float64 {
	switch {
	case math.IsInf(dof, 1) || dof > 1e12:
		return -normalQuantile(q)
	case q > 0.5:
		return -studentQuantile(1-q, dof)
	case q == 0.5:
		return 0
	}
	return math.Sqrt(dof / betaOdds(dof/2, 0.5, 2*q, false))
}

// fisherAbove is P(F > f) with d1 and d2 degrees of freedom.
func fisherAbove(f, d1, d2 float64) float64 {
	r := d1 * f / d2
	_, upper, _ := betaTails(d1/2, d2/2, r/(1+r), 1/(1+r))
	return upper
}

// fisherQuantile is the f that leaves the probability q above it.
func fisherQuantile(q, d1, d2 float64) float64 {
	return betaOdds(d1/2, d2/2, q, true) * d2 / d1
}
