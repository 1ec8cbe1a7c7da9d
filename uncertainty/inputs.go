package uncertainty

import (
	"math"
	"math/cmplx"
	"sort"

	"gonum.org/v1/gonum/mathext"
)

// Input is one independent term of a sum (see Sum). It is known by its
// characteristic function, so that no grid has to resolve it.
type Input interface {
	// characteristic is E exp(iu(X-centre)).
	characteristic(u float64) complex128
	// centre is the mean where there is one, else the location.
	centre() float64
	// variance may be infinite.
	variance() float64
	// reach is a distance from the centre with next to nothing beyond it, save what
	// far gives.
	reach() float64
	// far is the chance of lying more than y above the centre, and below it, for y
	// beyond the reach: above zero only for heavy tails.
	far(y float64) (above, below float64)
	// quantile is the point with probability p below it, or above it.
	quantile(p float64, upper bool) float64
}

// remote is the probability left beyond the reach of a light tail.
const remote = 1e-11

type light struct{}

func (light) far(float64) (above, below float64) { return 0, 0 }

// Normal is a normal term.
func Normal(mean, sd float64) Input { return normal{m: mean, s: sd} }

type normal struct {
	light
	m, s float64
}

func (n normal) characteristic(u float64) complex128 { return complex(math.Exp(-u*u*n.s*n.s/2), 0) }
func (n normal) centre() float64                     { return n.m }
func (n normal) variance() float64                   { return n.s * n.s }
func (n normal) reach() float64                      { return 6.8 * n.s }
func (n normal) quantile(p float64, upper bool) float64 {
	return n.m + sided(normalQuantile(p), upper)*n.s
}

// sided turns a lower quantile of a symmetric variable into an upper one.
func sided(z float64, upper bool) float64 {
	if upper {
		return -z
	}
	return z
}

// flat is a bounded symmetric term of half width h about zero.
type flat struct {
	light
	h, v float64
	cf   func(x float64) float64 // of u h
	q    func(p float64) float64 // lower quantile over h
}

func (f flat) characteristic(u float64) complex128 { return complex(f.cf(u*f.h), 0) }
func (f flat) centre() float64                     { return 0 }
func (f flat) variance() float64                   { return f.v }
func (f flat) reach() float64                      { return f.h }
func (f flat) quantile(p float64, upper bool) float64 {
	return sided(f.q(p), upper) * f.h
}

func sinc(x float64) float64 {
	if math.Abs(x) < 1e-4 {
		return 1 - x*x/6
	}
	return math.Sin(x) / x
}

// Rectangular is a term with equal chance from -half to half.
func Rectangular(half float64) Input {
	return flat{h: half, v: half * half / 3, cf: sinc, q: func(p float64) float64 { return 2*p - 1 }}
}

// Triangular is a symmetric triangular term from -half to half.
func Triangular(half float64) Input {
	return flat{h: half, v: half * half / 6,
		cf: func(x float64) float64 { s := sinc(x / 2); return s * s },
		q: func(p float64) float64 {
			if p > 0.5 {
				return 1 - math.Sqrt(2*(1-p))
			}
			return math.Sqrt(2*p) - 1
		}}
}

// Arcsine is a U-shaped term from -half to half: a sine seen at a random moment.
func Arcsine(half float64) Input {
	return flat{h: half, v: half * half / 2, cf: math.J0, q: func(p float64) float64 { return -math.Cos(math.Pi * p) }}
}

// StudentT is a term scale*t + location with the degrees of freedom, which may be
// fractional.
func StudentT(location, scale, dof float64) Input {
	t := student{m: location, s: scale, dof: dof}
	// T is normal with a variance 1/w, w a chi-square over its dof: a trapezium sum
	// over ln w, analytic and dying at both ends, gives its characteristic function.
	step := math.Min(0.5*math.Sqrt(2/dof), 0.35)
	log := func(y float64) float64 { return dof / 2 * (y - math.Exp(y) + 1) }
	var total float64
	for _, dir := range []float64{-1, 1} {
		for i := 0.0; ; i++ {
			y := dir * step * i
			if l := log(y); l < -32 {
				break
			} else if i > 0 || dir > 0 {
				t.weight = append(t.weight, math.Exp(l))
				t.half = append(t.half, scale*scale/2*math.Exp(-y))
				total += math.Exp(l)
			}
		}
	}
	for i := range t.weight {
		t.weight[i] /= total
	}
	return t
}

type student struct {
	m, s, dof    float64
	weight, half []float64 // of the normals it is mixed from: weight, variance/2
}

