package uncertainty

import "math"

// Moments are the mean, spread and lag-one autocorrelation of a list of values.
type Moments struct {
	N    int
	Mean float64
	SD   float64 // with n-1; NaN for fewer than two values
	Lag1 float64 // autocorrelation at lag one, both sums over n; NaN without spread
}

// MomentsOf computes the moments in two passes over the differences from the
// first value, with compensated sums, so that a large common offset costs no
// digits (Chan, Golub & LeVeque 1983; Neumaier 1974; from memory).
func MomentsOf(values []float64) Moments {
	m := Moments{N: len(values), Mean: math.NaN(), SD: math.NaN(), Lag1: math.NaN()}
	if m.N == 0 {
		return m
	}
	d, shift := centred(values, values[0])
	m.Mean = values[0] + shift
	if m.N == 1 {
		return m
	}
	var squares, products compensated
	for i, v := range d {
		squares.add(v * v)
		if i > 0 {
			products.add(v * d[i-1])
		}
	}
	ss := squares.sum()
	m.SD = math.Sqrt(ss / float64(m.N-1))
	if ss > 0 {
		m.Lag1 = products.sum() / ss
	}
	return m
}

// compensated is a sum that carries along what each addition rounds away
// (Neumaier 1974).
type compensated struct{ total, lost float64 }

func (s *compensated) add(v float64) {
	t := s.total + v
	if math.Abs(s.total) >= math.Abs(v) {
		s.lost += (s.total - t) + v
	} else {
		s.lost += (v - t) + s.total
	}
	s.total = t
}

func (s *compensated) sum() float64 { return s.total + s.lost }

// centred gives the values less their mean, and the mean less the origin. The
// mean is taken off twice, since the first time leaves its rounding error.
func centred(values []float64, origin float64) (d []float64, shift float64) {
	d = make([]float64, len(values))
	for i, v := range values {
		d[i] = v - origin
	}
	for range 2 {
		var s compensated
		for _, v := range d {
			s.add(v)
		}
		mean := s.sum() / float64(len(d))
		for i := range d {
			d[i] -= mean
		}
		shift += mean
	}
	return d, shift
}

// meanOf is the compensated mean.
func meanOf(values []float64) float64 {
	var s compensated
	for _, v := range values {
		s.add(v)
	}
	return s.sum() / float64(len(values))
}

// Anova is a one-way analysis of variance.
type Anova struct {
	BetweenSS, WithinSS float64
	BetweenDF, WithinDF float64
	F, P                float64 // P is the chance of as large an F without a difference
	ResidualSD          float64
	RSquared            float64
}

// BetweenMS and WithinMS are the mean squares.
func (a Anova) BetweenMS() float64 { return a.BetweenSS / a.BetweenDF }

// WithinMS is the mean square within groups.
func (a Anova) WithinMS() float64 { return a.WithinSS / a.WithinDF }

// AnovaOf splits the squares of grouped values between and within the groups.
// Empty groups are passed over. Quantities that do not exist (fewer than two
// groups, no replicates) are NaN.
func AnovaOf(groups [][]float64) Anova {
	var k, n int
	origin, means, sizes := math.NaN(), []float64(nil), []float64(nil)
	var within, total compensated
	for _, g := range groups {
		if len(g) == 0 {
			continue
		}
		if k == 0 {
			origin = g[0]
		}
		k, n = k+1, n+len(g)
		d, shift := centred(g, origin)
		for _, v := range d {
			within.add(v * v)
		}
		means, sizes = append(means, shift), append(sizes, float64(len(g)))
		total.add(shift * float64(len(g)))
	}
	grand := total.sum() / float64(n)
	var between compensated
	for i, m := range means {
		between.add(sizes[i] * (m - grand) * (m - grand))
	}
	a := Anova{BetweenSS: between.sum(), WithinSS: within.sum(), BetweenDF: float64(k - 1), WithinDF: float64(n - k)}
	a.F = a.BetweenMS() / a.WithinMS()
	a.P = math.NaN()
	if k > 1 && n > k && a.WithinSS > 0 {
		a.P = fisherAbove(a.F, a.BetweenDF, a.WithinDF)
	}
	a.ResidualSD = math.Sqrt(a.WithinMS())
	a.RSquared = a.BetweenSS / (a.BetweenSS + a.WithinSS)
	return a
}

// Line is a least-squares line y = Intercept + Slope x.
type Line struct {
	Intercept, Slope     float64
	InterceptSE, SlopeSE float64
	ResidualSD, RSquared float64
	DOF                  float64
}

// FitLine fits a line; x and y must be of one length. With fewer than three
// points, or all x alike, what does not exist is NaN.
func FitLine(x, y []float64) Line {
	if len(x) != len(y) {
		panic("uncertainty: FitLine needs x and y of one length")
	}
	n := float64(len(x))
	l := Line{DOF: n - 2}
	if len(x) < 2 {
		nan := math.NaN()
		return Line{nan, nan, nan, nan, nan, nan, n - 2}
	}
	dx, sx := centred(x, x[0])
	dy, sy := centred(y, y[0])
	var sxx, sxy, syy, rss compensated
	for i := range dx {
		sxx.add(dx[i] * dx[i])
		sxy.add(dx[i] * dy[i])
		syy.add(dy[i] * dy[i])
	}
	l.Slope = sxy.sum() / sxx.sum()
	for i := range dx {
		r := dy[i] - l.Slope*dx[i]
		rss.add(r * r)
	}
	mx := x[0] + sx
	l.Intercept = y[0] + sy - l.Slope*mx
	l.ResidualSD = math.Sqrt(rss.sum() / l.DOF)
	l.SlopeSE = l.ResidualSD / math.Sqrt(sxx.sum())
	l.InterceptSE = l.ResidualSD * math.Sqrt(1/n+mx*mx/sxx.sum())
	l.RSquared = 1 - rss.sum()/syy.sum()
	return l
}
