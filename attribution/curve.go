package attribution

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// curve is a function of a log leak u, tabulated on the lattice u = index*step
// (the step is kept by its owner). Left of the table it is the constant left:
// a leak that small cannot be told from none. Right of the table it is zero.
// The true value is v * exp(ln).
type curve struct {
	lo   int
	v    []float64
	left float64
	ln   float64
}

func (c *curve) hi() int { return c.lo + len(c.v) - 1 }

// at is the tabulated value at the index i.
func (c *curve) at(i int) float64 {
	switch {
	case i < c.lo:
		return c.left
	case i > c.hi():
		return 0
	}
	return c.v[i-c.lo]
}

// between interpolates at u, in units of the curve's step.
func (c *curve) between(u float64) float64 {
	switch k := int(math.Floor(u)); {
	case u < float64(c.lo):
		return c.left
	case k >= c.hi():
		return c.at(k) * max(0, 1-(u-float64(k)))
	default:
		return cubic(c.at(k-1), c.at(k), c.at(k+1), c.at(k+2), u-float64(k))
	}
}

// kernel is a symmetric weight on the lattice that stands for a normal scatter.
type kernel struct {
	w    []float64 // weights at the distances -span ... span
	span int
	cum  []float64 // cum[k] = sum of the weights at the distances >= k, k = 0 ... span+1
}

// reach is how many standard deviations of a scatter are kept.
const reach = 6

// newKernel tabulates a normal scatter of sd sigma on a lattice of the given
// step. A scatter narrower than the step becomes the three-point weight of the
// same variance; a wider one is sampled, which is spectrally accurate.
func newKernel(sigma, step float64) kernel {
	r := sigma / step
	if r < 0.7 {
		return symmetric([]float64{1 - r*r, r * r / 2})
	}
	half := make([]float64, int(math.Ceil(reach*r))+1)
	total := 0.0
	for k := range half {
		half[k] = math.Exp(-0.5 * float64(k*k) / (r * r))
		total += 2 * half[k]
	}
	total -= half[0]
	for k := range half {
		half[k] /= total
	}
	return symmetric(half)
}

// symmetric makes the kernel from its weights at the distances 0, 1, ...
func symmetric(half []float64) kernel {
	k := kernel{span: len(half) - 1, w: make([]float64, 2*len(half)-1), cum: make([]float64, len(half)+1)}
	for i, w := range half {
		k.w[k.span+i], k.w[k.span-i] = w, w
	}
	for i := len(half) - 1; i >= 0; i-- {
		k.cum[i] = k.cum[i+1] + half[i]
	}
	return k
}

// beyond is the weight of the source points left of the table when the centre
// is the table's point at.
func (k *kernel) beyond(at int) float64 {
	switch {
	case at > k.span:
		return 0
	case at >= 0:
		return k.cum[at+1]
	case -at > k.span:
		return 1
	}
	return 1 - k.cum[-at]
}

// spread gives the expectation of c under the kernel, at every lattice point
// that is a multiple of stride; the result lives on the lattice of stride*step.
// The values go into buf.
func spread(c *curve, k *kernel, stride int, buf []float64) curve {
	first := ceilDiv(c.lo-k.span, stride)
	last := max(first, floorDiv(c.hi()+k.span, stride))
	out := curve{lo: first, v: buf[:0], left: c.left, ln: c.ln}
	for j := first; j <= last; j++ {
		at := j*stride - c.lo // the centre's position in c.v
		sum := 0.0
		if c.left != 0 {
			sum = c.left * k.beyond(at)
		}
		a, b := max(0, at-k.span), min(len(c.v)-1, at+k.span)
		if a <= b {
			sum += floats.Dot(c.v[a:b+1], k.w[a-at+k.span:b-at+k.span+1])
		}
		out.v = append(out.v, sum)
	}
	return out
}

func floorDiv(a, b int) int {
	q := a / b
	if a%b != 0 && a < 0 {
		q--
	}
	return q
}

func ceilDiv(a, b int) int { return -floorDiv(-a, b) }

// times multiplies c by o, keeping the table where neither is constant.
func (c *curve) times(o *curve) {
	lo, hi := min(c.lo, o.lo), min(c.hi(), o.hi())
	if c.left == 0 {
		lo = max(lo, c.lo)
	}
	if o.left == 0 {
		lo = max(lo, o.lo)
	}
	if hi < lo {
		hi = lo
	}
	if lo < c.lo { // make room for the part that was constant
		pad := c.lo - lo
		c.v = append(c.v, make([]float64, pad)...)
		copy(c.v[pad:], c.v)
		for i := range c.v[:pad] {
			c.v[i] = c.left
		}
	} else if lo > c.hi() {
		c.v = c.v[:0]
	} else {
		c.v = c.v[:copy(c.v, c.v[lo-c.lo:])]
	}
	c.lo = lo
	if n := hi - lo + 1; n < len(c.v) {
		c.v = c.v[:n]
	}
	for i := range c.v {
		c.v[i] *= o.at(lo + i)
	}
	c.left *= o.left
	c.ln += o.ln
}

// scale brings the largest value to one and drops what is then negligible at the
// right.
func (c *curve) scale() {
	top := c.left
	for _, v := range c.v {
		top = max(top, v)
	}
	if top == 0 {
		return
	}
	for i := range c.v {
		c.v[i] /= top
	}
	c.left /= top
	c.ln += math.Log(top)
	n := len(c.v)
	for n > 1 && c.v[n-1] < 1e-18 {
		n--
	}
	c.v = c.v[:n]
	if c.left < 1e-18 {
		c.left = 0
		k := 0
		for k < n-1 && c.v[k] < 1e-18 {
			k++
		}
		c.v, c.lo = c.v[k:], c.lo+k
	}
}
