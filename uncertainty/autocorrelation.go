package uncertainty

import "math"

// autocovariance is the sum of products at a lag over n, of centred values.
func autocovariance(d []float64, lag int) float64 {
	var s compensated
	for i := lag; i < len(d); i++ {
		s.add(d[i] * d[i-lag])
	}
	return s.sum() / float64(len(d))
}

// TimeSokal is the integrated autocorrelation time tau = 1 + 2 sum rho_k, in
// samples, cut at the first lag M with M >= c tau(M); c is 5 by custom (Sokal,
// "Monte Carlo methods in statistical mechanics", section 3; from memory). It runs
// low on short traces: 5.1 for a true 9 on one series of 600. Without spread
// it is NaN.
func TimeSokal(values []float64, c float64) (tau float64, window int) {
	d, r0 := autocovarianceStart(values)
	if !(r0 > 0) {
		return math.NaN(), 0
	}
	tau = 1
	for m := 0; m < len(d); m++ {
		if m > 0 {
			tau += 2 * autocovariance(d, m) / r0
		}
		if float64(m) >= c*tau {
			return tau, m
		}
	}
	return tau, len(d) - 1
}

// TimeGeyer is the integrated autocorrelation time by Geyer's initial monotone
// positive sequence (Statist. Sci. 7 (1992) 473, section 3.3; from memory).
func TimeGeyer(values []float64) float64 {
	d, r0 := autocovarianceStart(values)
	if !(r0 > 0) {
		return math.NaN()
	}
	sum, last := 0.0, math.Inf(1)
	for k := 0; k+1 < len(d); k += 2 {
		pair := (autocovariance(d, k) + autocovariance(d, k+1)) / r0
		if pair < 0 {
			break
		}
		last = math.Min(pair, last)
		sum += last
	}
	return 2*sum - 1
}

func autocovarianceStart(values []float64) (d []float64, r0 float64) {
	if len(values) < 2 {
		return nil, math.NaN()
	}
	d, _ = centred(values, values[0])
	return d, autocovariance(d, 0)
}

// TimeAR is the integrated autocorrelation time from an autoregression fitted to
// the series: Yule-Walker, order by Akaike's criterion up to 10 log10 n, spectrum
// at zero over the variance (the estimator of R's coda::spectrum0.ar). On short
// traces it comes nearest the truth of the three.
func TimeAR(values []float64) (tau float64, order int) {
	d, r0 := autocovarianceStart(values)
	if !(r0 > 0) {
		return math.NaN(), 0
	}
	n := float64(len(d))
	most := min(len(d)-1, int(10*math.Log10(n)))
	coef, v := []float64{}, r0
	best, bestSum, bestV := n*math.Log(r0), 0.0, r0
	r := make([]float64, most+1)
	for k := range r {
		r[k] = autocovariance(d, k)
	}
	for m := 1; m <= most; m++ {
		coef, v = levinson(coef, v, r)
		if !(v > 0) {
			break
		}
		if aic := n*math.Log(v) + 2*float64(m); aic < best {
			best, bestV, order, bestSum = aic, v, m, 0
			for _, c := range coef {
				bestSum += c
			}
		}
	}
	innovation := bestV * n / (n - float64(order) - 1)
	spectrum := innovation / ((1 - bestSum) * (1 - bestSum))
	return spectrum / (r0 * n / (n - 1)), order
}

// levinson raises an autoregression by one order.
func levinson(coef []float64, v float64, r []float64) ([]float64, float64) {
	m := len(coef)
	num := r[m+1]
	for j, c := range coef {
		num -= c * r[m-j]
	}
	k := num / v
	next := make([]float64, m+1)
	for j := range coef {
		next[j] = coef[j] - k*coef[m-1-j]
	}
	next[m] = k
	return next, v * (1 - k*k)
}

// BlockLength is the length of block, in samples, for a block bootstrap of the
// mean: Politis & White 2004 with the correction of Patton, Politis & White 2009
// (formulas from memory).
type BlockLength struct {
	Lag                  int // the last lag with a telling autocorrelation
	Bandwidth            int
	Stationary, Circular float64
}

// BlockLengthOf finds the length of block. Without spread it is one.
func BlockLengthOf(values []float64) BlockLength {
	d, r0 := autocovarianceStart(values)
	if !(r0 > 0) {
		return BlockLength{1, 1, 1, 1}
	}
	n := float64(len(d))
	run := max(5, int(math.Ceil(math.Sqrt(math.Log10(n)))))
	most := min(len(d)-1, int(math.Ceil(math.Sqrt(n)))+run)
	r := make([]float64, most+1)
	for k := range r {
		r[k] = autocovariance(d, k)
	}
	b := BlockLength{Lag: tellingLag(r, run, 2*math.Sqrt(math.Log10(n)/n))}
	b.Bandwidth = min(2*b.Lag, most)
	var slope, level float64 // G and g(0)
	for k := -b.Bandwidth; k <= b.Bandwidth; k++ {
		a := math.Abs(float64(k))
		w := math.Min(1, 2*(1-a/float64(b.Bandwidth)))
		slope += w * a * r[int(a)]
		level += w * r[int(a)]
	}
	b.Stationary = math.Max(1, math.Cbrt(2*slope*slope/(2*level*level)*n))
	b.Circular = math.Max(1, math.Cbrt(2*slope*slope/(4./3*level*level)*n))
	return b
}

// tellingLag is the smallest lag after which run autocorrelations in a row lie
// inside the band; failing that the largest lag outside it.
func tellingLag(r []float64, run int, band float64) int {
	inside, last := 0, 1
	for k := 1; k < len(r); k++ {
		if math.Abs(r[k]/r[0]) < band {
			if inside++; inside == run {
				return max(1, k-run)
			}
			continue
		}
		inside, last = 0, k
	}
	return last
}

// DispersionTest asks whether counts scatter more than Poisson counts do.
type DispersionTest struct {
	D            float64 // sum of squares about the mean over the mean
	P            float64 // chance of as much scatter from Poisson counts
	VarianceMean float64 // variance over mean; 1 for Poisson
}

// Dispersion is the chi-square dispersion test of counts of equal exposure. Fewer
// than two counts, or none above zero, cannot speak: P is 1.
func Dispersion(counts []float64) DispersionTest {
	m := MomentsOf(counts)
	if m.N < 2 || !(m.Mean > 0) {
		return DispersionTest{math.NaN(), 1, math.NaN()}
	}
	dof := float64(m.N - 1)
	vmr := m.SD * m.SD / m.Mean
	return DispersionTest{vmr * dof, chiSquareAbove(vmr*dof, dof), vmr}
}