func (t student) characteristic(u float64) complex128 {
	var sum float64
	for i, w := range t.weight {
		if x := u * u * t.half[i]; x < 40 {
			sum += w * math.Exp(-x)
		}
	}
	return complex(sum, 0)
}
func (t student) centre() float64 { return t.m }
func (t student) variance() float64 {
	if t.dof <= 2 {
		return math.Inf(1)
	}
	return t.s * t.s * t.dof / (t.dof - 2)
}
func (t student) reach() float64 {
	p := 1e-5
	if t.dof < 2.5 {
		p = 1e-3
	}
	return t.s * studentQuantile(p, t.dof)
}
func (t student) far(y float64) (above, below float64) {
	p := studentAbove(y/t.s, t.dof)
	return p, p
}
func (t student) quantile(p float64, upper bool) float64 {
	return t.m - sided(studentQuantile(p, t.dof), upper)*t.s
}

// LogGamma is the logarithm of a gamma variable of the given shape and unit scale:
// the log of a Poisson rate whose posterior has shape counts + prior.
func LogGamma(shape float64) Input {
	return logGamma{a: shape, mean: mathext.Digamma(shape)}
}

type logGamma struct {
	light
	a, mean float64
}

// characteristic is Gamma(a+iu)/Gamma(a) exp(-iu psi(a)), by Stirling's series in
// the form that keeps its digits for large a.
func (g logGamma) characteristic(u float64) complex128 {
	a, log := g.a, complex(0, 0)
	for a < 12 {
		log -= complex(math.Log1p(u*u/(a*a))/2, math.Atan(u/a))
		a++
	}
	w := u / a
	l, at := math.Log1p(w*w)/2, math.Atan(w)
	log += complex((a-0.5)*l-u*at, u*(math.Log(a)-g.mean)-u+(a-0.5)*at+u*l)
	log += stirlingSeries(complex(a, u)) - stirlingSeries(complex(a, 0))
	return cmplx.Exp(log)
}

func stirlingSeries(z complex128) complex128 {
	r := 1 / z
	rr := r * r
	return r * (1./12 - rr*(1./360-rr*(1./1260-rr*(1./1680-rr*(1./1188)))))
}

func (g logGamma) centre() float64   { return g.mean }
func (g logGamma) variance() float64 { return mathext.Zeta(2, g.a) }
func (g logGamma) reach() float64 {
	return math.Max(g.mean-g.quantile(remote, false), g.quantile(remote, true)-g.mean)
}
func (g logGamma) quantile(p float64, upper bool) float64 {
	return math.Log(gammaQuantile(g.a, p, upper))
}

// LogRectangular is the logarithm of a variable with equal chance from low to high,
// both above zero.
func LogRectangular(low, high float64) Input {
	f := func(x float64) float64 { return x * (math.Log(x) - 1) }
	g := func(x float64) float64 { l := math.Log(x); return x * (l*l - 2*l + 2) }
	m := (f(high) - f(low)) / (high - low)
	return logFlat{low: low, high: high, m: m, v: (g(high)-g(low))/(high-low) - m*m}
}

type logFlat struct {
	light
	low, high, m, v float64
}

func (f logFlat) characteristic(u float64) complex128 {
	end := func(x float64) complex128 { return complex(x, 0) * cmplx.Exp(complex(0, u*(math.Log(x)-f.m))) }
	return (end(f.high) - end(f.low)) / complex(f.high-f.low, 0) / complex(1, u)
}
func (f logFlat) centre() float64   { return f.m }
func (f logFlat) variance() float64 { return f.v }
func (f logFlat) reach() float64 {
	return math.Max(math.Log(f.high)-f.m, f.m-math.Log(f.low))
}
func (f logFlat) quantile(p float64, upper bool) float64 {
	if upper {
		return math.Log(f.high - p*(f.high-f.low))
	}
	return math.Log(f.low + p*(f.high-f.low))
}

// Scale is c times another term; c = -1 takes it off.
func Scale(c float64, in Input) Input { return scaled{c, in} }

type scaled struct {
	c  float64
	in Input
}

func (s scaled) characteristic(u float64) complex128 { return s.in.characteristic(s.c * u) }
func (s scaled) centre() float64                     { return s.c * s.in.centre() }
func (s scaled) variance() float64                   { return s.c * s.c * s.in.variance() }
func (s scaled) reach() float64                      { return math.Abs(s.c) * s.in.reach() }
func (s scaled) far(y float64) (above, below float64) {
	above, below = s.in.far(y / math.Abs(s.c))
	if s.c < 0 {
		above, below = below, above
	}
	return above, below
}
func (s scaled) quantile(p float64, upper bool) float64 {
	return s.c * s.in.quantile(p, upper != (s.c < 0))
}

