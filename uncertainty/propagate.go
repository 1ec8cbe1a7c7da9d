package uncertainty

import (
	"math"
	"math/cmplx"
)

// Distribution is the distribution of a sum of independent terms.
//
// It is what JCGM 101:2008 asks of Monte Carlo propagation, without draws: the
// terms' characteristic functions are multiplied, which is convolution, and the
// product is inverted as a Fourier series over a range that holds the sum. The
// same terms give the same digits every time, to some 1e-9 in probability for
// light tails and 1e-6 for Student's t of few degrees of freedom, whose mass
// beyond the range is put back from its own tail. It refuses nothing, but
// probabilities below 1e-7 from an end are beyond it.
type Distribution struct {
	mean, sd float64
	half     float64      // the series holds centre +- half
	series   []complex128 // characteristic function at pi k/half, k = 1, 2, ...
	heavy    []Input
	alone    Input // a single term answers for itself
}

const (
	mostFrequencies = 4096
	negligible      = 1e-15
	quietRun        = 16 // so many negligible frequencies in a row end the series
)

// Sum is the distribution of the sum of independent terms. Terms without any
// spread only shift it.
func Sum(inputs ...Input) *Distribution {
	var spread []Input
	var shift float64
	for _, in := range inputs {
		if in.variance() > 0 {
			spread = append(spread, in)
		} else {
			shift += in.centre()
		}
	}
	d := newDistribution(spread)
	d.mean += shift
	if len(spread) == 1 {
		d.alone = spread[0]
	}
	return d
}

func newDistribution(inputs []Input) *Distribution {
	d := &Distribution{}
	var v float64
	for _, in := range inputs {
		d.mean += in.centre()
		v += in.variance()
		d.half += in.reach()
	}
	d.sd = math.Sqrt(v)
	if d.half == 0 {
		return d
	}
	d.half *= 1.0009765625 // so that no bounded sum touches the end of the range
	for _, in := range inputs {
		if above, below := in.far(d.half); above+below > 0 {
			d.heavy = append(d.heavy, in)
		}
	}
	d.series = make([]complex128, 0, 256)
	quiet := 0
	for k := 1; k <= mostFrequencies && quiet < quietRun; k++ {
		u := math.Pi * float64(k) / d.half
		product := complex(1, 0)
		for _, in := range inputs {
			if product *= in.characteristic(u); cmplx.Abs(product) < negligible {
				product = 0
				break
			}
		}
		quiet++
		if product != 0 {
			quiet = 0
		}
		d.series = append(d.series, product)
	}
	return d
}

// Mean is the mean of the sum, or its location where there is no mean.
func (d *Distribution) Mean() float64 { return d.mean }

// SD is the standard deviation; +Inf where a term has none.
func (d *Distribution) SD() float64 { return d.sd }

// at gives the probability below mean + x and the density there.
func (d *Distribution) at(x float64) (below, density float64) {
	below, density = (x+d.half)/2, 0.5
	s, c := math.Sincos(math.Pi * x / d.half)
	turn, z := complex(c, -s), complex(1, 0)
	sign := 1.0
	for k, phi := range d.series {
		z *= turn
		sign = -sign
		// The integral from the low end, where the wave is (-1)^k.
		re := real(phi)*real(z) - imag(phi)*imag(z)
		im := real(phi)*imag(z) + imag(phi)*real(z)
		density += re
		below -= (im - imag(phi)*sign) / (math.Pi * float64(k+1)) * d.half
	}
	below, density = below/d.half, density/d.half
	return below - d.wrapped(x), density
}

// wrapped is what the copies of the sum one, two, ... ranges away add below
// mean + x. Only heavy tails reach so far, and there a sum is as far out as its
// farthest term alone; they are symmetric, so the copies' ends at the low end of
// the range cancel. Copies past the second are taken together.
func (d *Distribution) wrapped(x float64) float64 {
	var sum float64
	for _, in := range d.heavy {
		for m := 2.0; m <= 4; m += 2 {
			_, below := in.far(m*d.half - x)
			above, _ := in.far(m*d.half + x)
			sum += below - above
		}
		above, below := in.far(5 * d.half)
		sum += x / d.half * (above + below) / 2
	}
	return sum
}

// CDF is the probability of a sum of at most x.
func (d *Distribution) CDF(x float64) float64 {
	if d.half == 0 {
		if x >= d.mean {
			return 1
		}
		return 0
	}
	x -= d.mean
	switch {
	case x >= d.half:
		p := 1.0
		for _, in := range d.heavy {
			above, _ := in.far(x)
			p -= above
		}
		return p
	case x <= -d.half:
		p := 0.0
		for _, in := range d.heavy {
			_, below := in.far(-x)
			p += below
		}
		return p
	}
	p, _ := d.at(x)
	return math.Max(0, math.Min(1, p))
}

// Quantile is the point with probability p below it.
func (d *Distribution) Quantile(p float64) float64 {
	if p > 0.5 {
		return d.quantile(1-p, true)
	}
	return d.quantile(p, false)
}

func (d *Distribution) quantile(p float64, upper bool) float64 {
	switch {
	case d.half == 0:
		return d.mean
	case d.alone != nil:
		return d.mean - d.alone.centre() + d.alone.quantile(p, upper)
	}
	want := p
	if upper {
		want = 1 - p
	}
	lo, hi := -d.half, d.half
	x := 0.0
	if !math.IsInf(d.sd, 1) && p > 0 && p < 1 {
		x = math.Max(lo, math.Min(hi, sided(normalQuantile(p), upper)*d.sd))
	}
	for range 200 {
		below, density := d.at(x)
		if below > want {
			hi = x
		} else {
			lo = x
		}
		next := x - (below-want)/density
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-x) <= 1e-14*d.half {
			return d.mean + next
		}
		x = next
	}
	return d.mean + x
}

// Interval is the probabilistically symmetric coverage interval at the level
// (JCGM 101:2008, 7.7.2).
func (d *Distribution) Interval(level float64) (low, high float64) {
	tail := (1 - level) / 2
	return d.quantile(tail, false), d.quantile(tail, true)
}

// Shortest is the shortest coverage interval at the level (JCGM 101:2008, 7.7.3),
// for a density of one peak, which may stand at an end.
func (d *Distribution) Shortest(level float64) (low, high float64) {
	ends := func(p float64) (float64, float64) { return d.quantile(p, false), d.quantile(1-level-p, true) }
	width := func(p float64) float64 { a, b := ends(p); return b - a }
	const golden = 0.6180339887498949
	a, b := 0.0, 1-level
	x1, x2 := b-golden*(b-a), a+golden*(b-a)
	w1, w2 := width(x1), width(x2)
	for range 60 {
		if w1 <= w2 {
			b, x2, w2 = x2, x1, w1
			x1 = b - golden*(b-a)
			w1 = width(x1)
		} else {
			a, x1, w1 = x1, x2, w2
			x2 = a + golden*(b-a)
			w2 = width(x2)
		}
	}
	best := (a + b) / 2
	for _, edge := range []float64{0, 1 - level} {
		if w := width(edge); w <= width(best) {
			best = edge
		}
	}
	return ends(best)
}
