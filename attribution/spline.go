package attribution

import (
	"math"
	"sort"
)

// spline is the natural cubic through log densities; outside its knots it goes
// on straight. Values of minus infinity are floored, so that it stays finite.
type spline struct{ x, y, m []float64 }

func newSpline(x, y []float64) spline {
	n := len(x)
	s := spline{x, make([]float64, n), make([]float64, n)}
	top := math.Inf(-1)
	for _, v := range y {
		top = math.Max(top, v)
	}
	for i, v := range y {
		s.y[i] = math.Max(v, top-60)
	}
	if n < 3 {
		return s
	}
	c, d := make([]float64, n), make([]float64, n) // Thomas' elimination for the second derivatives
	for i := 1; i < n-1; i++ {
		h0, h1 := x[i]-x[i-1], x[i+1]-x[i]
		rhs := 6 * ((s.y[i+1]-s.y[i])/h1 - (s.y[i]-s.y[i-1])/h0)
		den := 2*(h0+h1) - h0*c[i-1]
		c[i] = h1 / den
		d[i] = (rhs - h0*d[i-1]) / den
	}
	for i := n - 2; i > 0; i-- {
		s.m[i] = d[i] - c[i]*s.m[i+1]
	}
	return s
}

func (s spline) at(v float64) float64 {
	n := len(s.x)
	if n == 1 {
		return s.y[0]
	}
	i := min(max(sort.SearchFloat64s(s.x, v), 1), n-1)
	h := s.x[i] - s.x[i-1]
	a, b := (s.x[i]-v)/h, (v-s.x[i-1])/h
	y := a*s.y[i-1] + b*s.y[i]
	if a < 0 || b < 0 {
		return y
	}
	return y + ((a*a*a-a)*s.m[i-1]+(b*b*b-b)*s.m[i])*h*h/6
}

// cumulative integrates exp(spline) over its knots on n cells and gives the
// cells' edges with the distribution function there.
func (s spline) cumulative(n int) (x, cum []float64) {
	lo, hi := s.x[0], s.x[len(s.x)-1]
	top := math.Inf(-1)
	for _, v := range s.y {
		top = math.Max(top, v)
	}
	x, cum = make([]float64, n+1), make([]float64, n+1)
	for i := range x {
		x[i] = lo + (hi-lo)*float64(i)/float64(n)
		if i > 0 {
			cum[i] = cum[i-1] + math.Exp(s.at((x[i]+x[i-1])/2)-top)
		}
	}
	for i := range cum {
		cum[i] /= cum[n]
	}
	return x, cum
}

// inverse finds where a distribution function, given at points, is p.
func inverse(x, cum []float64, p float64) float64 {
	i := min(max(sort.SearchFloat64s(cum, p), 1), len(x)-1)
	if cum[i] == cum[i-1] {
		return x[i]
	}
	return x[i-1] + (x[i]-x[i-1])*(p-cum[i-1])/(cum[i]-cum[i-1])
}

// lnSum is the log of the sum of exponentials.
func lnSum(v []float64) float64 {
	top := math.Inf(-1)
	for _, x := range v {
		top = math.Max(top, x)
	}
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, x := range v {
		sum += math.Exp(x - top)
	}
	return top + math.Log(sum)
}

func lnAdd(a, b float64) float64 { return lnSum([]float64{a, b}) }
