package uncertainty

import "math"

// root finds x between a and b with f(x) = 0 by Brent's method (1973; from
// memory), to the last digit. When f has the same sign at both ends it gives
// the end where f is smaller.
func root(f func(float64) float64, a, b float64) float64 {
	fa, fb := f(a), f(b)
	if fa*fb > 0 || math.IsNaN(fa*fb) {
		if math.Abs(fa) < math.Abs(fb) {
			return a
		}
		return b
	}
	c, fc := a, fa
	d := b - a
	e := d
	for range 300 {
		if fb*fc > 0 {
			c, fc = a, fa
			d = b - a
			e = d
		}
		if math.Abs(fc) < math.Abs(fb) {
			a, b, c = b, c, b
			fa, fb, fc = fb, fc, fb
		}
		tol, m := epsilon*math.Abs(b)+1e-300, (c-b)/2
		if math.Abs(m) <= tol || fb == 0 {
			return b
		}
		if math.Abs(e) < tol || math.Abs(fa) <= math.Abs(fb) {
			d, e = m, m
		} else {
			d, e = interpolated(a, b, c, fa, fb, fc, d, e, m, tol)
		}
		a, fa = b, fb
		if math.Abs(d) > tol {
			b += d
		} else {
			b += math.Copysign(tol, m)
		}
		fb = f(b)
	}
	return b
}

// interpolated is the step of secant or inverse quadratic interpolation, or the
// halving m where that would not be safe.
func interpolated(a, b, c, fa, fb, fc, d, e, m, tol float64) (step, before float64) {
	s := fb / fa
	p, q := 2*m*s, 1-s
	if a != c {
		r, t := fb/fc, fa/fc
		p = s * (2*m*t*(t-r) - (b-a)*(r-1))
		q = (t - 1) * (r - 1) * (s - 1)
	}
	if p > 0 {
		q = -q
	} else {
		p = -p
	}
	if 2*p < math.Min(3*m*q-math.Abs(tol*q), math.Abs(e*q)) {
		return p / q, d
	}
	return m, m
}

// outward widens the bracket a..b, doubling its width, until f changes sign or
// 60 doublings have passed, and gives the root.
func outward(f func(float64) float64, a, b float64) float64 {
	for range 60 {
		if f(a)*f(b) <= 0 {
			break
		}
		w := b - a
		a, b = a-w, b+w
	}
	return root(f, a, b)
}