// Mixture is a term drawn from one of several, with chances in proportion to the
// weights.
func Mixture(weights []float64, of []Input) Input {
	if len(weights) != len(of) || len(of) == 0 {
		panic("uncertainty: Mixture needs one weight for each of one or more terms")
	}
	m := mixture{of: of, w: make([]float64, len(of))}
	total := 0.0
	for _, w := range weights {
		total += w
	}
	for i, w := range weights {
		m.w[i] = w / total
		m.mean += m.w[i] * of[i].centre()
	}
	return m
}

type mixture struct {
	w    []float64
	of   []Input
	mean float64
}

func (m mixture) characteristic(u float64) complex128 {
	var sum complex128
	for i, in := range m.of {
		sum += complex(m.w[i], 0) * in.characteristic(u) * cmplx.Exp(complex(0, u*(in.centre()-m.mean)))
	}
	return sum
}
func (m mixture) centre() float64 { return m.mean }
func (m mixture) variance() float64 {
	var v float64
	for i, in := range m.of {
		d := in.centre() - m.mean
		v += m.w[i] * (in.variance() + d*d)
	}
	return v
}
func (m mixture) reach() float64 {
	var r float64
	for _, in := range m.of {
		r = math.Max(r, in.reach()+math.Abs(in.centre()-m.mean))
	}
	return r
}
func (m mixture) far(y float64) (above, below float64) {
	for i, in := range m.of {
		d := in.centre() - m.mean
		a, _ := in.far(math.Max(0, y-d))
		_, b := in.far(math.Max(0, y+d))
		above, below = above+m.w[i]*a, below+m.w[i]*b
	}
	return above, below
}
func (m mixture) quantile(p float64, upper bool) float64 {
	return newDistribution([]Input{m}).quantile(p, upper)
}

// Tabulated is a term whose density is given at rising points and runs straight
// between them; it need not be normalised.
func Tabulated(x, density []float64) Input {
	if len(x) != len(density) || len(x) < 2 || !sort.Float64sAreSorted(x) {
		panic("uncertainty: Tabulated needs a density at each of two or more rising points")
	}
	t := table{x: x}
	var total, first float64
	// Three Gauss-Legendre nodes a piece.
	for i := 1; i < len(x); i++ {
		h := x[i] - x[i-1]
		for k, z := range [3]float64{-math.Sqrt(0.6), 0, math.Sqrt(0.6)} {
			w := [3]float64{5. / 18, 8. / 18, 5. / 18}[k] * h * (density[i-1]*(1-z) + density[i]*(1+z)) / 2
			at := x[i-1] + h*(1+z)/2
			t.at, t.w = append(t.at, at), append(t.w, w)
			total, first = total+w, first+w*at
		}
	}
	t.m = first / total
	t.below = make([]float64, len(x))
	t.density = make([]float64, len(x))
	for i := range x {
		t.density[i] = density[i] / total
		if i > 0 {
			t.below[i] = t.below[i-1] + (t.density[i]+t.density[i-1])/2*(x[i]-x[i-1])
		}
	}
	for i := range t.w {
		t.w[i] /= total
		t.v += t.w[i] * (t.at[i] - t.m) * (t.at[i] - t.m)
	}
	return t
}

type table struct {
	light
	x, density, below []float64
	at, w             []float64
	m, v              float64
}

func (t table) characteristic(u float64) complex128 {
	var re, im float64
	for i, w := range t.w {
		s, c := math.Sincos(u * (t.at[i] - t.m))
		re, im = re+w*c, im+w*s
	}
	return complex(re, im)
}
func (t table) centre() float64   { return t.m }
func (t table) variance() float64 { return t.v }
func (t table) reach() float64    { return math.Max(t.x[len(t.x)-1]-t.m, t.m-t.x[0]) }
func (t table) quantile(p float64, upper bool) float64 {
	if upper {
		p = 1 - p
	}
	i := sort.Search(len(t.below)-1, func(i int) bool { return t.below[i+1] >= p })
	i = min(i, len(t.x)-2)
	h, d0 := t.x[i+1]-t.x[i], t.density[i]
	rise := (t.density[i+1] - d0) / h
	return t.x[i] + math.Min(h, straight(p-t.below[i], d0, rise))
}
