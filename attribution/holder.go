package attribution

import (
	"math"
	"slices"

	"telltale/quantity"
)

// Breathing flows, in litres per minute, that are considered with even odds when
// a ladder does not say at which flow it was breathed (own rule).
var unknownBreathing = []float64{20, 28, 40}

// exponents are the mid-points of the band of the flow exponent.
const exponents = 5

// holderStep is the lattice step of ln f on which the holder's runs are worked.
const holderStep = 1.0 / 128

// litre is one litre per minute.
var litre = quantity.LitresPerMinute(1)

// holderLikelihood gives the log likelihood of the holder's runs against ln f at
// breathing, or nil when there are none. A run of another specimen than the worn
// one is spread by the scatter between specimens; the flow exponent is the same
// for all runs and integrated out, and so is a breathing flow that is not known.
func holderLikelihood(l *Ladder) func(lnf float64) float64 {
	if len(l.Holders) == 0 {
		return nil
	}
	worn := l.specimens()
	sum := map[int]float64{} // likelihood by lattice index
	scatters := []float64{0.03, 0.08, 0.15, 0.25, 0.4, 0.6, 0.85}
	for _, ratio := range l.velocityRatios() {
		for k := range exponents {
			m := exponentAt((float64(k) + 0.5) / exponents)
			l.addHolder(sum, worn, scatters, func(h int) float64 { return math.Pow(ratio[h], -m) })
		}
	}
	return tabulated(sum)
}

// specimens are the names of the specimens that were worn.
func (l *Ladder) specimens() []string {
	var out []string
	for _, r := range l.Rungs {
		for _, w := range r.Wearings {
			if !slices.Contains(out, w.Specimen) {
				out = append(out, w.Specimen)
			}
		}
	}
	return out
}

// velocityRatios gives, for each breathing flow considered, the ratio of face
// velocities holder / breathing of each run. Without an area of the respirator
// the run's own is taken.
func (l *Ladder) velocityRatios() [][]float64 {
	flows := []float64{l.Breathing.LitresPerMinute()}
	if l.Breathing == 0 {
		flows = unknownBreathing
	}
	var out [][]float64
	for _, q := range flows {
		var r []float64
		for _, h := range l.Holders {
			area := l.Area
			if area == 0 {
				area = h.Area
			}
			r = append(r, float64(h.Area.Through(h.Flow))/(q*float64(area.Through(litre))))
		}
		out = append(out, r)
	}
	return out
}

// addHolder adds the likelihood at one exponent and breathing flow. power gives
// the factor on ln f that carries it to the run's velocity.
func (l *Ladder) addHolder(sum map[int]float64, worn []string, scatters []float64, power func(h int) float64) {
	direct := curve{}
	byModel := map[string]*curve{}
	for h, run := range l.Holders {
		c := run.curve(power(h))
		to := &direct
		if len(worn) != 1 || run.Specimen == "" || run.Specimen != worn[0] {
			if byModel[run.Specimen] == nil {
				byModel[run.Specimen] = &curve{}
			}
			to = byModel[run.Specimen]
		}
		if to.v == nil {
			*to = c
		} else {
			to.times(&c)
		}
	}
	if len(byModel) == 0 {
		direct.addTo(sum, 1, 1)
		return
	}
	names := make([]string, 0, len(byModel))
	for n := range byModel {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, s := range scatters {
		weight := math.Exp(-0.5*s*s/(SpecimenScatter*SpecimenScatter)) * s // even in ln s, about
		stride := max(1, int(dyadic(0.5*s/holderStep)))
		k := newKernel(s, holderStep)
		var out curve
		for i, n := range names { // each specimen about the model's middle
			c := spread(byModel[n], &k, stride, nil)
			if i == 0 {
				out = c
			} else {
				out.times(&c)
			}
		}
		wide := newKernel(s, holderStep*float64(stride))
		if len(worn) == 1 { // and the worn one about it too; with several the chain does that
			out = spread(&out, &wide, 1, nil)
		}
		if direct.v != nil {
			out = out.refined(stride)
			out.times(&direct)
			stride = 1
		}
		out.addTo(sum, stride, weight)
	}
}

// curve is the run's likelihood against ln f at breathing, on the holder's
// lattice, where the run saw f^power.
func (h *Holder) curve(power float64) curve {
	u := newUnit(h.Upstream, h.Downstream, h.Exposure, 1, Measured)
	lo, hi := int(math.Floor(-16/holderStep)), int(math.Ceil(math.Log(FilterMost)/holderStep))
	out := curve{lo: lo, ln: 0}
	for i := lo; i <= hi; i++ {
		out.v = append(out.v, math.Exp(u.lnRatio(math.Exp(float64(i)*holderStep*power))))
	}
	out.left = out.v[0]
	if out.left < 1e-18 {
		out.left = 0
	}
	out.scale()
	out.ln = 0 // peaks are the same at every exponent
	return out
}

// addTo adds the curve, times a weight, to the likelihood by fine index.
func (c *curve) addTo(sum map[int]float64, stride int, weight float64) {
	fine := c.refined(stride)
	lo, hi := int(math.Floor(-16/holderStep)), int(math.Ceil(math.Log(FilterMost)/holderStep))
	w := weight * math.Exp(c.ln)
	for i := lo; i <= hi; i++ {
		sum[i] += w * fine.at(i)
	}
}

// refined brings a curve of a coarser lattice to the finer one.
func (c *curve) refined(stride int) curve {
	if stride == 1 {
		return *c
	}
	out := curve{lo: c.lo * stride, left: c.left, ln: c.ln}
	for i := range (len(c.v)-1)*stride + 1 {
		k, t := c.lo+i/stride, float64(i%stride)/float64(stride)
		out.v = append(out.v, cubic(c.at(k-1), c.at(k), c.at(k+1), c.at(k+2), t))
	}
	return out
}

// tabulated makes a function of the summed likelihood.
func tabulated(sum map[int]float64) func(lnf float64) float64 {
	at := make([]int, 0, len(sum))
	for i := range sum {
		at = append(at, i)
	}
	slices.Sort(at)
	x, y := make([]float64, len(at)), make([]float64, len(at))
	for k, i := range at {
		x[k], y[k] = float64(i)*holderStep, math.Log(math.Max(sum[i], 1e-300))
	}
	return func(lnf float64) float64 {
		u := (lnf - x[0]) / holderStep
		k := min(max(int(u), 0), len(x)-2)
		t := min(max(u-float64(k), 0), 1)
		return (1-t)*y[k] + t*y[k+1]
	}
}
